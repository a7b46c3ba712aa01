"""Bolt: in which hole, on which extension and in which housing a sight reaches what is wanted.

Holds:  the question ``bolt``: its fields, columns, sentences and cautions.
Never:  formulas, how a face asks and shows.
Source: how well anybody sees where an arrow points is common practice, no source.
"""

from collections.abc import Sequence
from itertools import product
from typing import Any

from tapewright.ground.errors import BadInput
from tapewright.questions.limits import VANE_TOUCHES, reach_json, reach_words
from tapewright.questions.question import Field, Measure, Question, Said
from tapewright.questions.shared_fields import said_lengths
from tapewright.services.calibrate import Answer
from tapewright.services.choose_mounting import (
    FoundMountings,
    Mounting,
    MountingReach,
    Seen,
    choose_mounting,
)
from tapewright.words.answer_blocks import Blocks, Mind, Table
from tapewright.words.answer_columns import rounded
from tapewright.words.number_format import plain
from tapewright.words.trust_sentences import head_json
from tapewright.words.unit_system import Units, amount, distance_words

MOST_MOUNTINGS, SHOWN = 60, 12
PLACES = (1, 12)
WANTED = Field("wanted", "Wanted", "20,80yd", "18,70m", "Nearest and farthest distance.",
               takes="NEAR,FAR")  # fmt: skip
HOLES = Field(
    "holes", "Heights of the holes", "0 mm",
    hint="At which the sight can be bolted, above hole 1: such as 0, 10, 20 mm.", takes="LENGTHS",
)  # fmt: skip
HOLE = Field("hole", "Hole now", "1", hint="Where it is bolted, 1 the first of these.",
             takes="NUMBER")  # fmt: skip
EXTENSIONS = Field(
    "extensions", "Reach of the extension", "0 mm",
    hint="Forward at each notch, from notch 1: such as 0, 25, 50 mm.", takes="LENGTHS",
)  # fmt: skip
EXTENSION = Field("extension", "Notch now", "1", hint="In which the extension sits.",
                  takes="NUMBER")  # fmt: skip
HOUSINGS = Field(
    "housings", "Housings to choose from",
    hint="How far each reaches below the first pin, such as 20, 26 mm; left open, that of the "
    "sheet.", takes="LENGTHS",
)  # fmt: skip
TRAVEL = Field(
    "travel", "Ends of the travel",
    hint="The numbers at both stops, such as 0, 85 mm; left open, those of the sheet.",
    takes="READINGS",
)  # fmt: skip
SEEN = Field(
    "seen", "Reading seen along the arrow", takes="READING",
    hint="Only before the first arrow was shot. At full draw on a range, an arrow nocked and "
    "pointed at a near butt: the number at which the pin stands on the spot at which the arrow "
    "points, as somebody close behind you sees it.",
    measure=Measure("length", (-500.0, 500.0, "mm"), "31 mm"),
)  # fmt: skip
SEEN_AT = Field("seen_at", "Seen from", "5 yd", "5 m", "Eye to that spot, 10 yd or nearer.",
                takes="DISTANCE")  # fmt: skip
SEEN_DOUBT = Field(
    "seen_doubt", "How sure that look is", "4 mrad", hint="Right two times in three.",
    measure=Measure("angle", (0.5, 30.0, "mrad"), "4 mrad"),
)  # fmt: skip
SEEN_NEAREST_M, SEEN_FARTHEST_M = 1.0, 10.01
LOOK = (
    "Look along the arrow only on a range, an arrow nocked and pointed at a near butt with a safe "
    "stop behind it, nobody in front of the bow; let the string down slowly. Never draw without an "
    "arrow."
)
ANEW = (
    "Bolted elsewhere, every mark is another: take the old tape off, shoot one near arrow from 10 "
    "yd (9 m) or nearer first, then new groups on a new sheet."
)
NO_CLEARANCE = (
    "Nothing tells where housing and arrow meet: measure clearance_reading, or the far end may be "
    "out of reach."
)
NO_GAIN = (
    "The reading per pin travel is not measured, which leaves these ends wide: measure "
    "reading_per_travel first."
)


def _ask(answer: Answer, said: Said, units: Units) -> FoundMountings:
    wanted = said.distances("wanted", WANTED.usual_in(units))
    if len(wanted) != 2 or wanted[0] >= wanted[1]:
        such = WANTED.usual_in(units)
        raise BadInput(said.place("wanted"), "this is not near and far", f"Write such as {such}")
    holes_m, extensions_m = said_lengths(said, HOLES, units), said_lengths(said, EXTENSIONS, units)
    housings_m = said_lengths(said, HOUSINGS, units) or (None,)
    hole, extension = (
        _now(said, field, len(there))
        for field, there in ((HOLE, holes_m), (EXTENSION, extensions_m))
    )
    mountings = tuple(
        Mounting(up + 1, ahead + 1, case + 1, holes_m[up] - holes_m[hole],
                 extensions_m[ahead] - extensions_m[extension], housings_m[case])
        for up, ahead, case in product(*(range(len(one)) for one in (holes_m, extensions_m,
                                                                     housings_m)))
    )  # fmt: skip
    if len(mountings) > MOST_MOUNTINGS:
        wrong = f"these are {len(mountings)} ways to bolt it, more than {MOST_MOUNTINGS}"
        raise BadInput(said.place("holes"), wrong, "Leave out those that you would not take")
    travel_m, seen = _travel(said, units), _seen(said, units)
    return choose_mounting(answer, mountings, (wanted[0], wanted[1]), travel_m, seen)


