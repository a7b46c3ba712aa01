"""Plan: what to shoot next, and why: few arrows that buy much trust, none that is not safe.

As long as its answer for programs has keys: a third of it says what they hold.

Holds:  the question ``plan``: its fields and how they are read, its tables and keys.
Never:  how a plan is made (services/advise.py), its sentences (words/next_shot.py), faces.
"""

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Any

from tapewright.ground.errors import BadInput, Withheld
from tapewright.ground.units import UNITS
from tapewright.questions.question import Field, Measure, Question, Said
from tapewright.questions.shared_fields import BUTT, read_butt
from tapewright.reading.rig_sheet_fields import KEYS
from tapewright.services.advise import (
    ARROWS,
    NEAREST_TRUSTED_M,
    Hindrance,
    Plan,
    PlanOrder,
    Step,
    Wish,
    planned,
)
from tapewright.services.calibrate import Answer
from tapewright.services.correct_groups import windage_moved
from tapewright.services.equip import Rig
from tapewright.services.measure_first import gains_by_travel
from tapewright.services.meet_cold import meet_cold
from tapewright.services.meet_weather import before_arrows_in
from tapewright.services.stops import parts_of, questions, refuse_too_cold, refuse_unready
from tapewright.services.usual_wish import usual_places, usual_wish
from tapewright.words.answer_blocks import Blocks, Mind, Table
from tapewright.words.answer_columns import Column, joined, record, records, rounded
from tapewright.words.answer_json import head_json, unproven_json
from tapewright.words.cautions import SAFETY, mark_words
from tapewright.words.next_shot import (
    FIRST_FAR,
    plan_sentences,
    standing_words,
    step_dial_words,
)
from tapewright.words.number_format import NOTHING, chance_words, told
from tapewright.words.quantity_parser import in_unit
from tapewright.words.readings_on_tape import dial_json, on_sight
from tapewright.words.slips import slips_json
from tapewright.words.stops import (
    check_list,
    found_of,
    is_looked_over,
    questions_json,
    unjudged_words,
    withheld_json,
)
from tapewright.words.unit_spellings import quoted
from tapewright.words.unit_system import Units, distance_words, far

# Where a group is shot; what it buys
PLACE: tuple[Column[Sequence[Step]], ...] = (
    Column("", "distance_{unit}", "distance_m", "distance", kept=4),
    Column("", "chance_on_butt", "chance", kept=4),
    Column("", "safe", "is_safe"),
)
BOUGHT: tuple[Column[Sequence[Step]], ...] = (
    Column("", "arrows", "arrows"),
    Column("", "band_{unit}", "band_m", "miss"),
    Column("", "trusted_distance_{unit}", "trusted_m", "distance"),
)
HINDRANCE: tuple[Column[Sequence[Hindrance]], ...] = (
    Column("", "kind", "kind"),
    Column("", "distance_{unit}", "distance_m", "distance", kept=2),
    Column("", "butt_width_{unit}", "width_m", "miss", kept=1),
    Column("", "butt_height_{unit}", "height_m", "miss", kept=1),
)
FIRST_SHOT: tuple[Column[Any], ...] = (
    PLACE[0],
    Column("", "reading_mm", "reading_m", "mm", tape="first"),
    Column("", "low_{unit}", "low_m", "miss"),
    Column("", "high_{unit}", "high_m", "miss"),
    Column("", "butt_height_95_{unit}", "height_95_m", "miss"),
    Column("", "butt_height_99_{unit}", "height_99_m", "miss"),
    *PLACE[1:],
)
SCHEMA = "tapewright.plan/1"
TOLERANCE = Field(
    "tolerance", "Miss that is still good", hint="Such as 3 in. Left open: the rig sheet's.",
    takes="RADIUS", measure=Measure("length", (0.002, 2.0, "m"), "3 in", "is no miss to ask for",
                                    "Write such as 3 in"),
)  # fmt: skip
ARROW_ENDS, WALKS = (3, 1000), ("yes", "no")
TODAY = Field(
    "temperature", "Temperature today", takes="TEMPERATURE",
    hint="Such as -5 °C or 30 °F. Left open: like that of the groups.",
    measure=Measure("temperature", (-35.0, 50.0, "°C"), "15 °C"),  # in which anybody shoots
)  # fmt: skip
SINCE = Field(
    "windage", "Windage since the last group", "still", choices=("still", "moved"),
    hint="Moved: as told after it. Still: the next arrow flies with it as it stood.",
)  # fmt: skip
ALL_SOUND = "Before the first arrow: all of the check list is ticked sound."
CLOSE_M = 1e-6
Row = dict[str, Any]


