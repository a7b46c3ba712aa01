"""What now: the one next step of a rig, from all that is known and kept of it.

The order is that of caution: what must not be shot, what must be told first, what seems wrong, what
is on the sight, what is worth measuring, groups, tape, proof, card, season. It makes no rule of its
own for any of them but the last: each is asked where it stands.

Holds:  the Done and NextStep records; the choice, what may be done in its place, what follows it.
Never:  formulas, sentences, what a notebook keeps (faces).
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import inf
from typing import Literal

import numpy as np

from tapewright.confidence.bands import spread_of_marks
from tapewright.confidence.ladder import CLOSE_M
from tapewright.services.advise import Plan, PlanOrder, planned
from tapewright.services.calibrate import Answer, Caution
from tapewright.services.measure_first import gains_by_travel
from tapewright.services.prove import Proving, is_few
from tapewright.services.record_groups import Observation

__all__ = ["AFTER", "Done", "NextStep", "StepKind", "TapeMiss", "what_now"]

# ``"stop"``: must not be shot; ``"tell"``: the sheet must tell something before the first arrow;
# ``"slip"``: something is written down wrongly; ``"cease"``: group after group went past the butt;
# ``"check"``: groups or lines of the sheet that do not fit; ``"stick"``: is the printed tape on the
# sight?; ``"measure"``: what tells more than arrows; ``"shoot"``: a group of the plan; ``"butt"``:
# no group can be planned; ``"tape"``, ``"prove"``: begin or go on; ``"mend"``: the proof found
# something; ``"card"``; ``"season"``: nobody shot for long; ``"done"``: nothing is needed
StepKind = Literal["stop", "tell", "slip", "cease", "check", "stick", "measure", "shoot", "butt",
                   "tape", "prove", "mend", "card", "season", "done"]  # fmt: skip

AFTER: tuple[StepKind, ...] = ("shoot", "tape", "stick", "prove", "card")  # the way of every rig
# Cautions of something that does not fit, beside groups that are odd.
UNFIT = ("same arrows", "sheet contradicted", "house contradicted", "change contradicted",
         "statements differ")  # fmt: skip
NEAR_ENOUGH = 0.1  # of its distance: a group shot there again answers one that does not fit
SEASON_DAYS = 90  # without an arrow, after which a proof is old (common practice, no source)
LIKELIER = 0.5  # odds of two bows from which on a proof is to be shot once more
LEAST_OFF = 0.5  # of the miss allowed: the other half belongs to the doubt of the mark


@dataclass(frozen=True, slots=True)
class Done:
    """What was done with a rig beside shooting, as far as a notebook knows it."""

    is_kept: bool = False  # whether a notebook tells it; files know sheet, arrows and tape only
    printed_on: str = ""  # day of the last printed tape that nobody stuck on; empty for none
    is_fresh: bool = False  # whether no group was written down since that print
    proof: tuple[Observation, ...] = ()  # groups of the proof of what is on the sight now
    is_proved: bool = False  # whether such a proof was taken into the calibration
    has_card: bool = False  # whether a card was taken along since the tape was stuck on
    quiet_days: int | None = None  # since the last session; None where no day is known


@dataclass(frozen=True, slots=True)
class TapeMiss:
    """Where the tape on the sight misses by more than it may, and by how much, up positive."""

    distance_m: float
    up_m: float


@dataclass(frozen=True)
class NextStep:
    """The one next step, and what it rests on."""

    kind: StepKind
    answer: Answer
    done: Done
    plan: Plan | None = None  # None where none may be made
    instead: StepKind | None = None  # what may be done all the same, before it
    cautions: tuple[Caution, ...] = ()  # what does not fit, the first first
    tape_miss: TapeMiss | None = None  # why the tape on the sight is to be printed anew
    proving: Proving | None = None  # the verdict that asks for it
    # What may be done beside it: ``"measure"``, ``"tape"``: as far as it is trusted already;
    # ``"stick"``: an older print may be on the sight; ``"card"``: files do not know of one
    also: tuple[StepKind, ...] = ()

    @property
    def typed(self) -> StepKind:
        """What a person with files types for: the step, or the card once nothing more is needed."""
        return "card" if "card" in self.also else self.kind

    @property
    def after(self) -> tuple[StepKind, ...]:
        """What follows it on the way of every rig; that is behind a rig with its tape proved."""
        if self.kind in ("card", "season", "done"):
            return ()
        if self.kind in ("prove", "mend"):
            return ("card",)
        at = AFTER.index(self.kind) + 1 if self.kind in AFTER else 0
        behind: set[StepKind] = set() if self.answer.tape is None else {"tape", "stick"}
        if behind and _is_taken(self.answer, self.done):
            behind.add("prove")
        return tuple(one for one in AFTER[at:] if one not in behind or self.kind == "tape")


def what_now(
    answer: Answer,
    order: PlanOrder | None,
    done: Done,
    verdict: Callable[[], Proving],
    *,
    is_away: bool = False,
) -> NextStep:
    """The next step of a rig.

    ``order`` is what is wanted of a session, None where none may be shot or judged; ``verdict`` is
    asked only where a proof with enough distances lies there; ``is_away``: in other air than the
    sheet's, of which the tape on the sight need not be.
    """
    if answer.stops:
        return NextStep("stop", answer, done)
    if answer.questions or order is None:
        return NextStep("tell", answer, done)
    plan = planned(answer, order)
    hindered = plan.hindrance.kind if plan.hindrance else ""
    if answer.slips:
        return NextStep("slip", answer, done, plan)
    if hindered == "misses":
        return NextStep("cease", answer, done, plan)
    shoot: StepKind | None = "shoot" if plan.steps else None
    also = _beside(plan, done)
    if unfit := _unfit(answer):
        return NextStep("check", answer, done, plan, shoot, unfit, also=also)
    if done.printed_on and done.is_fresh:
        return NextStep("stick", answer, done, plan, shoot, also=also)
    if shoot and plan.is_set_by_eye and gains_by_travel(answer):
        return NextStep("measure", answer, done, plan, shoot)
    if shoot:
        return NextStep("shoot", answer, done, plan, also=also)
    if not plan.is_trusted and not plan.trusted_m:
        return NextStep("butt", answer, done, plan, also=also)
    return _with_tape(NextStep("done", answer, done, plan), verdict, is_away=is_away)


def _with_tape(step: NextStep, verdict: Callable[[], Proving], *, is_away: bool) -> NextStep:
    """What is next once no group is asked for: the tape, its proof, the card, another season."""
    answer, done, plan = step.answer, step.done, step.plan
    also: tuple[StepKind, ...] = ("stick",) if done.printed_on else ()
    if answer.tape is None:
        return NextStep("tape", answer, done, plan, also=also)
    if miss := tape_miss(answer):
        kind: StepKind = "done" if is_away else "tape"
        return NextStep(kind, answer, done, plan, tape_miss=miss, also=also)
    if not _is_taken(answer, done):
        if done.is_proved or is_few(done.proof):  # what counts already proves nothing twice
            return NextStep("prove", answer, done, plan)
        proving = verdict()
        if proving.cause is not None:
            return NextStep("mend", answer, done, plan, proving=proving)
        if not proving.may_accept:  # nobody can tell yet
            return NextStep("prove", answer, done, plan, proving=proving)
    if not done.is_kept:  # files never tell whether a card was taken along
        return replace(step, also=("card",))
    if not done.has_card:
        return NextStep("card", answer, done, plan)
    if done.quiet_days is not None and done.quiet_days > SEASON_DAYS:
        return NextStep("season", answer, done, plan)
    return step


def _is_taken(answer: Answer, done: Done) -> bool:
    """Whether a proof calibrates already, and more speaks for one bow than for two.

    Of sound bows three groups on a sound tape leave a third of the odds to other causes: whoever
    waited for less would prove for ever.
    """
    if any(one.kind == "two bows" and one.numbers[0] >= LIKELIER for one in answer.cautions):
        return False
    if done.is_kept:
        return done.is_proved
    return any(one.proved for one in answer.observations)


def _unfit(answer: Answer) -> tuple[Caution, ...]:
    """What does not fit: groups that nobody shot again, the same arrows twice, lines of the sheet.

    A group that does not fit is answered by a later one from about there that does.
    """
    last = {one.name: at for at, one in enumerate(answer.groups)}

    def is_answered(caution: Caution) -> bool:
        at, distance_m = last.get(caution.subject, len(answer.groups)), caution.numbers[0]
        return any(
            not one.is_odd and abs(one.distance_m - distance_m) <= NEAR_ENOUGH * distance_m
            for one in answer.groups[at + 1 :]
        )

    odd = [one for one in answer.cautions if one.kind == "odd group" and not is_answered(one)]
    return (*odd, *(one for one in answer.cautions if one.kind in UNFIT))


def _beside(plan: Plan, done: Done) -> tuple[StepKind, ...]:
    """What may be done beside the plan's next group."""
    found: list[StepKind] = []
    if done.printed_on and not done.is_fresh:
        found.append("stick")
    if not plan.is_set_by_eye and not plan.is_trusted and gains_by_travel(plan.answer):
        found.append("measure")
    if plan.trusted_m and plan.answer.tape is None and not done.printed_on:
        found.append("tape")
    return tuple(found)


def tape_miss(answer: Answer) -> TapeMiss | None:
    """Where the tape on the sight sends arrows off by half of what may be missed; None: nowhere.

    Looked for at its ticks past the turning distance, as far as marks are trusted and the archer
    shoots.
    """
    tape = answer.tape
    far_m = min(answer.trusted_m[0], answer.rig.archer.farthest_m or inf)
    if tape is None:
        return None
    ticks = tape.pins[0]
    pairs = zip(ticks.distances_m[ticks.nearest_far :], ticks.readings_m[ticks.nearest_far :],
                strict=True)  # fmt: skip
    seen = [(at_m, reading_m) for at_m, reading_m in pairs if at_m <= far_m + CLOSE_M]
    if not seen:
        return None
    distance_m, shown_m = np.array(seen).T
    marks = spread_of_marks(answer.posterior, distance_m, answer.bands.probability)
    up_m = (shown_m - marks.reading_m) * marks.up_per_reading
    worst = int(np.nanargmax(np.abs(up_m)))
    if abs(up_m[worst]) <= LEAST_OFF * answer.rig.archer.tolerance_m:
        return None
    return TapeMiss(float(distance_m[worst]), float(up_m[worst]))
