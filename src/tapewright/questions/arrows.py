"""Arrows: which numbered arrow hits off from its fellows, and what to look at first.

Holds:  the question ``arrows``: its field, columns, sentences and cautions.
Never:  formulas, how a face asks and shows.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from tapewright.questions.question import Field, Question, Said
from tapewright.services.calibrate import Answer
from tapewright.services.find_arrows import ArrowShots, FoundArrows, find_arrows
from tapewright.services.watch_drift import Season
from tapewright.words.answer_blocks import Blocks, Mind
from tapewright.words.answer_columns import Column, each, records, rounded, table
from tapewright.words.cautions import SAFETY
from tapewright.words.number_format import counted
from tapewright.words.quantity_parser import in_unit
from tapewright.words.sight_moves import hit_words
from tapewright.words.trust_sentences import head_json
from tapewright.words.unit_system import Units, amount, distance_words

AT = Field("at", "Told for", "20 yd", "20 m", "How far off an arrow hits at this distance.",
           takes="DISTANCE")  # fmt: skip
MOST_ODDS = 1000  # nobody knows more of a set than that
FIRST = (
    "First inspect the shaft and flex it, by eye and ear: cracked, or unsure, never shoot it. Then "
    "turn its nock, weigh it, or retire it."
)
HOW = (
    "An arrow's own part is told by shots beside its fellows, drawn together with theirs by as "
    "much as the set is alike. Odds begin at one to one that any of the set is off; an arrow is "
    "named from 2 to 1. Of sets in which none is off fewer than one in twenty name one."
)


@dataclass(frozen=True, slots=True)
class ToldArrows:
    """What was found, and for which distance it is told."""

    answer: Answer
    found: FoundArrows
    at_m: float


def odds_words(odds: float) -> str:
    """Odds as a person says them."""
    if odds >= MOST_ODDS:
        return f"over {MOST_ODDS} to 1"
    return (
        f"{odds:.0f} to 1" if odds >= 1.0 else f"1 to {min(1.0 / max(odds, 1e-9), MOST_ODDS):.0f}"
    )


def _columns(at_m: float) -> tuple[Column[Sequence[ArrowShots]], ...]:
    return (
        Column("arrow", "arrow", each(lambda one: one.name)),
        Column("shots", "shots", each(lambda one: one.shots), decimals=0),
        Column("right {unit}", "right_{unit}", each(lambda one: at_m * one.right_rad), "miss", 2, 4,
               signed=True),
        Column("up {unit}", "up_{unit}", each(lambda one: at_m * one.up_rad), "miss", 2, 4,
               signed=True),
        Column("± {unit}", "band_{unit}", each(lambda one: at_m * one.band_rad), "miss", 2, 4),
        Column("odds", "", each(lambda one: odds_words(one.odds)), spare=True),
        Column("", "odds", each(lambda one: one.odds), kept=4),
        Column("", "is_off", each(lambda one: one.is_off)),
    )  # fmt: skip


def _ask(subject: Answer | Season, said: Said, units: Units) -> ToldArrows:
    season = subject if isinstance(subject, Season) else Season(subject)
    answer, proofs = season.answer, season.proofs
    at_m = said.one_distance("at", AT.usual_in(units), unit=units.distance).distances_m[0]
    return ToldArrows(answer, find_arrows((*answer.observations, *proofs)), at_m)


def _off_words(one: ArrowShots, at_m: float, units: Units) -> str:
    """Where an arrow hits; a side that its band hides is left out."""
    right_m, up_m, band_m = (at_m * part for part in (one.right_rad, one.up_rad, one.band_rad))
    sides = {"right": right_m, "up": up_m}
    seen = {name: miss for name, miss in sides.items() if abs(miss) > band_m} or {
        (worst := max(sides, key=lambda name: abs(sides[name]))): sides[worst]
    }
    none = float("nan")
    where = hit_words(seen.get("right", none), seen.get("up", none), units.miss)
    half, at = amount(band_m, units.miss), distance_words(at_m, units)
    odds = odds_words(one.odds)
    return f"Arrow {one.name} hits {where} of its fellows at {at}, ± {half} (odds {odds})."


def _verdict(told: ToldArrows, units: Units) -> tuple[str, ...]:
    found = told.found
    if found.off:
        return (*(_off_words(one, told.at_m, units) for one in found.off), FIRST)
    least = told.at_m * found.to_tell_rad
    arrows = counted(len(found.arrows), "arrow")
    seen = f"{amount(least, units.miss)} off at {distance_words(told.at_m, units)}"
    if not in_unit(least, units.miss) < 1e6:  # or nan: most were never shot beside others
        return (f"None of these {arrows} stands out. Shoot more of them in one group.",)
    would = f"With so many shots one that hits {seen} would be named four times in five."
    return (f"None of these {arrows} stands out from its fellows. {would}",)


def _scatter(told: ToldArrows) -> tuple[str, ...]:
    found = told.found
    every, others = (
        in_unit(one.dispersion_rad.value, "mrad") for one in (found.every, found.others)
    )
    if not found.off:
        return (f"Together they scatter {every:.2f} mrad about their groups' centres.",)
    who = "it" if len(found.off) == 1 else "them"
    return (f"Without {who} the others scatter {others:.2f} mrad, all together {every:.2f} mrad.",)


def _unnumbered(told: ToldArrows) -> tuple[str, ...]:
    if not told.found.unnumbered:
        return ()
    return (
        f"{counted(told.found.unnumbered, 'shot')} without a number or a side tell nothing here.",
    )


def _tell(told: ToldArrows, units: Units) -> Blocks:
    verdict = _verdict(told, units)
    faint = [place for place, one in enumerate(told.found.arrows) if not one.is_off]
    return (
        *(map(Mind, verdict) if told.found.off else verdict),
        *_scatter(told),
        table(
            f"From its fellows, at {distance_words(told.at_m, units)}",
            _columns(told.at_m), told.found.arrows, units, faint if told.found.off else (),
        ),
        *_unnumbered(told),
        HOW,
        Mind(SAFETY[2]),
    )  # fmt: skip


def _write(told: ToldArrows, units: Units) -> dict[str, Any]:
    found, unit = told.found, units.distance
    least_m = told.at_m * found.to_tell_rad
    return head_json("tapewright.arrows/1", told.answer) | {
        f"at_{unit}": rounded(told.at_m, unit, 4),
        "arrows": records(_columns(told.at_m), found.arrows, units),
        "off": [one.name for one in found.off],
        f"found_from_{units.miss}": rounded(least_m, units.miss, 4),
        "groups": found.groups,
        "unnumbered_shots": found.unnumbered,
        "dispersion_mrad": rounded(found.every.dispersion_rad.value, "mrad", 4),
        "dispersion_without_mrad": rounded(found.others.dispersion_rad.value, "mrad", 4),
        "cautions": [*_verdict(told, units), *_scatter(told), *_unnumbered(told), SAFETY[2]],
    }


QUESTION = Question(
    "arrows", "Arrow by arrow",
    "Which numbered arrow hits off from its fellows, by how much, and what to look at first.",
    (AT,), _ask, _tell, _write, where="at", shelf="check", short="Arrows", is_of_season=True,
    more="Write what stands on each shaft in the column arrow of SHOTS.csv. Shots of one group are "
    "compared with each other, so sight and distance may be whatever they were.",
)  # fmt: skip