def plan_order(answer: Answer, said: Said, units: Units, usual_m: float | None = None) -> PlanOrder:
    """What is wanted of a session, as asked; Withheld while the rig must or may not be shot.

    ``usual_m``: what is wanted where nobody says; absent: the next ten not yet trusted.
    """
    refuse_unready(answer.rig, answer.questions)
    unit_m = UNITS[units.distance].factor
    if said.text("wanted"):
        wanted_m = said.distance("wanted", "")
    else:
        wanted_m = usual_m or usual_wish(answer, unit_m)
    if wanted_m < NEAREST_TRUSTED_M - CLOSE_M:
        wrong = f"{quoted(said.text('wanted'))} is nearer than a trusted distance can be"
        least = "10 yd or more, as 90 yd" if units.distance == "yd" else "10 m or more, as 70 m"
        raise BadInput(said.place("wanted"), wrong, f"Write {least}")
    tolerance_m = said.quantity_if_said(TOLERANCE) or answer.rig.archer.tolerance_m
    wish = Wish(tolerance_m, read_butt(said, units), answer.bands.probability)
    arrows = said.whole("arrows", int(QUESTION.usual("arrows", units)), ARROW_ENDS)
    places_m, all_m = _places(said, wanted_m), usual_places(wanted_m, unit_m)
    may_walk = said.choice("walk", "yes", WALKS) == "yes"
    if places_m:
        return PlanOrder(wanted_m, wish, arrows, places_m, all_m if may_walk else ())
    fives = tuple(one for one in all_m if _is_told(one, wanted_m, unit_m))
    return PlanOrder(wanted_m, wish, arrows, all_m, shown_m=fives)


def _is_told(distance_m: float, wanted_m: float, unit_m: float) -> bool:
    """Whether a place is one of those that a table of the usual ones shows: fives from 10 on."""
    count = distance_m / unit_m
    is_five = abs(count / 5.0 - round(count / 5.0)) < CLOSE_M
    return distance_m >= wanted_m - CLOSE_M or (is_five and count > 10.0 - CLOSE_M)


def _places(said: Said, wanted_m: float) -> tuple[float, ...]:
    """Where groups may be shot, if that was said; none past what is wanted, if that was said."""
    text = said.text("distances")
    if not text:
        return ()
    places_m = said.distances("distances", text)
    if said.text("wanted") and places_m[-1] > wanted_m + CLOSE_M:
        wrong = f"{quoted(text)} goes past the wanted distance"
        raise BadInput(said.place("distances"), wrong, "Want a farther one, or shoot nearer")
    return tuple(one for one in places_m if one <= wanted_m + CLOSE_M) or places_m[:1]


def _ask(answer: Answer, said: Said, units: Units) -> Plan:
    order = plan_order(answer, said, units)
    return planned(as_of_today(answer, said), order)


def as_of_today(answer: Answer, said: Said) -> Answer:
    """The calibration in today's air, and with the windage as it stands now, as was said."""
    today_k = said.quantity_if_said(TODAY)
    if today_k is not None:
        refuse_too_cold(answer.rig, today_k)
        answer = _in_air_of(answer, today_k)
    if said.choice("windage", "still", SINCE.choices) == "moved":
        answer = windage_moved(answer)
    return answer


