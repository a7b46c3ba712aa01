"""Setup: measure a bow against its set-up record after a journey or a repair.

Holds:  the question ``setup``: its fields, columns, sentences and cautions; labels of what is
        measured.
Never:  formulas, how a face asks and shows, where a record is kept.
Source: how well a thing is set again is common practice, no source.
"""

from collections.abc import Mapping, Sequence
from math import isfinite
from typing import Any

from tapewright.ground.errors import BadInput
from tapewright.questions.question import Field, Question, Said
from tapewright.reading.set_up import SetUpSheet, read_set_up
from tapewright.reading.set_up_fields import SET_UP
from tapewright.reading.shots import read_shots
from tapewright.services.calibrate import Answer
from tapewright.services.equip import Rig, kind_of
from tapewright.services.reassemble import (
    ITEMS,
    AtRisk,
    Deviation,
    Measured,
    Near,
    Reassembly,
    Rebuilt,
    Risk,
    compared,
    items_of,
    reassemble,
)
from tapewright.words.answer import head_json
from tapewright.words.blocks import Blocks, Mind, Table
from tapewright.words.columns import rounded
from tapewright.words.numbers import counted, told
from tapewright.words.quantities import format_quantity, in_unit
from tapewright.words.units import Units, amount, distance_words

RECORD = Field("record", "Set-up record", takes="FILE", is_file=True,
               hint="What makes the bow itself, measured while it shot well.")  # fmt: skip
AGAIN = Field("again", "Measured again", takes="FILE", is_file=True,
              hint="The same, measured after a journey or a repair; left open: what each thing "
              "costs when it is off.")  # fmt: skip
NEAR = Field("near", "Near group since", takes="FILE", is_file=True,
             hint="Rows of arrows shot since, as in a file of shots: one arrow first, from near "
             "by.")  # fmt: skip
DISTANCES = Field("distances", "Marks at risk at", "20,40,60yd", "18,30,50m", takes="DISTANCES")
COUNTED = ("sight.hole", "sight.notch")
TURNS = ("limbs.upper_bolt", "limbs.lower_bolt")
MOST_WOULD = 3
LEAST_TOLD = 0.0195  # in: finer is told in thousandths
LOOK_FIRST = (
    "Before the string goes on, and before the first arrow: look limbs, string, cables, cams, "
    "rest, nocks and shafts over. Anything cracked, frayed or loose: do not shoot. Limb bolts "
    "never out past what the maker allows; a compound's string, cables and peep are press work for "
    "a qualified technician."
)
PUT_BACK = {
    "limbs.upper_bolt": "turn the bolts back as recorded, both limbs unstrained as the maker says",
    "limbs.lower_bolt": "turn the bolts back as recorded, both limbs unstrained as the maker says",
    "limbs.brace_height": "twist the string back to it (a compound's in a press, by a technician)",
    "limbs.tiller": "look at both limb bolts, and whether the limbs sit right",
    "string.nock_height": "tie or slide the nocking point back",
    "string.loop_height": "turn and pull the loop straight, or tie it anew",
    "string.peep_height": "slide the peep back and serve it in (in a press, by a technician)",
    "rest.side": "move the rest back",
    "rest.height": "move the rest back",
    "sight.ahead": "set the extension back",
    "sight.windage": "turn the windage back",
    "sight.hole": "bolt the sight back where it was",
    "sight.notch": "set the extension back to its notch",
}


def label(name: str) -> str:
    """What people call an item."""
    return SET_UP.keys[name].label


def size_words(name: str, value: float, units: Units, *, signed: bool = False) -> str:
    """A measured value, or a difference of two, as people read it."""
    sign = "+" if signed and value > 0.0 else ""
    if name in COUNTED:
        return f"{sign}{value:.0f}"
    if name in TURNS:
        return f"{sign}{told(value, 2)}"
    unit, fine = units.length, in_unit(abs(value), units.length) < LEAST_TOLD
    decimals = 1 if unit == "mm" else 3 if fine and value else 2
    return sign + format_quantity(value, unit, decimals)


