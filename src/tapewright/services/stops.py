"""Stops: what must not be shot, and what must be known before the first arrow. One rule, here.

A stop is a state of the rig sheet: no face can be talked out of it, only a corrected value ends
it. Whatever plans, prints or tells what to shoot asks here first.

Holds:  the Stop and Doubt records; the stops of a sheet, its doubts, the questions left open; the
        refusals.
Never:  thresholds (flight/bow_energy.py, sight/clearance.py), sentences.
Source: docs/physics.md eq. (4.6), (4.7), (5.17), (5.18).
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from tapewright.calibration.kinds import kind_of, usual_of
from tapewright.calibration.prior import USUAL_ARROW_LENGTH_M
from tapewright.calibration.rig import Arrow, Belief, Bow, Kind, Rig
from tapewright.confidence.limits import housing_of
from tapewright.flight.bow_energy import (
    least_arrow_mass,
    least_draw_weight,
    power_stroke,
    stored_energy,
)
from tapewright.ground.errors import Withheld
from tapewright.ground.units import INCH_M
from tapewright.sight.bow import launch_ahead
from tapewright.sight.clearance import (
    SHAFT_AHEAD_M,
    USUAL_SHAFT_AHEAD_M,
    most_air,
    shaft_ahead,
)

__all__ = [
    "PARTS",
    "Doubt",
    "Stop",
    "Withheld",
    "doubts",
    "parts_of",
    "questions",
    "refuse_stopped",
    "refuse_too_cold",
    "refuse_unready",
    "stops",
]

# Parts of the check list before the first arrow, in the order they are looked at.
PARTS = ("bow", "shafts", "rest", "centre_shot", "nock", "timing", "peep", "screws")
OF_COMPOUNDS = ("timing", "peep")  # parts that other bows do not have

RATED_DRAW_M = 30.0 * INCH_M  # the trade's rating: no draw length said, no harsher than this
FASTEST_MPS = 120.0  # no speed said: the fastest leaves the most air
SURE = 2.0  # stated errors that a stop gives away before it holds


@dataclass(frozen=True, slots=True)
class Stop:
    """One reason why a set-up must not be shot."""

    # ``"light arrow"`` for the draw weight or the maker's figure, ``"fast arrow"``: lighter than
    # any bow of such a speed may shoot, ``"short arrow"``, ``"housing"`` or ``"blades"`` that meet
    # at every distance, ``"cold"``: air colder than the maker allows, ``"damaged"`` part
    kind: Literal[
        "light arrow", "fast arrow", "short arrow", "housing", "blades", "cold", "damaged"
    ]
    key: str  # key of the sheet that it hangs on most
    # Light: arrow and least mass [kg]; fast: arrow mass [kg], speed [m/s], least draw weight [N],
    # least mass [kg]; short: shaft before the rest, least [m]; housing, blades: air missing [m];
    # cold: temperature, least [K]
    numbers: tuple[float, ...] = ()
    bow: Kind = "compound"  # kind of the bow, which the words follow


@dataclass(frozen=True, slots=True)
class Doubt:
    """What is odd but may be shot."""

    # ``"light arrow"``: less than its own error above the least; ``"short arrow"``: little of the
    # shaft before the rest; ``"over the hand"``: its end stands behind the grip
    kind: Literal["light arrow", "short arrow", "over the hand"]
    key: str  # key of the sheet that it hangs on most
    numbers: tuple[float, ...] = ()  # as for the stop of the same kind


def stops(rig: Rig) -> tuple[Stop, ...]:
    """Why a set-up must not be shot."""
    found = (
        *_light(rig), *_fast(rig), *_short(rig), *_touching(rig), *_cold(rig), *_damaged(rig),
    )  # fmt: skip
    return tuple(replace(one, bow=kind_of(rig.bow)) for one in found)


def parts_of(rig: Rig) -> tuple[str, ...]:
    """Parts of the check list that a rig has."""
    if kind_of(rig.bow) == "compound":
        return PARTS
    return tuple(part for part in PARTS if part not in OF_COMPOUNDS)


def _least_mass_kg(rig: Rig) -> float:
    bow = rig.bow
    asked = usual_of(bow).least_mass_per_n
    return least_arrow_mass(bow.draw_weight_n or 0.0, bow.least_arrow_mass_kg, asked)


def _light(rig: Rig) -> Iterator[Stop]:
    mass_kg, least_kg = rig.arrow.mass_kg.value, _least_mass_kg(rig)
    if mass_kg < least_kg * (1.0 - 1e-9):
        yield Stop("light arrow", "arrow.mass", (mass_kg, least_kg))


def _stroke_m(bow: Bow) -> float:
    draw_m, brace_m = bow.draw_length_m or RATED_DRAW_M, bow.brace_height_m
    return power_stroke(draw_m, brace_m or usual_of(bow).brace_height_m)


def _fast(rig: Rig) -> Iterator[Stop]:
    """A speed whose energy no bow stores that may shoot so light an arrow."""
    bow, stroke_m, usual = rig.bow, _stroke_m(rig.bow), usual_of(rig.bow)
    own: tuple[str, Belief | None, float | None] = ("bow.launch_speed", bow.launch_speed_mps, None)
    read = [("bow.chronograph", one.speed_mps, one.arrow_mass_kg) for one in bow.chronograph]
    for key, speed, other_kg in (own, *read):
        if speed is None or stroke_m <= 0.0:
            continue
        mass_kg = other_kg or rig.arrow.mass_kg.value
        surely_mps = speed.value - SURE * (speed.sd or 0.0)
        energy_j = stored_energy(surely_mps, mass_kg, usual.virtual_mass_kg[0])
        weight_n = least_draw_weight(energy_j, stroke_m, usual.most_stored)
        least_kg = least_arrow_mass(weight_n, None, usual.least_mass_per_n)
        if mass_kg < least_kg:
            yield Stop("fast arrow", key, (mass_kg, speed.value, weight_n, least_kg))
            return


def _ahead(rig: Rig) -> tuple[float, float] | None:
    """Shaft before what it must stand clear of, and the least; None: cannot be judged. [m]

    Blades must stay clear of the hand too, so a broadhead counts from whichever is farther out.
    Where the rest is not said, only a shaft that ends behind the grip is judged.
    """
    length_m, draw_m, rest_m = rig.arrow.length_m, rig.bow.draw_length_m, rig.bow.rest_ahead_m
    if length_m is None or draw_m is None:
        return None
    clear_m, least_m = rest_m or 0.0, SHAFT_AHEAD_M[rig.arrow.point]
    if rig.arrow.point == "broadhead":
        clear_m = max(clear_m, 0.0)
    elif rest_m is None:
        least_m = 0.0
    return shaft_ahead(length_m, draw_m, clear_m), least_m


def _short(rig: Rig) -> Iterator[Stop]:
    judged = _ahead(rig)
    if judged is not None and judged[0] < judged[1] - 1e-9:
        yield Stop("short arrow", "arrow.length", judged)


def _touching(rig: Rig) -> Iterator[Stop]:
    """Housing and arrow meet even where the sight stands highest, by more than is in doubt."""
    housing, sight, arrow = housing_of(rig), rig.sight, rig.arrow
    if housing is None or sight.clearance_reading_m is not None:
        return
    usual = usual_of(rig.bow)
    peep_m = _end(sight.peep_height_m, usual.eye_height_m, SURE)
    radius_m = _end(sight.sight_radius_m, usual.sight_radius_m, -SURE)
    speed = rig.bow.launch_speed_mps
    speed_mps = FASTEST_MPS if speed is None else speed.value
    length_m = arrow.length_m or USUAL_ARROW_LENGTH_M
    ahead_m = launch_ahead(length_m, _stroke_m(rig.bow), usual.nock_behind_eye_m)
    air_m = most_air(peep_m, radius_m, speed_mps, ahead_m, housing)
    if air_m < 0.0:
        by_blades = arrow.point == "broadhead" and _is_widest(arrow, housing.arrow_height_m)
        kind: Literal["blades", "housing"] = "blades" if by_blades else "housing"
        key = "arrow.blade_diameter" if by_blades else "sight.housing_below_pin"
        yield Stop(kind, key, (-air_m,))


def _is_widest(arrow: Arrow, height_m: float) -> bool:
    """Whether the blades stand as high as anything on the arrow."""
    return 0.5 * (arrow.blade_diameter_m or 0.0) >= height_m - 1e-9


def _end(said: Belief | None, usual: Belief, errors: float) -> float:
    """The end of what is possible; an error that is not said is half of the usual one."""
    usual_sd = usual.sd or 0.0
    if said is None:
        return usual.value + errors * usual_sd
    return said.value + errors * (0.5 * usual_sd if said.sd is None else said.sd)


def _cold(rig: Rig) -> Iterator[Stop]:
    least_k, is_k = rig.bow.least_temperature_k, rig.air.temperature_k
    if least_k is not None and is_k < least_k - 1e-9:
        yield Stop("cold", "bow.least_temperature", (is_k, least_k))


def _damaged(rig: Rig) -> Iterator[Stop]:
    return (Stop("damaged", f"checks.{part}") for part in rig.damaged)


def doubts(rig: Rig) -> tuple[Doubt, ...]:
    """What is odd about a set-up that may be shot."""
    found = []
    mass, least_kg, is_light = rig.arrow.mass_kg, _least_mass_kg(rig), any(_light(rig))
    if mass.sd and not is_light and mass.value < least_kg + mass.sd:
        found.append(Doubt("light arrow", "arrow.mass", (mass.value, least_kg)))
    judged = _ahead(rig)
    if judged is not None and judged[1] <= judged[0]:
        behind_m = (rig.bow.rest_ahead_m or 0.0) + judged[0]
        if rig.arrow.point == "field" and behind_m < 0.0:
            found.append(Doubt("over the hand", "arrow.length", (judged[0], -behind_m)))
        elif judged[0] < USUAL_SHAFT_AHEAD_M:
            found.append(Doubt("short arrow", "arrow.length", (judged[0], USUAL_SHAFT_AHEAD_M)))
    return tuple(found)


def questions(rig: Rig) -> tuple[str, ...]:
    """What a sheet must tell before it can be judged."""
    bow, arrow = rig.bow, rig.arrow
    is_broadhead = arrow.point == "broadhead"
    missing = {
        "bow.draw_weight": bow.draw_weight_n is None and bow.least_arrow_mass_kg is None,
        "bow.draw_length": bow.draw_length_m is None,
        "bow.rest": bow.rest_ahead_m is None,
        "arrow.length": arrow.length_m is None,
        "arrow.blade_diameter": is_broadhead and arrow.blade_diameter_m is None,
    }
    return tuple(key for key, is_missing in missing.items() if is_missing)


def refuse_stopped(rig: Rig) -> None:
    """Refuse to plan or print for a set-up that must not be shot."""
    if found := stops(rig):
        raise Withheld(found)


def refuse_too_cold(rig: Rig, temperature_k: float) -> None:
    """Refuse air that is colder than the bow's maker allows, whatever the sheet's own is."""
    there = replace(rig, air=replace(rig.air, temperature_k=temperature_k))
    if found := tuple(one for one in stops(there) if one.kind == "cold"):
        raise Withheld(found)


def refuse_unready(rig: Rig, asked: tuple[str, ...]) -> None:
    """Refuse to plan for what must not be shot, or cannot be judged before its first arrow."""
    refuse_stopped(rig)
    if asked:
        raise Withheld(questions=asked)