def _in_air_of(answer: Answer, today_k: float) -> Answer:
    """The calibration there, by groups that were shot there; without one, before the first."""
    if answer.elsewhere:
        cold = meet_cold(answer, answer.bands.distance_m, today_k)
        if cold.groups:
            return cold.there
    return before_arrows_in(answer, today_k)


def _tell(plan: Plan, units: Units) -> Blocks:
    """The plan; before the first arrow with the check list, later with what nobody can judge."""
    rig = plan.answer.rig
    before = _looked_over(rig) if plan.is_set_by_eye else ()
    unjudged = filter(None, [unjudged_words(rig)])
    return (*plan_blocks(plan, units), *before, *map(Mind, unjudged))


def _looked_over(rig: Rig) -> Blocks:
    """The check list before the first arrow, or that all of it is ticked."""
    return (ALL_SOUND,) if is_looked_over(rig) else (check_list(rig),)


def measure_words(plan: Plan) -> str:
    """What is worth measuring at home before more arrows are shot, and how; empty: nothing."""
    gains = not plan.is_trusted and gains_by_travel(plan.answer)
    return " ".join(travel_words(plan.answer)) if gains else ""


def travel_words(answer: Answer) -> tuple[str, str]:
    """Why the sight is worth measuring, and how it is done."""
    travel, said = KEYS["sight.reading_per_travel"], answer.rig.sight.reading_per_travel
    label, vague = travel.label.lower(), ""
    if said is not None:
        vague = f"The sheet's {label}, {said.value:.3g}, is not known to ±1 % yet. "
    what = f"the sight's {label}" if said is None else "it"
    why = (
        f"{vague}What saves the most arrows costs none: measure {what} "
        "to ±1 % and write it into the rig sheet; with the sight radius it tells twice as much."
    )
    return why, travel.measure.partition(" If unsure")[0]


def plan_blocks(plan: Plan, units: Units) -> Blocks:
    """Where the archer stands, what groups buy, the steps, the first far arrow; what to measure."""
    return (
        f"{plan.answer.rig.name}: {standing_words(plan, units)}\n",
        *([candidates_table(plan, units)] if plan.candidates else []),
        *([plan_table(plan, units)] if plan.steps else []),
        *plan_sentences(plan, units),
        *filter(None, [measure_words(plan)]),
        *map(Mind, plan_cautions(plan, units)),
    )


def _on_butt(step: Step) -> str:
    return chance_words(step.chance) + ("" if step.is_safe else " unsafe")


def _bought(step: Step, units: Units) -> tuple[str, str]:
    """Band and trusted distance after a group."""
    trusted = told(in_unit(step.trusted_m, units.distance), 0) if step.trusted_m else NOTHING
    return f"±{told(in_unit(step.band_m, units.miss), 1)}", trusted


def _by_place(steps: Iterable[Step]) -> list[list[Step]]:
    return [list(there) for _, there in groupby(steps, key=lambda step: step.distance_m)]


def candidates_table(plan: Plan, units: Units) -> Table:
    """What one more group buys at each distance, unsafe ones marked."""
    wanted, unit = distance_words(plan.order.wanted_m, units), units.distance
    title = f"What one group buys (band at {wanted}, {units.miss}; trusted distance, {unit})"
    heads = (unit, "on the butt", *(f"{arrows} arrows" for arrows in ARROWS))
    places = _by_place(plan.candidates)
    rows = tuple(
        (
            far(steps[0].distance_m, units),
            _on_butt(steps[0]),
            *(", ".join(_bought(step, units)) for step in steps),
        )
        for steps in places
    )
    unsafe = frozenset(place for place, steps in enumerate(places) if not steps[0].is_safe)
    return Table(title, heads, rows, unsafe)


