"""Broadheads: whether they may be shot with the marks of field points, and how far.

Holds:  the question ``broadheads``: its fields, columns, sentences and cautions.
Never:  formulas, how a face asks and shows.
Source: what to look at, and that blades need butts of their own, is common practice, no source.
"""

from math import nan
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tapewright.ground.units import UNITS
from tapewright.questions.question import Field, Measure, Question, Said
from tapewright.questions.shared_fields import BUTT, read_butt
from tapewright.services.calibrate import Answer
from tapewright.services.compare_points import Compared, GroupCheck, compare_points
from tapewright.words.answer_blocks import Blocks, Mind
from tapewright.words.answer_columns import Column, each, records, rounded, table
from tapewright.words.answer_json import head_json
from tapewright.words.cautions import BLADES_STOP, SAFETY
from tapewright.words.marks_table import AT
from tapewright.words.number_format import counted
from tapewright.words.readings_on_tape import dial_json, dial_words, fill_words, told_columns
from tapewright.words.sight_moves import hit_words
from tapewright.words.trust_sentences import trusted_words
from tapewright.words.unit_system import Units, amount, distance_words, round_amount

Floats = NDArray[np.float64]

DISTANCES = Field("distances", "Distances", "10:60:10yd", "10:60:10m", "Where it is told.",
                  takes="LIST")  # fmt: skip
WANTED = Field("wanted", "Broadheads wanted to", takes="DISTANCE",
               hint="Left open: as far as field points are trusted.")  # fmt: skip
BLADES = Field(
    "blades", "Blades, tip to tip", takes="LENGTH",
    hint="As they stand in flight; left open: the sheet's blade_diameter.",
    measure=Measure("length", (5.0, 100.0, "mm"), "30 mm"),
)  # fmt: skip
SHARP = "Blades are sharp: nock and draw with the hand well behind them, and pull them with care."
CAUTIONS = (BLADES_STOP, SHARP, SAFETY[2], SAFETY[5])
ALIKE = (
    "Weigh both: they must be alike. Leave the windage alone between them, and write each group's "
    "point down, broadhead or field (in a file the column head, on a page under More). Broadheads "
    "calibrate no mark of field points."
)
LOOK = (
    "Look first at the arrow: points that spin true, shafts as straight and as stiff as the "
    "broadhead asks for, vanes that touch nothing. Then at the bow: rest and nocking point, moved "
    "in steps of half a millimetre toward where broadheads shall go, and both points shot again."
)
TUNED = (
    "A bow that was tuned is a changed bow: carry it over with change, and shoot a near group "
    "first."
)
ELSEWHERE = (
    "Broadheads shot far colder or warmer than the calibration's own arrows fly otherwise for two "
    "reasons at once, and tell nothing here"
)
BLADES_FIRST = (
    "Measure the blades before the next broadhead (blade_diameter of the sheet, or Blades here): "
    "they pass under the sight's housing and past your hand."
)
NEARER = f"If a nearer distance will do, say so ({WANTED.label}): it is answered sooner."


def _ask(answer: Answer, said: Said, units: Units) -> Compared:
    distances_m = said.distances(DISTANCES.name, DISTANCES.usual_in(units))
    wanted_m = answer.trusted_m[0]
    if said.text(WANTED.name):
        wanted_m = said.one_distance(WANTED.name, "", unit=units.distance).distances_m[0]
    blades_m, unit_m = said.quantity_if_said(BLADES), UNITS[units.distance].factor
    return compare_points(answer, distances_m, wanted_m, read_butt(said, units), unit_m, blades_m)


def _own_m(found: Compared) -> Floats:
    """Marks of broadheads, where a group of them carries it. [m]"""
    is_carried = found.own.distance_m <= found.ladder.carries_m + 1e-6
    is_told = is_carried & (found.verdict == "own")
    return np.where(is_told, found.own.reading_m, nan)


def _are_trusted(found: Compared) -> list[bool]:
    return [bool(one <= found.trusted_m + 1e-6) for one in found.field.distance_m]


