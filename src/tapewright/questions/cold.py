"""Cold: what is proven of the marks in the cold and the clothes of a hunt, and the next shot there.

Holds:  the question ``cold``: its fields, columns, sentences and cautions.
Never:  formulas, how a face asks and shows.
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from tapewright.ground.errors import BadInput
from tapewright.questions.plan import TODAY, plan_json, plan_order
from tapewright.questions.question import Field, Question, Said
from tapewright.questions.shared_fields import BUTT
from tapewright.services.advise import Plan, planned
from tapewright.services.calibrate import Answer
from tapewright.services.meet_cold import LIMBS_PER_K, SURE, Cold, is_far_air, meet_cold
from tapewright.services.stops import refuse_unready
from tapewright.services.watch_drift import Season
from tapewright.words.answer_blocks import Blocks, Mind
from tapewright.words.answer_columns import Column, records, rounded, table
from tapewright.words.answer_json import earned, head_json
from tapewright.words.cautions import SAFETY, caution_words, past_limit_words
from tapewright.words.next_shot import (
    FIRST_FAR,
    hindrance_words,
    plan_words,
    step_rule_words,
    step_words,
    tenths,
)
from tapewright.words.quantity_parser import format_quantity
from tapewright.words.readings_on_tape import told_columns
from tapewright.words.trust_sentences import warmer_words
from tapewright.words.unit_spellings import quoted
from tapewright.words.unit_system import Units, distance_words, round_amount

CLOTHES = ("usual", "bulky")
HERE = ("odd group", "past the butt", "slip")  # cautions of groups that were shot there
CLOSE_M = 1e-6
SLEEVE = (
    "Bulky clothes: see first that the string touches no sleeve, collar or mask, with an arm guard "
    "over the sleeve. A string that does steers the arrow past the butt and hurts the arm."
)
WHICH_GROUP = (
    "Which group tells what: gloves, sleeve and another anchor turn every arrow alike, high or low "
    "and aside, so the near group tells them. A shorter draw and slower limbs grow with the "
    "distance: only a far group tells those."
)
NO_PERMISSION = SAFETY[-1]


@dataclass(frozen=True)
class Hunt:
    """What was found, with the plan of what is shot there next."""

    cold: Cold
    plan: Plan | None  # None: nothing has to be shot there


def _half_m(it: Hunt) -> np.ndarray[Any, Any]:
    bands = it.cold.there.bands
    return np.asarray(0.5 * (bands.impact_high_m - bands.impact_low_m))


def _proven(it: Hunt) -> list[str]:
    far_m, at_m = it.cold.proven_m + CLOSE_M, it.cold.home.marks.distance_m
    return ["yes" if one <= far_m else "no" for one in at_m]


AT = "cold.home.marks.distance_m"
THERE = ("cold.there.bands.low_m", "cold.there.bands.high_m")
COLUMNS: tuple[Column[Hunt], ...] = (
    Column("{unit}", "distance_{unit}", AT, "distance", None, 4),
    Column("home mm", "home_mm", "cold.home.marks.home_m", "mm", half=THERE, tape="alone"),
    Column("there mm", "there_mm", "cold.there.bands.reading_m", "mm", half=THERE, tape="first"),
    Column("", "there_low_mm", THERE[0], "mm"),
    Column("", "there_high_mm", THERE[1], "mm"),
    Column("± {unit}", "half_band_{unit}", _half_m, "miss"),
    Column("the air alone {unit}", "air_{unit}", "cold.home.marks.miss_m", "miss", signed=True),
    Column("limbs ± {unit}", "limbs_{unit}", "cold.limbs_m", "miss"),
    Column("proven", "", _proven),
    Column("", "is_proven", lambda it: [one == "yes" for one in _proven(it)]),
)


def _ask(subject: Answer | Season, said: Said, units: Units) -> Hunt:
    season = subject if isinstance(subject, Season) else Season(subject)
    answer = season.answer
    refuse_unready(answer.rig, answer.questions)
    is_bulky = said.choice("clothes", "usual", CLOTHES) == "bulky"
    asked_k = said.quantity_if_said(TEMPERATURE)
    if asked_k is None and not is_bulky:
        wrong = "nothing is said of the cold or the clothes"
        mend = f'Add {said.place("temperature")}, such as "-10 °C", or {said.place("clothes")}'
        raise BadInput(said.place("temperature"), wrong, mend)
    there_k = answer.rig.air.temperature_k if asked_k is None else asked_k
    named = _named(season, said, there_k)
    distances_m = said.distances("distances", QUESTION.usual("distances", units))
    found = meet_cold(answer, distances_m, there_k, season.proofs, is_bulky=is_bulky, named=named)
    return Hunt(found, _plan(found, said, units) if found.is_asked else None)


def _named(season: Season, said: Said, there_k: float) -> tuple[str, ...]:
    """Groups that a person says were shot there; one is refused that is none, or says otherwise."""
    names = tuple(filter(None, (one.strip() for one in said.text("groups").split(","))))
    answer = season.answer
    every = (*answer.observations, *answer.elsewhere, *season.proofs)
    for name in names:
        airs = [one.air for one in every if one.group.name == name]
        if not airs:
            wrong = f"no group is called {quoted(name)}"
            raise BadInput(said.place("groups"), wrong, "Write names of groups, as 4, 5")
        for air in airs:
            if air is not None and is_far_air(air.temperature_k, there_k):
                at, there = (format_quantity(k, "°C", 0) for k in (air.temperature_k, there_k))
                wrong = f"group {quoted(name)} was shot at {at}, which proves nothing at {there}"
                raise BadInput(said.place("groups"), wrong, "Leave it out")
    return names


def _plan(found: Cold, said: Said, units: Units) -> Plan:
    """What is shot there next, to prove as far as is trusted at home where nobody says how far."""
    asked = Said({name: said.text(name) for name in ("wanted", "butt")}, said.place)
    order = plan_order(found.there, asked, units, found.home.answer.trusted_m[0])
    sure = replace(order.wish, probability=max(SURE, order.wish.probability))
    return planned(found.there, replace(order, wish=sure))


def place_words(found: Cold) -> str:
    """Where and how it is asked for: "at −10 °C in bulky clothes"."""
    at = format_quantity(found.home.air.temperature_k, "°C", 0)
    return f"at {at}{' in bulky clothes' if found.is_bulky else ''}"


def proven_words(found: Cold, units: Units) -> str:
    """How far marks are proven there, as a sentence or two."""
    where, home_m = place_words(found), found.home.answer.trusted_m[0]
    at_home = f"At home {distance_words(home_m, units)} are trusted. " if home_m else ""
    if not found.is_asked:
        told = f"to {distance_words(home_m, units)}" if home_m else "not yet"
        return (
            f"As the marks are at home they are {where}: trusted {told}. Arrows were shot in air "
            "less than 15 °C away from it, and the air itself is counted."
        )
    names = ", ".join(one.group.name for one in found.groups)
    shot = f"group{'s' if len(found.groups) > 1 else ''} {names}"
    if not found.groups:
        told = f"Nothing is proven {where}: no group was shot like that. {at_home}"
        return f"{told}Far marks are unproven."
    if not found.proven_m:
        return f"Nothing is proven {where} yet, after {shot}. {at_home}"
    tolerance = round_amount(found.there.rig.archer.tolerance_m, units.miss)
    percent = 100.0 * max(SURE, found.there.bands.probability)
    return (
        f"Proven to {distance_words(found.proven_m, units)} {where}, by {shot}: up to there a mark "
        f"misses by less than {tolerance} with {percent:.0f} % chance. "
        f"{at_home}Past it nothing is proven so."
    )


def _worn(found: Cold) -> str:
    """Which groups are taken as shot in those clothes: no file says it; empty for none."""
    names = ", ".join(one.group.name for one in found.groups)
    many = f"groups {names} were" if len(found.groups) > 1 else f"group {names} was"
    told = (
        f"That {many} shot in these bulky clothes is taken for granted: if not, nothing is proven"
    )
    return f"{told} by that; name those that were." if names else ""


def _limbs(found: Cold, units: Units) -> tuple[str, ...]:
    """What the limbs may do, with its source."""
    if not found.is_far:
        return ()
    low, high = (100.0 * share * abs(found.home.warmer_k) for share in LIMBS_PER_K)
    at_m, tolerance_m = found.home.marks.distance_m, found.there.rig.archer.tolerance_m
    over = np.flatnonzero(found.limbs_m > tolerance_m)
    place = int(over[0]) if len(over) else len(at_m) - 1
    miss, where = tenths(float(found.limbs_m[place]), units), distance_words(at_m[place], units)
    past = f", more than your {round_amount(tolerance_m, units.miss)}" if len(over) else ""
    told = (
        f"It is {warmer_words(found.home.warmer_k)} than where arrows were shot. The air is "
        "counted exactly; limbs are not, for nobody has measured yours: "
        f"{low:.1f} to {high:.1f} % of arrow speed, either way (wood stiffens by 0.2 % a °C toward "
        "cold, Wood Handbook 2010; glass and carbon by half of that or less, from memory). At "
        f"{where} that is up to ±{miss}{past}."
    )
    return (told,)


def _next(hunt: Hunt, units: Units) -> tuple[str, ...]:
    """What is shot there next."""
    plan = hunt.plan
    if plan is None:
        return ()
    if plan.is_trusted:
        wanted = distance_words(plan.order.wanted_m, units)
        return (f"Proven as far as wanted, {wanted}: no arrow is needed.",)
    if not plan.steps:
        return tuple(filter(None, (hindrance_words(plan, units) or plan_words(plan, units),)))
    groups = f"{len(plan.steps)} groups, {sum(one.arrows for one in plan.steps)} arrows in all"
    way = f" It takes about {groups}." if plan.gets_there else ""
    return (
        f"On a range, {place_words(hunt.cold)}: {step_words(plan, 0, units)}.{way}",
        step_rule_words(plan, units),
        "Then write them down with their temperature and ask again.",
    )


def _minds(hunt: Hunt, units: Units) -> tuple[str, ...]:
    found, there = hunt.cold, hunt.cold.there
    home = found.home.answer
    told = [caution_words(one, there, units) for one in there.cautions if one.kind in HERE]
    told += [caution_words(one, home, units) for one in home.cautions if one.kind == "no arrows"]
    plan = hunt.plan if hunt.plan and hunt.plan.steps else None
    is_past = plan is not None and plan.steps[0].distance_m > max(plan.trusted_m, plan.ladder.hit_m)
    is_far = is_past and plan is not None and not plan.ladder.needs_near_arrow
    shot = (*([FIRST_FAR] if is_far else []), *([SAFETY[0]] if plan else []))
    clothes = (_worn(found), SLEEVE, WHICH_GROUP) if found.is_bulky else ()
    every = (
        *told,
        *_limbs(found, units),
        *clothes,
        past_limit_words(there, units),
        *shot,
        NO_PERMISSION,
    )
    return tuple(filter(None, every))


def _tell(hunt: Hunt, units: Units) -> Blocks:
    found = hunt.cold
    faint = [place for place, one in enumerate(_proven(hunt)) if one == "no"]
    title = f"Marks {place_words(found)}; what air alone does to the marks of home, what limbs may"
    return (
        proven_words(found, units),
        *_next(hunt, units),
        table(title, told_columns(COLUMNS, found.there, at=AT), hunt, units, faint),
        *map(Mind, _minds(hunt, units)),
    )


def _write(hunt: Hunt, units: Units) -> dict[str, Any]:
    found, plan, unit = hunt.cold, hunt.plan, units.distance
    home, there, least_k = found.home, found.there, found.there.rig.bow.least_temperature_k
    return head_json("tapewright.cold/1", home.answer) | {
        "temperature_c": rounded(home.air.temperature_k, "°C", 2),
        "least_temperature_c": None if least_k is None else rounded(least_k, "°C", 2),
        "warmer_c": round(home.warmer_k, 2) + 0.0,
        "clothes": CLOTHES[found.is_bulky],
        "must_be_proven": found.is_asked,
        f"proven_distance_{unit}": rounded(found.proven_m, unit) if found.proven_m else None,
        f"trusted_distance_at_home_{unit}": earned(home.answer, unit),
        "groups": [one.group.name for one in found.groups],
        "limbs_percent": [round(100.0 * share * abs(home.warmer_k), 3) for share in LIMBS_PER_K],
        "marks": records(told_columns(COLUMNS, there, at=AT), hunt, units),
        "next": plan_json(plan, units)["plan"][:1] if plan is not None and plan.steps else [],
        "words": [proven_words(found, units), *_next(hunt, units)],
        "cautions": list(_minds(hunt, units)),
    }


TEMPERATURE = Field(
    TODAY.name, "Temperature of the hunt", takes=TODAY.takes, measure=TODAY.measure,
    hint="Such as -10 °C or 14 °F. Left open: as on the rig sheet.",
)  # fmt: skip
QUESTION = Question(
    "cold", "Cold and clothing",
    "What the air of a cold day does to the marks, what limbs and clothes may do, which marks are "
    "unproven so, and what to shoot there next: a near group first, then no step longer than half "
    "as far again.",
    (
        TEMPERATURE,
        Field("clothes", "Clothes", "usual", choices=CLOTHES,
              hint="Bulky: more than when the arrows of the calibration were shot, such as a "
              "thick sleeve, gloves, a mask."),
        Field("wanted", "Proven distance wanted", takes="DISTANCE", option_name="to",
              hint="Such as 40 yd. Left open: as far as is trusted at home."),
        BUTT,
        Field("groups", "Groups shot so", takes="NAMES",
              hint="In that cold and those clothes, by name, as 4, 5. Left open: those whose "
              "temperature is nearer to it than to the sheet's."),
        Field("distances", "Distances", "10:60:10yd", "10:60:10m", "Where marks are wanted."),
    ),
    _ask, _tell, _write, needs=("temperature", "clothes"), shelf="field", short="Cold",
    first=2, is_of_season=True,
    more="Write groups that were shot there into SHOTS.csv with their temperature_c (or _f): far "
    "colder or warmer than the rig sheet's air they prove marks there and leave those of home "
    "alone. Below the bow maker's least temperature (least_temperature on the sheet) nothing is "
    "told.",
)  # fmt: skip