def _now(said: Said, field: Field, there: int) -> int:
    """Place, from 0, of the hole or notch that is in use."""
    now = said.whole(field.name, 1, PLACES)
    if now > there:
        wrong = (
            f"{now} is not among the {there} that were told" if there > 1 else "only one is told"
        )
        raise BadInput(said.place(field.name), wrong, "Tell all of them, the first first")
    return now - 1


def _travel(said: Said, units: Units) -> tuple[float, float] | None:
    ends_m = sorted(said_lengths(said, TRAVEL, units))
    if not ends_m:
        return None
    if len(ends_m) != 2 or ends_m[0] == ends_m[1]:
        wrong = "a travel has two ends"
        raise BadInput(said.place("travel"), wrong, "Write both numbers, such as 0, 85 mm")
    return ends_m[0], ends_m[1]


def _seen(said: Said, units: Units) -> Seen | None:
    reading_m = said.quantity_if_said(SEEN)
    if reading_m is None:
        return None
    at_m = said.distance("seen_at", SEEN_AT.usual_in(units))
    if not SEEN_NEAREST_M <= at_m <= SEEN_FARTHEST_M:
        wrong = "the butt must be near for a look along the arrow"
        raise BadInput(said.place("seen_at"), wrong, f"Take one, such as {SEEN_AT.usual_in(units)}")
    return Seen(reading_m, at_m, said.quantity(SEEN_DOUBT, units))


def _told_apart(found: FoundMountings) -> tuple[bool, bool, bool]:
    """Whether holes, notches and housings differ at all."""
    every = [one.mounting for one in found.ranked]
    return (
        len({one.hole for one in every}) > 1,
        len({one.extension for one in every}) > 1,
        len({one.housing for one in every}) > 1,
    )


def _named(one: Mounting, apart: Sequence[bool]) -> str:
    """A mounting as people say it."""
    housing = f"housing {one.housing}"
    if one.below_pin_m is not None:
        housing += f" ({plain(1e3 * one.below_pin_m, 1)} mm below the pin)"
    said = (f"hole {one.hole}", f"extension {one.extension}", housing)
    told = ", ".join(word for word, is_told in zip(said, apart, strict=True) if is_told)
    return told or "as it is bolted now"


def _range(one: MountingReach, units: Units, pin: int = 0) -> tuple[str, str, str]:
    """Nearest, farthest and their bands of all pins, or of one, without units."""
    reach = one.pins[pin - 1] if pin else None
    nearest_m, farthest_m = (
        (reach.nearest_m, reach.farthest_m) if reach else (one.nearest_m, one.farthest_m)
    )
    words = [[reach_words(one, end, units) for end in ends] for ends in (nearest_m, farthest_m)]
    band = "; ".join(low if low == high else f"{low} to {high}" for _, low, high in words)
    return words[0][0], words[1][0], band


def _in(words: str, unit: str) -> str:
    """A distance told as words, with its unit before "or more"."""
    number, more, _ = words.partition(" or more")
    return f"{number} {unit}{more}"


def _best_words(found: FoundMountings, units: Units) -> str:
    best, unit = found.best, units.distance
    name = _named(best.mounting, _told_apart(found))
    name = name[0].upper() + name[1:]
    if not best.farthest_m[0]:
        return f"{name}: no distance is reached; the sight stands too high or too low."
    nearest, farthest, band = _range(best, units)
    near, far = band.split("; ")
    return (
        f"{name}: from {nearest} to {_in(farthest, unit)} (near end {near}, far end "
        f"{_in(far, unit)}, each "
        f"{100 * found.answer.bands.probability:.0f} times in a hundred)."
    )


def _wanted_words(found: FoundMountings, units: Units) -> str:
    near, far = (distance_words(end, units) for end in found.wanted_m)
    percent = round(100 * found.best.chance)
    whole = f"All of {near} to {far} lies inside with a chance of {percent} %"
    return f"{whole}." if percent >= 90 else f"{whole}: no way to bolt it does better."