def _columns(found: Compared) -> list[Column[Compared]]:
    columns: tuple[Column[Compared], ...] = (
        Column("{unit}", "distance_{unit}", "field.distance_m", "distance", None, 4),
        Column("field mm", "field_reading_mm", "field.reading_m", "mm", kept=4, tape="first",
               half=("field.low_m", "field.high_m")),
        Column("broadhead mm" if found.verdict == "own" else "", "broadhead_reading_mm", _own_m,
               "mm", kept=4, tape="first" if found.verdict == "own" else "",
               half=("own.low_m", "own.high_m")),
        Column("up {unit}", "up_{unit}", "there.up_m", "miss", kept=4, signed=True,
               half="there.up_half_m", banded=True),
        Column("right {unit}", "right_{unit}", "there.right_m", "miss", kept=4, signed=True,
               half="there.right_half_m", banded=True),
        Column("", "up_half_{unit}", "there.up_half_m", "miss", kept=4),
        Column("", "right_half_{unit}", "there.right_half_m", "miss", kept=4),
        Column("", "is_trusted", _are_trusted),
    )  # fmt: skip
    return told_columns(columns, found.answer, 1, f"field.{AT}")


GROUPS: tuple[Column[tuple[GroupCheck, ...]], ...] = (
    Column("group", "group", each(lambda one: one.name)),
    Column("{unit}", "distance_{unit}", each(lambda one: one.distance_m), "distance", None, 4),
    Column("", "up_{unit}", each(lambda one: one.miss_up_m), "miss", kept=4),
    Column("", "right_{unit}", each(lambda one: one.miss_right_m), "miss", kept=4),
    Column("", "arrows", each(lambda one: one.arrows)),
    Column("", "is_odd", each(lambda one: one.is_odd)),
)


def _lies(found: Compared, units: Units) -> str:
    """Where broadheads hit with the marks of field points, as far as they are wanted."""
    lies, at = found.at_wanted, distance_words(found.wanted_m, units)
    right_m, up_m = float(lies.right_m[0]), float(lies.up_m[0])
    half = amount(float(max(lies.up_half_m[0], lies.right_half_m[0])), units.miss)
    return f"at {at} they hit {hit_words(right_m, up_m, units.miss)}, ± {half}"


def _verdict(found: Compared, units: Units) -> str:
    wanted = distance_words(found.wanted_m, units)
    tolerance = round_amount(found.answer.rig.archer.tolerance_m, units.miss)
    if found.is_new:
        return "No broadhead was shot yet, so nothing is trusted of them."
    lies = _lies(found, units)
    if found.verdict == "same":
        far = "" if found.trusted_m >= found.wanted_m - 1e-6 else ", as far as these groups tell"
        return (
            f"Same marks{far}: with those of field points broadheads miss by less than "
            f"{tolerance} up to {wanted} ({lies})."
        )
    if found.verdict == "own":
        return f"Own marks: with those of field points {lies}. Dial the broadheads' own, below."
    if found.verdict == "tune":
        return f"Tune first: with the marks of field points {lies}. No mark mends a side."
    if found.more is None:
        return (
            f"Shoot more: {lies}, which lies so near {tolerance} that even sixty more broadheads "
            f"would hardly tell. {NEARER}"
        )
    return (
        f"Shoot more: nobody can tell yet whether broadheads miss by less than {tolerance} up to "
        f"{wanted} ({lies}). {found.more} more broadheads, and as many field points, will likely "
        f"tell. {NEARER}"
    )


def _trust(found: Compared, units: Units) -> str:
    reach = trusted_words(found.trusted_m, units)
    field = trusted_words(found.answer.trusted_m[0], units)
    why = "no farther than a fitting group of them has hit" if found.trusted_m else "not yet"
    return f"Trusted with broadheads: {reach}, {why}; with field points: {field}."


def _next(found: Compared, units: Units) -> tuple[str, ...]:
    if found.asks_blades:
        return (BLADES_FIRST,)
    if found.verdict == "tune":
        return (LOOK, TUNED)
    one = found.next
    if one is None:
        if found.trusted_m >= found.wanted_m - 1e-6:
            return ()
        return ("No next group is safe: a larger butt, or a nearer distance wanted, may open one.",)
    at = distance_words(one.distance_m, units)
    dial = dial_words(found.answer, one.reading_m, one.half_m, at_m=one.distance_m)
    fields = counted(one.field_points, "field point")
    if not one.broadheads:
        return (
            f"Next: {fields} beside the last broadheads, at {at}, as they were dialled: {dial}.",
        )
    pairs = f"{counted(one.broadheads, 'broadhead')} and {fields}"
    return (f"Next: {pairs} at {at}, all with the mark of field points: dial {dial}.", ALIKE)