def _ask(subject: Answer | Rebuilt, said: Said, units: Units) -> tuple[Reassembly, SetUpSheet,
                                                                       SetUpSheet | None]:  # fmt: skip
    kept = subject if isinstance(subject, Rebuilt) else Rebuilt(subject)
    text = said.text(RECORD.name) or kept.record
    if not text:
        wrong = "there is no set-up record yet"
        raise BadInput(said.place(RECORD.name), wrong, "Measure the bow and write one first")
    record = read_set_up(text, said.place(RECORD.name))
    more = said.text(AGAIN.name) or kept.again
    again = read_set_up(more, said.place(AGAIN.name)) if more else None
    near = kept.near
    if rows := said.text(NEAR.name):
        near, _ = read_shots(rows.replace("\r\n", "\n"), said.place(NEAR.name), kept.answer.rig)
    if again is not None and not set(again.measured) & set(record.measured) & set(ITEMS):
        wrong = "nothing in it is on the record, too"
        raise BadInput(said.place(AGAIN.name), wrong, "Measure the same again as was recorded")
    at_m = said.distances(DISTANCES.name, DISTANCES.usual_in(units))
    now = None if again is None else again.measured
    return reassemble(kept.answer, record.measured, now, near, at_m), record, again


Found = tuple[Reassembly, SetUpSheet, SetUpSheet | None]


def not_of(rig: Rig, measured: Mapping[str, Any]) -> tuple[str, ...]:
    """What stands in a record and a bow of this kind does not have."""
    return tuple(name for name in measured if name in ITEMS and name not in items_of(rig.bow))


def _deviations(found: Reassembly, units: Units) -> tuple[Table, ...]:
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
    faint = frozenset(at for at, one in enumerate(found.deviations) if not one.is_moved)
    heads = ("measured", "recorded", "now", "more by", "± of both", "says")
    return (Table("The tick list", heads, rows, faint if found.moved else frozenset(),
                  frozenset({4})),)  # fmt: skip


def _effect(risk: Risk | None, at: int, units: Units) -> tuple[str, str, str]:
    """High or low, to the side, and the mark, of one distance."""
    if risk is None:
        return "nobody can tell", "", ""
    up, sd, side = (
        in_unit(float(one[at]), units.miss) for one in (risk.up_m, risk.up_sd_m, risk.side_m)
    )
    high = told(up, 1, signed=True) if abs(up) >= 0.05 else "0"
    both = f"{high} ± {told(sd, 1)}" if sd >= 0.05 else high
    mark = told(1e3 * float(risk.mark_m[at]), 2, signed=True) if abs(up) >= 0.05 else "0"
    return both, f"± {told(side, 1)}" if side >= 0.05 else "0", mark


def _risks(found: Reassembly, at_m: Sequence[float], units: Units) -> tuple[Table, ...]:
    """What each deviation does at each distance."""
    if not found.at_risk:
        return ()
    rows = []
    lines = [(f"{label(one.deviation.name)} "
              f"{size_words(one.deviation.name, one.deviation.by, units, signed=True)}", one.risk)
             for one in found.at_risk]  # fmt: skip
    if len(found.moved) > 1 and found.together is not None:
        lines.append(("all of it", found.together))
    for name, risk in lines:
        for at, distance_m in enumerate(at_m if risk is not None else at_m[:1]):
            where = distance_words(distance_m, units) if risk is not None else "every mark"
            rows.append((name if at == 0 else "", where, *_effect(risk, at, units)))
    title = "Marks at risk, the old mark dialled"
    if not found.deviations:
        title = "What each would cost, just far enough off to be named"
    heads = ("what", "at", f"hits up {units.miss}", f"to a side {units.miss}", "mark mm")
    return (Table(title, heads, tuple(rows)),)


def moved_words(one: Deviation, units: Units) -> str:
    """One thing that has moved, and what to do."""
    more = "more" if one.by > 0.0 else "less"
    by = size_words(one.name, abs(one.by), units)
    far = f" ({told(abs(one.errors), 1)} of its errors)" if isfinite(one.errors) else ""
    turns = " turns" if one.name in TURNS else ""
    return f"{label(one.name)}: {by}{turns} {more} than recorded{far}. Mend: {PUT_BACK[one.name]}."