def _pin_words(found: FoundMountings, units: Units) -> tuple[str, ...]:
    """Which pin takes what, where there are several."""
    pins, said = found.best.pins, []
    if len(pins) < 2 or not found.best.farthest_m[0]:
        return ()
    reached_m, unit = 0.0, units.distance
    for one in pins:
        nearest, farthest, _ = _range(found.best, units, one.pin)
        if one.farthest_m[0] <= reached_m:
            said.append(f"pin {one.pin} adds nothing")
        elif not reached_m:
            said.append(f"pin {one.pin} takes {nearest} to {_in(farthest, unit)}")
        else:
            said.append(f"pin {one.pin} goes on to {_in(farthest, unit)}")
        reached_m = max(reached_m, one.farthest_m[0])
    words = "; ".join(said)
    return (f"{words[0].upper()}{words[1:]}.",)


def _cautions(found: FoundMountings) -> tuple[str, ...]:
    sight, best = found.answer.rig.sight, found.best.mounting
    told = [ANEW] if found.now is None or best.up_m or best.ahead_m else []
    if best.ahead_m:
        told.append(
            f"The sight radius changes by {amount(best.ahead_m, 'mm')}: write it into the sheet."
        )
    if found.seen is not None:
        told.append(LOOK)
        if sight.reading_per_travel is None:
            told.append(NO_GAIN)
    unclear = sight.housing_below_pin_m is None and sight.clearance_reading_m is None
    return (*told, NO_CLEARANCE if unclear else VANE_TOUCHES)


def _table(found: FoundMountings, units: Units) -> Table:
    apart, unit = _told_apart(found), units.distance
    heads = ("hole", "extension", "housing")
    rows, shown = [], found.ranked[:SHOWN]
    for one in shown:
        at = one.mounting
        names = (str(place) for place in (at.hole, at.extension, at.housing))
        told = [name for name, is_told in zip(names, apart, strict=True) if is_told] or ["now"]
        nearest, farthest, band = _range(one, units)
        rows.append((*told, nearest, farthest, band, f"{100 * one.chance:.0f} %"))
    first = [head for head, is_told in zip(heads, apart, strict=True) if is_told] or ["bolted"]
    faint = [
        at for at, one in enumerate(shown) if one.chance < 0.5 and one.chance < found.best.chance
    ]
    ends = (f"from {unit}", f"to {unit}", f"bands {unit}", "holds what is wanted")
    return Table("Where it can be bolted, the best first", (*first, *ends), tuple(rows),
                 frozenset(faint))  # fmt: skip


def _pin_table(found: FoundMountings, units: Units) -> tuple[Table, ...]:
    if len(found.best.pins) < 2:
        return ()
    unit = units.distance
    rows = tuple((str(one.pin), *_range(found.best, units, one.pin)) for one in found.best.pins)
    heads = ("pin", f"from {unit}", f"to {unit}", f"bands {unit}")
    return (Table("What each pin takes there", heads, rows),)


def _tell(found: FoundMountings, units: Units) -> Blocks:
    return (
        _best_words(found, units),
        _wanted_words(found, units),
        *_pin_words(found, units),
        _table(found, units),
        *_pin_table(found, units),
        *map(Mind, _cautions(found)),
    )


def _write(found: FoundMountings, units: Units) -> dict[str, Any]:
    unit, (near_m, far_m) = units.distance, found.wanted_m
    words = (_best_words(found, units), _wanted_words(found, units), *_pin_words(found, units))
    return head_json("tapewright.bolt/1", found.answer) | {
        f"wanted_from_{unit}": rounded(near_m, unit, 4),
        f"wanted_to_{unit}": rounded(far_m, unit, 4),
        "is_seen_along_arrow": found.seen is not None,
        "mountings": [
            {
                "hole": one.mounting.hole,
                "extension": one.mounting.extension,
                "housing": one.mounting.housing,
                "up_mm": rounded(one.mounting.up_m, "mm"),
                "ahead_mm": rounded(one.mounting.ahead_m, "mm"),
                **_ends_json("nearest", one.nearest_m, unit),
                **_ends_json("farthest", one.farthest_m, unit),
                "chance": round(one.chance, 4),
                "pins": [reach_json(pin, unit) for pin in one.pins],
            }
            for one in found.ranked
        ],
        "cautions": [*words, *_cautions(found)],
    }


def _ends_json(name: str, ends_m: tuple[float, float, float], unit: str) -> dict[str, Any]:
    keys = (f"{name}{which}_{unit}" for which in ("", "_low", "_high"))
    return {key: rounded(end, unit, 2) for key, end in zip(keys, ends_m, strict=True)}


QUESTION = Question(
    "bolt", "Where to bolt the sight",
    "In which hole, on which notch of the extension and with which housing the sight reaches what "
    "is wanted, and which pin takes what.",
    (WANTED, HOLES, HOLE, EXTENSIONS, EXTENSION, TRAVEL, HOUSINGS, SEEN, SEEN_AT, SEEN_DOUBT),
    _ask, _tell, _write, where="wanted", needs=("travel",), shelf="check", short="Where to bolt",
    more="Better with reading_per_travel and clearance_reading in the sheet. Before the first "
    "arrow one look along the nocked arrow at a near butt (--seen) ties the sight's numbers to it; "
    "arrows that were shot tell more.",
)  # fmt: skip
