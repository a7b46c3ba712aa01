"""Setup: measure a bow against its set-up record after a journey or a repair.

Holds:  the question ``setup``: its fields, tables and JSON; what its card says of each thing.
Never:  formulas, sentences (words/reassembly_sentences.py), how a face asks and shows, where a
        record is kept.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Any

from tapewright.ground.errors import BadInput
from tapewright.questions.question import Field, Question, Said
from tapewright.reading.set_up_record import SetUpSheet, read_set_up
from tapewright.reading.shots_reader import read_shots
from tapewright.services.calibrate import Answer
from tapewright.services.equip import Rig
from tapewright.services.look_up_marks import bands_at
from tapewright.services.reassemble import (
    ITEMS,
    AtRisk,
    Deviation,
    Near,
    Reassembly,
    Rebuilt,
    Risk,
    compared,
    items_of,
    reassemble,
)
from tapewright.words.answer_blocks import Blocks, Mind, Table
from tapewright.words.answer_columns import rounded
from tapewright.words.answer_json import head_json
from tapewright.words.number_format import told
from tapewright.words.quantity_parser import in_unit
from tapewright.words.readings_on_tape import shown_m
from tapewright.words.reassembly_sentences import (
    COUNTED,
    LOOK_FIRST,
    TURNS,
    label,
    list_notes,
    near_words,
    size_words,
    verdict_words,
)
from tapewright.words.unit_system import Units, distance_words

RECORD = Field("record", "Set-up record", takes="FILE", is_file=True,
               hint="What makes the bow itself, measured while it shot well.")  # fmt: skip
AGAIN = Field("again", "Measured again", takes="FILE", is_file=True,
              hint="The same, measured after a journey or a repair; left open: what each thing "
              "costs when it is off.")  # fmt: skip
NEAR = Field("near", "Near group since", takes="FILE", is_file=True,
             hint="Rows of arrows shot since, as in a file of shots: one arrow first, from near "
             "by.")  # fmt: skip
DISTANCES = Field("distances", "Marks at risk at", "20,40,60yd", "18,30,50m", takes="DISTANCES")
Row = tuple[str, str, str, str]  # label, value, ±, moved from where on
LEAST_SHOWN = 0.05  # in or cm: less is told as nothing


@dataclass(frozen=True, eq=False)
class Found:
    """A re-assembly with the two sheets it was found from."""

    reassembly: Reassembly
    record: SetUpSheet
    again: SetUpSheet | None


def _ask(subject: Answer | Rebuilt, said: Said, units: Units) -> Found:
    kept = subject if isinstance(subject, Rebuilt) else Rebuilt(subject)
    text = said.text(RECORD.name) or kept.record
    if not text:
        wrong = "there is no set-up record yet"
        raise BadInput(said.place(RECORD.name), wrong, "Measure the bow and write one first")
    record = read_set_up(text, said.place(RECORD.name))
    more, near = said.text(AGAIN.name) or kept.again, kept.near
    again = read_set_up(more, said.place(AGAIN.name)) if more else None
    if rows := said.text(NEAR.name):
        near, _ = read_shots(rows.replace("\r\n", "\n"), said.place(NEAR.name), kept.answer.rig)
    refuse_useless(kept.answer.rig, record, again, said.place)
    at_m = said.distances(DISTANCES.name, DISTANCES.usual_in(units))
    now = None if again is None else again.measured
    return Found(reassemble(kept.answer, record.measured, now, near, at_m), record, again)


def refuse_useless(
    rig: Rig, record: SetUpSheet, again: SetUpSheet | None, place: Callable[[str], str]
) -> None:
    """Refuse two sheets that nothing can be told from."""
    own = set(items_of(rig.bow)) & record.measured.keys()
    if not own:
        wrong = "nothing in it is of this kind of bow"
        raise BadInput(place(RECORD.name), wrong, "Measure such as its brace height")
    if again is not None and not own & again.measured.keys():
        wrong = "nothing in it is on the record, too"
        raise BadInput(place(AGAIN.name), wrong, "Measure the same again as was recorded")


def _tick_list(found: Reassembly, units: Units) -> tuple[Table, ...]:
    if not found.deviations:
        return ()
    rows = tuple(
        (
            label(one.name),
            size_words(one.name, one.before, units),
            size_words(one.name, one.now, units),
            size_words(one.name, one.by, units, signed=True),
            size_words(one.name, one.sd, units) if one.sd else "counted",
            "moved" if one.is_moved else "as before",
        )
        for one in found.deviations
    )
    heads = ("measured", "recorded", "now", "more by", "± of both", "says")
    same = frozenset(at for at, one in enumerate(found.deviations) if not one.is_moved)
    faint = same if found.moved else frozenset[int]()
    return (Table("The tick list", heads, rows, faint, frozenset({4})),)


def _effect(risk: Risk, at: int, mark: str, units: Units) -> tuple[str, str, str]:
    """High or low, to either side, and what to add to the mark, at one distance."""
    up, sd, side = (
        in_unit(float(one[at]), units.miss) for one in (risk.up_m, risk.up_sd_m, risk.side_m)
    )
    is_shown = abs(up) >= LEAST_SHOWN
    high = told(up, 1, signed=True) if is_shown else "0"
    both = f"{high} ± {told(sd, 1)}" if sd >= LEAST_SHOWN else high
    aside = f"± {told(side, 1)}" if side >= LEAST_SHOWN else "0"
    return both, aside, mark if is_shown else "0"


def _marks(answer: Answer, risk: Risk) -> list[str]:
    """What to add to the mark at each distance: numbers of the tape that is on, else mm."""
    tape, by_m = answer.tape, risk.mark_m.tolist()
    every_mm = [told(1e3 * one, 2, signed=True) for one in by_m]
    if tape is None:
        return every_mm
    at_m = risk.distance_m.tolist()
    old_m = bands_at(answer, at_m).reading_m.tolist()
    marks = []
    for mm, at, old, by in zip(every_mm, at_m, old_m, by_m, strict=True):
        more = (shown_m(tape, old + by, at_m=at) - shown_m(tape, old, at_m=at)) / tape.unit_m
        marks.append(f"{told(more, 1, signed=True)} ({mm} mm)" if isfinite(more) else f"{mm} mm")
    return marks


def _risks(found: Reassembly, units: Units) -> tuple[Table, ...]:
    """What each deviation does at each distance."""
    rows: list[tuple[str, ...]] = []
    for name, risk in _named(found, units):
        if risk is None:
            rows.append((name, "all", "nobody can tell", "", ""))
            continue
        for at, (distance_m, mark) in enumerate(
            zip(risk.distance_m.tolist(), _marks(found.answer, risk), strict=True)
        ):
            where = distance_words(distance_m, units)
            rows.append((name if at == 0 else "", where, *_effect(risk, at, mark, units)))
    title = "Marks at risk, the old mark dialled"
    if not found.deviations:
        title = "What each would cost, just far enough off to be called moved"
    tape = found.answer.tape
    mark = "mark mm" if tape is None else f"mark dial {tape.unit}"
    heads = ("what", "at", f"hits up {units.miss}", f"to a side {units.miss}", mark)
    return (Table(title, heads, tuple(rows)),) if rows else ()


def _named(found: Reassembly, units: Units) -> list[tuple[str, Risk | None]]:
    """Each deviation in words with what it does, and all of them together."""
    lines: list[tuple[str, Risk | None]] = []
    for one in found.at_risk:
        name, by = one.deviation.name, one.deviation.by
        lines.append((f"{label(name)} {size_words(name, by, units, signed=True)}", one.risk))
    if found.together is not None and sum(risk is not None for _, risk in lines) > 1:
        lines.append(("All that can be told", found.together))
    return lines


def _notes(found: Found) -> tuple[str, ...]:
    record, again = found.record, found.again
    told_ = list(list_notes(found.reassembly, again.measured if again else None))
    strings = {one.string.casefold() for one in (record, again) if one and one.string}
    if len(strings) > 1:
        told_.append("Another string is a change: carry the calibration over with a new one.")
    if again and record.shots is not None and (again.shots or 0) > record.shots:
        more = (again.shots or 0) - record.shots
        told_.append(f"The string has shot {more} more since it was recorded.")
    return (*told_, *([f"Photograph: {record.photo}."] if record.photo else []))


def _minded(said: Sequence[str], *, is_wrong: bool) -> tuple[str | Mind, ...]:
    """Sentences, the first of which must not be overlooked where something is wrong."""
    return (Mind(said[0]), *said[1:]) if is_wrong else tuple(said)


def _tell(found: Found, units: Units) -> Blocks:
    one = found.reassembly
    is_off = one.near.verdict in ("moved", "missed")
    is_wrong = bool(one.answer.stops or one.moved) or is_off
    is_asked = bool(one.deviations or one.near.group) or one.near.verdict != "shoot"
    return (
        *_minded(verdict_words(one, units), is_wrong=bool(one.moved)),
        *_tick_list(one, units),
        *_risks(one, units),
        Mind(LOOK_FIRST),
        *(_minded(near_words(one, units), is_wrong=is_wrong) if is_asked else ()),
        *_notes(found),
    )


def _risk_json(risk: Risk | None, units: Units) -> list[dict[str, Any]]:
    if risk is None:
        return []
    unit, miss = units.distance, units.miss
    rows = zip(risk.distance_m, risk.up_m, risk.up_sd_m, risk.side_m, risk.mark_m, strict=True)
    return [
        {
            f"distance_{unit}": rounded(float(at), unit, 4),
            f"up_{miss}": rounded(float(up), miss, 4),
            f"up_sd_{miss}": rounded(float(sd), miss, 4),
            f"side_sd_{miss}": rounded(float(side), miss, 4),
            "mark_mm": rounded(float(mark), "mm", 4),
        }
        for at, up, sd, side, mark in rows
    ]


def _size_json(name: str, value: float) -> float | None:
    is_length = name not in (*TURNS, *COUNTED)
    return rounded(value, "mm" if is_length else "", 4)


def _unit(name: str) -> str:
    return "turns" if name in TURNS else "count" if name in COUNTED else "mm"


def _deviation_json(one: Deviation) -> dict[str, Any]:
    return {
        "name": one.name,
        "unit": _unit(one.name),
        "recorded": _size_json(one.name, one.before),
        "now": _size_json(one.name, one.now),
        "by": _size_json(one.name, one.by),
        "sd": _size_json(one.name, one.sd),
        "errors": rounded(one.errors, "", 3) if isfinite(one.errors) else None,
        "is_usual_sd": one.is_usual,
        "is_moved": one.is_moved,
    }


def _near_json(near: Near, units: Units) -> dict[str, Any]:
    miss, has = units.miss, near.group is not None and near.verdict != "shoot"
    return {
        "verdict": near.verdict,
        f"from_{units.distance}": rounded(near.from_m, units.distance, 4),
        "group": near.group.group.name if near.group else None,
        f"up_{miss}": rounded(near.up_m, miss, 4) if has else None,
        f"right_{miss}": rounded(near.right_m, miss, 4) if has else None,
        f"up_sd_{miss}": rounded(near.up_sd_m, miss, 4) if has else None,
        f"right_sd_{miss}": rounded(near.right_sd_m, miss, 4) if has else None,
        "would": [
            {"name": one.name, "unit": _unit(one.name), "by": _size_json(one.name, one.by),
             "is_signed": one.is_signed}
            for one in near.would
        ],
    }  # fmt: skip


def _write(found: Found, units: Units) -> dict[str, Any]:
    one, again = found.reassembly, found.again

    def at_risk(it: AtRisk) -> dict[str, Any]:
        name, by = it.deviation.name, it.deviation.by
        size = {"name": name, "unit": _unit(name), "by": _size_json(name, by)}
        return size | {"marks": _risk_json(it.risk, units)}

    return head_json("tapewright.setup/1", one.answer) | {
        "recorded_on": found.record.measured_on or None,
        "measured_again_on": (again.measured_on or None) if again else None,
        "photo": found.record.photo or None,
        "is_as_before": not one.moved if one.deviations else None,
        "moved": [it.name for it in one.moved],
        "things": [_deviation_json(it) for it in one.deviations],
        "at_risk": [at_risk(it) for it in one.at_risk],
        "together": _risk_json(one.together, units),
        "near": _near_json(one.near, units),
        "cautions": [*verdict_words(one, units), LOOK_FIRST, *near_words(one, units),
                     *_notes(found)],
    }  # fmt: skip


def record_rows(record: SetUpSheet, rig: Rig, units: Units) -> tuple[Row, ...]:
    """What is recorded of a bow: label, value, how well it is set again, moved from where on."""
    rows = []
    for one in compared(rig.bow, record.measured, record.measured):
        size, sd = size_words(one.name, one.before, units), ITEMS[one.name].sd
        doubt = size_words(one.name, record.measured[one.name].sd or sd, units)
        from_ = size_words(one.name, one.least, units)
        doubt, from_ = (f"± {doubt}", from_) if sd else ("counted", "any")
        rows.append((label(one.name), size, doubt, from_))
    return tuple(rows)


def string_words(record: SetUpSheet) -> str:
    """Which string it is and what it has shot; empty where nobody said."""
    shots = "" if record.shots is None else f"{record.shots} shots"
    told_ = ", ".join(filter(None, (record.string, shots)))
    return f"String: {told_}." if told_ else ""


QUESTION = Question(
    "setup", "Set up as before",
    "Whether a bow that was taken apart is set up as it was recorded: what has moved, which marks "
    "that puts at risk and by how much, and what one near group says.",
    (RECORD, AGAIN, NEAR, DISTANCES), _ask, _tell, _write, needs=("record",), is_of_setup=True,
    parts=("near",),
    more='"tapewright new BOW.toml --setup" writes a record to fill in. Measure while the bow '
    "shoots well; afterwards measure the same again into a copy.",
)  # fmt: skip