def _verdict(found: Reassembly, units: Units) -> tuple[str | Mind, ...]:
    if not found.deviations:
        number = counted(len(found.at_risk), "thing")
        return (f"{number} recorded; nothing measured again yet.",)
    number = counted(len(found.deviations), "thing")
    if not found.moved:
        return (f"{number} measured again: all as before.",)
    rest = "; the others are as before" if len(found.moved) < len(found.deviations) else ""
    names = ", ".join(label(one.name) for one in found.moved)
    return (Mind(f"Moved: {names}{rest}."), *(moved_words(one, units) for one in found.moved))


def _miss_words(near: Near, units: Units) -> str:
    """Where the near group lies from where it was foretold."""
    assert near.group is not None
    told_ = []
    for by_m, sd_m, words in ((near.up_m, near.up_sd_m, ("low", "high")),
                              (near.right_m, near.right_sd_m, ("left", "right"))):  # fmt: skip
        if isfinite(by_m):
            told_.append(f"{amount(abs(by_m), units.miss)} {words[by_m > 0.0]} "
                         f"(± {amount(1.645 * sd_m, units.miss)})")  # fmt: skip
    where = distance_words(near.group.distance_m, units)
    return f"At {where} the group lies {' and '.join(told_)} of where it was foretold"


def near_words(found: Reassembly, units: Units) -> tuple[str | Mind, ...]:
    """What the near group says, or how it is to be shot."""
    near, stops = found.near, found.answer.stops
    if stops:
        return (Mind("This set-up must not be shot: no near group until that is mended."),)
    where = distance_words(near.from_m, units)
    if near.verdict == "unknown":
        return ("No group had hit with this bow before it was taken apart, so no near group can "
                "say that it is as before.",)  # fmt: skip
    if near.verdict == "shoot":
        return (f"Then one near group, from {where} or nearer, at a large butt with a safe stop: "
                "one arrow, then look; the others only if it hit where it may. Nothing farther "
                "until it fits.",)  # fmt: skip
    if near.verdict == "missed":
        return (Mind(f"Arrows went past the butt: not as before. The next from {where} or nearer, "
                     "and only when the reason is found."),)  # fmt: skip
    miss = _miss_words(near, units)
    if near.verdict == "as before":
        return (f"As before: {miss[0].lower()}{miss[1:]}, no more than chance explains. The old "
                "marks hold as far as they did.",)  # fmt: skip
    would = [
        f"{label(one.name)} {'' if one.is_signed else 'off '}by "
        f"{size_words(one.name, one.by if one.is_signed else abs(one.by), units, signed=True)}".replace(
            "off by +", "off by "
        )
        for one in near.would[:MOST_WOULD]
    ]
    first = f"What would do it, look there first: {'; '.join(would)}." if would else (
        "Nothing on the record explains it: look for what is not on it.")  # fmt: skip
    return (
        Mind(f"Not as before: {miss}, more than chance explains. Shoot no farther."),
        first,
        "Mend it and shoot a near group anew; or carry the calibration over as a change.",
    )


def _notes(found: Found) -> tuple[str, ...]:
    answer, (one, record, again) = found[0].answer, found
    told_ = []
    if one.deviations:
        tested = sum(bool(dev.sd) for dev in one.deviations)
        told_.append(
            f"Named is what is {told(one.deviations[0].least / one.deviations[0].sd, 1)} of its "
            f"errors off or more: of {tested} tested together, a bow put together as it was is "
            "called moved 3 times in a hundred."
            if one.deviations[0].sd
            else "Only counted things were compared."
        )
    missing = [label(name) for name in items_of(answer.rig.bow)
               if again is not None and name in one.recorded and name not in again.measured]  # fmt: skip
    if missing:
        told_.append(f"On the record and not measured again: {', '.join(missing)}.")
    told_ += filter(None, (usual_words(one.recorded, answer.rig),))
    for name in dict.fromkeys((*not_of(answer.rig, one.recorded),
                               *not_of(answer.rig, again.measured if again else ()))):  # fmt: skip
        told_.append(f"{label(name)} is left out: not of a {kind_of(answer.rig.bow)}.")
    return (*told_, *_string_notes(record, again))


def usual_words(recorded: Measured, rig: Rig) -> str:
    """Of which things the ± is what is usual; empty for none."""
    usual = [label(name) for name in items_of(rig.bow)
             if name in recorded and ITEMS[name].sd and recorded[name].sd is None]  # fmt: skip
    if not usual:
        return ""
    return (f"Without a ± of your own the usual one is taken (common practice, no source): "
            f"{', '.join(usual)}.")  # fmt: skip


