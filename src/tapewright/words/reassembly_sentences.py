"""Reassembly sentences: what was measured of a bow, what moved, what a near group says, in words.

Holds:  what each thing is called and how it is put back; its size as people read it; the sentences
        of a re-assembly.
Never:  what is moved (services/reassemble.py), tables, JSON, how each is measured (reading).
Source: how a thing is put back is common practice, no source.
"""

from collections.abc import Iterable
from math import isfinite

from tapewright.services.equip import Rig, kind_of
from tapewright.services.reassemble import (
    ITEMS,
    Deviation,
    Measured,
    Near,
    Reassembly,
    Would,
    items_of,
)
from tapewright.services.record_groups import Observation
from tapewright.words.number_format import counted, told
from tapewright.words.quantity_parser import format_quantity, in_unit
from tapewright.words.unit_system import Units, amount, distance_words

_BOLTS = "turn the bolts back as recorded, the way the bow's maker says"
THINGS = {  # what people call it, and how it is put back
    "limbs.upper_bolt": ("Upper limb bolt", _BOLTS),
    "limbs.lower_bolt": ("Lower limb bolt", _BOLTS),
    "limbs.brace_height": (
        "Brace height", "twist the string back to it (a compound's in a press, by a technician)"
    ),
    "limbs.tiller": ("Tiller", "look at both limb bolts, and whether the limbs sit right"),
    "string.nock_height": ("Height of the nocking point", "tie or slide the nocking point back"),
    "string.loop_height": (
        "Upper knot of the loop", "turn and pull the loop straight, or tie it anew"
    ),
    "string.peep_height": (
        "Peep above the nocking point",
        "slide the peep back and serve it in (in a press, by a technician)",
    ),
    "rest.side": ("Centre shot", "move the rest back"),
    "rest.height": ("Height of the rest", "move the rest back"),
    "sight.ahead": ("Pin before the riser", "set the extension back"),
    "sight.windage": ("Windage", "turn the windage back"),
    "sight.hole": ("Hole of the sight", "bolt the sight back where it was"),
    "sight.notch": ("Notch of the extension", "set the extension back to its notch"),
}  # fmt: skip
COUNTED = ("sight.hole", "sight.notch")
TURNS = ("limbs.upper_bolt", "limbs.lower_bolt")
MARK_ALONE = "it is a mark somebody wrote down, and no arrow of it was seen to hit"
OTHER_SCALE = "it was shot on another scale than what is on the sight now"
MOST_WOULD = 3  # of what would explain a near group
LEAST_TOLD_IN = 0.0195  # finer is told in thousandths of an inch
LOOK_FIRST = (
    "Before the string goes on, and before the first arrow: look limbs, string, cables, cams, "
    "rest, nocks and shafts over. Anything cracked, frayed or loose: do not shoot. Limb bolts "
    "never out past what the maker allows; a compound's string, cables and peep are press work for "
    "a qualified technician."
)
STOPPED = "This set-up must not be shot: no near group until that is mended."
UNKNOWN = (
    "No group had hit with this bow before it was taken apart, so no near group can say that it is "
    "as before."
)
NEAR_GROUP = (
    "Then one near group, from {where} or nearer, at a large butt with a safe stop: one arrow, "
    "then look; the others only if it hit where it may. Nothing farther until it fits."
)
MISSED = (
    "Arrows went past the butt: not as before. The next from {where} or nearer, and only when the "
    "reason is found."
)
AS_BEFORE = (
    "As before: {miss}, no more than chance explains. The old marks hold as far as they did."
)
FITS_THOUGH_MOVED = (
    "The near group fits: {miss}, no more than chance explains. It does not tell what grows with "
    "the distance: until what is moved is put back and measured again the old marks hold no "
    "farther than it was shot; or carry the calibration over as a change of the set-up."
)
NO_REASON = "Nothing on the record explains it: look for what is not on it."
AFTER_MENDING = (
    "Mend it and shoot a near group anew; or carry the calibration over as a change of the set-up."
)


def label(name: str) -> str:
    """What people call a thing that is measured."""
    return THINGS[name][0]


def _listed(names: Iterable[str]) -> str:
    return ", ".join(map(label, names))


def size_words(name: str, value: float, units: Units, *, signed: bool = False) -> str:
    """A measured value, or a difference of two, as people read it."""
    sign = "+" if signed and value > 0.0 else ""
    if name in COUNTED:
        return f"{sign}{value:.0f}"
    if name in TURNS:
        return f"{sign}{told(value, 2)} turns"
    unit = units.length
    is_fine = value and unit == "in" and in_unit(abs(value), unit) < LEAST_TOLD_IN
    return sign + format_quantity(value, unit, 1 if unit == "mm" else 3 if is_fine else 2)