def plan_table(plan: Plan, units: Units) -> Table:
    """The plan, group by group."""
    unit = units.distance
    dial = "dial" if plan.answer.tape else "dial mm"
    heads = ("group", unit, dial, "arrows", "on the butt", f"then band {units.miss}",
             f"trusted {unit}")  # fmt: skip
    rows = tuple(
        (
            str(place + 1),
            far(step.distance_m, units),
            "by eye" if plan.is_set_by_eye else _cell(plan, place),
            str(step.arrows),
            _on_butt(step),
            *_bought(step, units),
        )
        for place, step in enumerate(plan.steps)
    )
    return Table("Plan", heads, rows)


def _cell(plan: Plan, place: int) -> str:
    """What to dial; mm stand in the head where they are all that is told."""
    words = step_dial_words(plan, place)
    return words if plan.answer.tape else words.removesuffix(" mm")


def plan_cautions(plan: Plan, units: Units) -> tuple[str, ...]:
    """What must be read before a planned arrow is loosed."""
    marks = mark_words(plan.answer, units, but="slip" if plan.answer.slips else "no arrows")
    return (*marks, FIRST_FAR, *SAFETY[:2], SAFETY[3])


def _write(plan: Plan, units: Units) -> Row:
    rig = plan.answer.rig
    checks = {part: found_of(rig, part) for part in parts_of(rig)}
    asked = questions_json(questions(rig))
    measure = {"measure_first": measure_words(plan) or None}
    return plan_json(plan, units) | measure | {"questions": asked, "checks": checks}


def plan_json(plan: Plan, units: Units) -> Row:
    """A plan for programs, but for what must be answered and looked at before it."""
    unit, miss, order, wish = units.distance, units.miss, plan.order, plan.order.wish
    ladder, answer, by_eye, steps = plan.ladder, plan.answer, plan.is_set_by_eye, plan.steps
    dials = [
        {"reading_mm": None if by_eye else rounded(reading_m, "mm"), "walk": plan.is_walk(step)}
        | dial_json(answer.tape, None if by_eye else reading_m, at_m=step.distance_m)
        for step, reading_m in zip(steps, plan.readings_m, strict=True)
    ]
    hindrance = record(HINDRANCE, plan.hindrance, units)
    first = record(on_sight(FIRST_SHOT, answer.tape, at="distance_m"), plan.first, units)
    return (
        head_json(SCHEMA, answer)
        | unproven_json(answer)
        | {
            "band": wish.probability,
            f"wanted_distance_{unit}": rounded(order.wanted_m, unit, 4),
            f"tolerance_{miss}": rounded(wish.tolerance_m, miss),
            f"butt_width_{miss}": rounded(wish.butt.width_m, miss),
            f"butt_height_{miss}": rounded(wish.butt.height_m, miss),
            "most_arrows": order.most_arrows,
            f"trusted_distance_{unit}": rounded(plan.trusted_m, unit) if answer.is_earned else None,
            f"band_{miss}": rounded(plan.band_m, miss),
            "candidates": [
                records(PLACE, there[:1], units)[0] | {"groups": records(BOUGHT, there, units)}
                for there in _by_place(plan.candidates)
            ],
            f"farthest_hit_{unit}": rounded(ladder.hit_m, unit, 4) if ladder.hit_m else None,
            f"next_step_to_{unit}": rounded(ladder.farthest_m, unit, 4),
            "near_arrow_first": ladder.needs_near_arrow,
            f"past_butt_{unit}": rounded(ladder.missed_m, unit, 4) if ladder.missed_m else None,
            "correction_share": plan.share,
            "windage_first": _windage_json(plan, units),
            f"left_out_{unit}": [rounded(barred_m, unit, 4) for barred_m in plan.barred_m],
            "plan": joined(records(PLACE, steps, units), dials, records(BOUGHT, steps, units)),
            "plan_arrows": sum(step.arrows for step in steps),
            "gets_there": plan.gets_there,
            "first_arrow": _first_arrow_json(plan, units),
            "hindrance": hindrance and {key: value or None for key, value in hindrance.items()},
            "slips": slips_json(answer, units),
            "spare_group": record((*PLACE, *BOUGHT), plan.spare, units),
            "first_shot": first and first | ({"reading_mm": None} if by_eye else {}),
            "walk_back": records((*PLACE, BOUGHT[0]), plan.chain, units),
            "walk_back_gets_there": plan.chain_gets_there,
            "cautions": list(plan_cautions(plan, units)),
        }
    )