def _odd(found: Compared, units: Units) -> tuple[str, ...]:
    return tuple(
        f"Broadhead group {one.name} at {distance_words(one.distance_m, units)} does not fit the "
        f"others: it lies {hit_words(one.miss_right_m, one.miss_up_m, units.miss)} of where they "
        "put it. Look at its arrows, and shoot it again."
        for one in found.odd
    )


def _alone(found: Compared) -> tuple[str, ...]:
    names, far = ", ".join(found.alone), ", ".join(found.elsewhere)
    said = f"No field points were shot beside {names}, at the same distance with the same number: "
    return (
        *((said + "what lies to a side may then be the windage's.",) if names else ()),
        *((f"{ELSEWHERE}: {far}.",) if far else ()),
    )


def _tell(found: Compared, units: Units) -> Blocks:
    verdict, after = _verdict(found, units), _next(found, units)
    beyond = np.flatnonzero(found.field.distance_m > found.trusted_m + 1e-6).tolist()
    title = "Where broadheads hit with the marks of field points; what is not trusted is faint"
    is_told = not found.is_new
    return (
        Mind(verdict) if found.verdict == "tune" or found.is_new else verdict,
        *(() if found.is_new else (_trust(found, units),)),
        *after,
        *map(Mind, (*_odd(found, units), *_alone(found))),
        *([table(title, _columns(found), found, units, beyond)] if is_told else []),
        *map(Mind, CAUTIONS),
    )


def _write(found: Compared, units: Units) -> dict[str, Any]:
    unit, one = units.distance, found.next
    following = one and {
        f"distance_{unit}": rounded(one.distance_m, unit, 4),
        "reading_mm": rounded(one.reading_m, "mm", 4),
        **dial_json(found.answer.tape, one.reading_m, at_m=one.distance_m),
        "broadheads": one.broadheads,
        "field_points": one.field_points,
    }
    return head_json("tapewright.broadheads/1", found.answer) | {
        "verdict": found.verdict,
        f"wanted_{unit}": rounded(found.wanted_m, unit, 4),
        f"trusted_distance_{unit}": rounded(found.trusted_m or None, unit),
        f"field_trusted_distance_{unit}": rounded(found.answer.trusted_m[0], unit),
        "more_broadheads": found.more,
        "next": following,
        "at": records(_columns(found), found, units),
        "groups": records(GROUPS, found.checks, units),
        "cautions": [
            _verdict(found, units), *_next(found, units), *_odd(found, units), *_alone(found),
            *CAUTIONS,
        ],
    }  # fmt: skip


def _groups(found: Compared, units: Units) -> tuple[tuple[str, dict[str, str]], ...]:
    """Broadheads and field points that are shot next, as a group's form takes them."""
    one = found.next
    if one is None:
        return ()
    heads = {"broadhead": "Write broadheads down"} if one.broadheads else {}
    heads |= {"field": "Then field points" if heads else "Write field points down"}
    shot = {
        "distance": distance_words(one.distance_m, units),
        "reading": fill_words(found.answer, one.reading_m, one.half_m, at_m=one.distance_m),
    }
    return tuple((words, shot | {"head": head}) for head, words in heads.items())


QUESTION = Question(
    "broadheads", "Broadheads",
    "Whether broadheads may be shot with the marks of field points, with marks of their own, or "
    "only once the bow is tuned; how far they are trusted, and what to shoot next.",
    (WANTED, BLADES, DISTANCES, BUTT), _ask, _tell, _write, shelf="check", first=2, groups=_groups,
    more="Shoot both side by side, field points' mark dialled for both, and write field or "
    "broadhead in the column head of SHOTS.csv. A broadhead is trusted no farther than a fitting "
    "group of broadheads has hit.",
)  # fmt: skip