def verdict_words(found: Reassembly, units: Units) -> tuple[str, ...]:
    """What has moved, a sentence, and one for each thing that has."""
    if not found.deviations:
        return (f"{counted(len(found.at_risk), 'thing')} recorded; nothing measured again yet.",)
    if not found.moved:
        return (f"{counted(len(found.deviations), 'thing')} measured again: all as before.",)
    rest = "; the others are as before" if len(found.moved) < len(found.deviations) else ""
    names = _listed(one.name for one in found.moved)
    return (f"Moved: {names}{rest}.", *(_moved_words(one, units) for one in found.moved))


def _moved_words(one: Deviation, units: Units) -> str:
    more = "more" if one.by > 0.0 else "less"
    by = size_words(one.name, abs(one.by), units)
    far = f" ({told(abs(one.errors), 1)} of its errors)" if isfinite(one.errors) else ""
    return f"{label(one.name)}: {by} {more} than recorded{far}. Mend: {THINGS[one.name][1]}."


def near_words(found: Reassembly, units: Units) -> tuple[str, ...]:
    """How the near group is to be shot, or what it says; the first sentence is its verdict."""
    near = found.near
    if found.answer.stops:
        return (STOPPED,)
    where = distance_words(near.from_m, units)
    usual = {"unknown": UNKNOWN, "shoot": NEAR_GROUP, "missed": MISSED}
    if near.verdict in usual:
        silent = (_silent_words(near.group),) if near.verdict == "shoot" and near.group else ()
        return (*silent, usual[near.verdict].format(where=where))
    miss = _miss_words(near, units)
    if near.verdict == "as before":
        return ((FITS_THOUGH_MOVED if found.moved else AS_BEFORE).format(miss=miss),)
    would = "; ".join(_would_words(one, units) for one in near.would[:MOST_WOULD])
    return (
        f"Not as before: {miss}, more than chance explains. Shoot no farther.",
        f"What would do it, look there first: {would}." if would else NO_REASON,
        AFTER_MENDING,
    )


def _silent_words(group: Observation) -> str:
    """Why a group that was shot since says nothing."""
    hits = group.group.counted
    is_mark = all(one.arrows > 1 and not (one.right_m or one.up_m) for one in hits)
    why = MARK_ALONE if is_mark else OTHER_SCALE
    return f"Group {group.group.name} tells nothing of it: {why}."


def _miss_words(near: Near, units: Units) -> str:
    """Where the near group lies from where it was foretold."""
    assert near.group is not None
    axes = (
        (near.up_m, near.up_sd_m, ("low", "high")),
        (near.right_m, near.right_sd_m, ("left", "right")),
    )
    sides = " and ".join(
        f"{amount(abs(by_m), units.miss)} {words[by_m > 0.0]} (±{amount(1.645 * sd_m, units.miss)})"
        for by_m, sd_m, words in axes
        if isfinite(by_m)
    )
    where = distance_words(near.group.distance_m, units)
    return f"at {where} the group lies {sides} of where it was foretold"


def _would_words(one: Would, units: Units) -> str:
    by = one.by if one.is_signed else abs(one.by)
    either = "" if one.is_signed else "either way "
    return f"{label(one.name)} {either}by {size_words(one.name, by, units, signed=one.is_signed)}"


def list_notes(found: Reassembly, again: Measured | None) -> tuple[str, ...]:
    """How what is moved was told from chance, what is missing, and what is left out."""
    bow = found.answer.rig.bow
    told_: list[str] = []
    tested = [one for one in found.deviations if one.sd]
    if tested:
        far = told(tested[0].least / tested[0].sd, 1)
        told_.append(
            f"Moved is what is {far} of its errors off or more: so of {len(tested)} tested "
            "together something is called moved 3 times in a hundred though nothing is."
        )
    if again is not None:
        missing = _listed(
            name for name in items_of(bow) if name in found.recorded and name not in again
        )
        told_ += [f"On the record and not measured again: {missing}."] if missing else []
    told_.append(usual_words(found.recorded, found.answer.rig))
    strange = _listed(
        name for name in {**found.recorded, **(again or {})} if name in ITEMS
        and name not in items_of(bow)
    )  # fmt: skip
    told_ += [f"Left out, since a {kind_of(bow)} has none: {strange}."] if strange else []
    return tuple(filter(None, told_))


def usual_words(recorded: Measured, rig: Rig) -> str:
    """Of which things the ± is what is usual; empty for none."""
    usual = _listed(
        name for name in items_of(rig.bow)
        if name in recorded and ITEMS[name].sd and recorded[name].sd is None
    )  # fmt: skip
    words = "Without a ± of your own the usual one is taken (common practice, no source)"
    return f"{words}: {usual}." if usual else ""