def _first_arrow_json(plan: Plan, units: Units) -> Row | None:
    """Where the first arrow of the first group may hit; by eye: anywhere on the butt."""
    if not plan.steps:
        return None
    low_m, high_m = (None, None) if plan.is_set_by_eye else plan.lands_m
    return {
        f"distance_{units.distance}": rounded(plan.steps[0].distance_m, units.distance, 4),
        f"low_{units.miss}": rounded(low_m, units.miss),
        f"high_{units.miss}": rounded(high_m, units.miss),
    }


def _windage_json(plan: Plan, units: Units) -> Row | None:
    """What to turn to the side before the first group; None where nothing need be."""
    if not plan.windage_rad:
        return None
    right_m = plan.windage_rad * plan.steps[0].distance_m
    return {
        f"right_{units.miss}": rounded(right_m, units.miss),
        "pin_right_mm": rounded(plan.pin_right_m, "mm", 4),
        "right_clicks": plan.right_clicks,
    }


def _withheld(answer: Answer, refused: Withheld, units: Units) -> Row:
    """A plan that is withheld: the same keys with nothing in them, and why."""
    unit, miss = units.distance, units.miss
    nothing = (
        f"wanted_distance_{unit}", f"tolerance_{miss}", f"butt_width_{miss}",
        f"butt_height_{miss}", "most_arrows", f"trusted_distance_{unit}", f"band_{miss}",
        f"farthest_hit_{unit}", f"next_step_to_{unit}", "near_arrow_first", f"past_butt_{unit}",
        "correction_share", "windage_first", "first_arrow",
        "hindrance", "spare_group", "first_shot", "measure_first",
    )  # fmt: skip
    return (
        head_json(SCHEMA, answer)
        | dict.fromkeys(nothing)
        | {
            key: []
            for key in ("candidates", f"left_out_{unit}", "plan", "slips", "walk_back", "cautions")
        }
        | {"plan_arrows": 0, "gets_there": False, "walk_back_gets_there": False}
        | {"checks": {part: found_of(answer.rig, part) for part in parts_of(answer.rig)}}
        | withheld_json(refused)
    )


FIELDS = (
    Field("wanted", "Trusted distance wanted", takes="DISTANCE", option_name="to",
          hint="Such as 60 yd. Left open: the farthest the sheet says you shoot, else the farthest "
          "ten of the tape not yet trusted."),
    TOLERANCE,
    BUTT,
    Field("arrows", "Arrows", "60", hint="At most so many before you tire.", takes="NUMBER"),
    Field("distances", "Where you can shoot", takes="LIST",
          hint="Such as 20, 30, 50 yd. Left open: anywhere."),
    Field("walk", "May you walk nearer", "yes", choices=WALKS,
          hint="Whether the range lets you stand at other distances than those."),
    TODAY,
    SINCE,
)  # fmt: skip
QUESTION = Question(
    "plan", "What to shoot next",
    "Groups in an order in which few arrows buy much trust, the first from near by, none much "
    "farther than the one before. Shots that would not surely land on your butt are not asked for.",
    FIELDS, _ask, _tell, _write, where="wanted",
    more="Without shots it plans the whole session, the first arrow from near by. Each group is "
    "shot one arrow first; then look. Shoot the first group, add it to SHOTS.csv, and plan anew.",
    withheld=_withheld,
)  # fmt: skip