def _string_notes(record: SetUpSheet, again: SetUpSheet | None) -> tuple[str, ...]:
    if again is None:
        return ()
    told_ = []
    if record.string and again.string and record.string.casefold() != again.string.casefold():
        told_.append("Another string is a change: carry the calibration over with a new string.")
    if record.shots is not None and again.shots is not None and again.shots > record.shots:
        told_.append(
            f"The string has shot {again.shots - record.shots} more since it was recorded."
        )
    return tuple(told_)


def _at_m(found: Reassembly) -> Sequence[float]:
    every = (found.together, *(one.risk for one in found.at_risk))
    return next((one.distance_m.tolist() for one in every if one is not None), [0.0])


def _tell(found: Found, units: Units) -> Blocks:
    one, record, _ = found
    picture = (f"Photograph: {record.photo}.",) if record.photo else ()
    return (
        *_verdict(one, units),
        *_deviations(one, units),
        *_risks(one, _at_m(one), units),
        Mind(LOOK_FIRST),
        *near_words(one, units),
        *_notes(found),
        *picture,
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
    miss, has = units.miss, near.group is not None
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


def _said(blocks: Sequence[str | Mind]) -> list[str]:
    return [one.text if isinstance(one, Mind) else one for one in blocks]


def _write(found: Found, units: Units) -> dict[str, Any]:
    one, record, again = found

    def at_risk(it: AtRisk) -> dict[str, Any]:
        name, by = it.deviation.name, it.deviation.by
        return {"name": name, "unit": _unit(name), "by": _size_json(name, by),
                "marks": _risk_json(it.risk, units)}  # fmt: skip

    return head_json("tapewright.setup/1", one.answer) | {
        "recorded_on": record.measured_on or None,
        "measured_again_on": (again.measured_on or None) if again else None,
        "photo": record.photo or None,
        "is_as_before": not one.moved if one.deviations else None,
        "moved": [it.name for it in one.moved],
        "things": [_deviation_json(it) for it in one.deviations],
        "at_risk": [at_risk(it) for it in one.at_risk],
        "together": _risk_json(one.together, units),
        "near": _near_json(one.near, units),
        "cautions": _said((*_verdict(one, units), LOOK_FIRST, *near_words(one, units),
                           *_notes(found))),
    }  # fmt: skip


def record_rows(record: SetUpSheet, rig: Rig, units: Units) -> tuple[tuple[str, str, str], ...]:
    """What is recorded of a bow: label, value, how well it is set again."""
    rows = []
    for name in items_of(rig.bow):
        if (said := record.measured.get(name)) is not None:
            sd = said.sd or ITEMS[name].sd
            doubt = f"± {size_words(name, sd, units)}" if sd else "counted"
            turns = " turns" if name in TURNS else ""
            rows.append((label(name), size_words(name, said.value, units) + turns, doubt))
    return tuple(rows)


def string_words(record: SetUpSheet) -> str:
    """Which string it is and what it has shot; empty where nobody said."""
    shots = "" if record.shots is None else f"{record.shots} shots"
    told_ = ", ".join(filter(None, (record.string, shots)))
    return f"String: {told_}." if told_ else ""


def moved_from(record: SetUpSheet, rig: Rig, units: Units) -> tuple[tuple[str, str], ...]:
    """From which difference on each recorded thing is called moved, when all are measured again."""
    return tuple(
        (one.name, size_words(one.name, one.least, units) if one.sd else "any")
        for one in compared(rig.bow, record.measured, record.measured)
    )


QUESTION = Question(
    "setup", "Set up as before",
    "Whether a bow that was taken apart is set up as it was recorded: what has moved, which marks "
    "that puts at risk and by how much, and what one near group says.",
    (RECORD, AGAIN, NEAR, DISTANCES), _ask, _tell, _write, needs=("record",), is_of_setup=True,
    parts=("near",),
    more='"tapewright new BOW.toml --setup" writes a record to fill in. Measure while the bow '
    "shoots well; afterwards measure the same again into a copy.",
)  # fmt: skip
