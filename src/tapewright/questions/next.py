"""Next: the one next thing to do with a rig, why, what it buys and what it needs.

Asked of a calibration, or of one with what a notebook keeps beside it; the plan, the proof and all
limits are asked where they stand, so that no page says another thing.

Holds:  the question ``next``: its fields, the words of every step, the same for programs.
Never:  which step it is (services/what_now.py), how a face shows it and where it leads.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from tapewright.questions.plan import (
    FIELDS,
    as_of_today,
    measure_words,
    plan_json,
    plan_order,
    travel_words,
)
from tapewright.questions.plan import QUESTION as PLAN
from tapewright.questions.prove import prove_groups
from tapewright.questions.question import Question, Said
from tapewright.services.advise import Plan
from tapewright.services.calibrate import Answer
from tapewright.services.prove import Proving, distances_shot
from tapewright.services.what_now import Done, NextStep, StepKind, TapeMiss, what_now
from tapewright.words.answer_blocks import Blocks, Mind
from tapewright.words.answer_json import head_json, trust_json
from tapewright.words.cautions import SAFETY, caution_words
from tapewright.words.miss_causes import mend_words, verdict_words
from tapewright.words.next_shot import (
    FIRST_FAR,
    MISSES,
    PLANNED_PIN,
    counted_words,
    has_pins,
    hindrance_words,
    plan_words,
    spare_words,
    standing_words,
    step_dial_words,
    step_rule_words,
    tenths,
)
from tapewright.words.number_format import counted
from tapewright.words.slips import slip_words, slips_json
from tapewright.words.stops import (
    is_looked_over,
    question_lines,
    questions_json,
    stop_lines,
    unjudged_words,
)
from tapewright.words.trust_sentences import trust_words, unproven_k
from tapewright.words.unit_system import Units, distance_words

NAMES: dict[StepKind, str] = {  # of what follows, in a few words
    "shoot": "groups by the plan",
    "tape": "print the tape",
    "stick": "stick it on",
    "prove": "prove it",
    "card": "take a card along",
}
BY_FILE: dict[StepKind, str] = {  # what a person with files does, who has no page to press
    "stop": "Correct the rig sheet, then ask again.",
    "tell": "Write it into the rig sheet, then ask again.",
    "slip": "Correct the file of shots, then ask again.",
    "check": "Correct the file of shots or the rig sheet, or shoot the group again, then ask "
    "again.",
    "measure": "Write it into the rig sheet, then ask again.",
    "shoot": "Write the group into the file of shots, then ask again.",
    "tape": "Once it is stuck on, name its record with --tape.",
    "prove": "Write what you dial and where it hits into a file of its own, not among the arrows "
    "that the tape was made from.",
}
BY_COMMAND: dict[StepKind, str] = {  # with which command; a terminal says it of the files at hand
    "tape": "tapewright tape RIG.toml SHOTS.csv",
    "prove": "tapewright prove RIG.toml SHOTS.csv PROOF.csv --tape TAPE.json",
    "card": "tapewright card RIG.toml SHOTS.csv --tape TAPE.json --print page",
}
PROOF_GROUPS = "One group at each of three distances or more, far ones among them."
WITH_AIR = "Its temperature, written down with the group: else it proves nothing in such air."
LOOK_OVER = "The bow looked over by the check list, before the first arrow."
ON_PAPER = "Paper, a printer at 100 %, and a rule to measure the print with."


@dataclass(frozen=True, slots=True)
class Standing:
    """A calibration with what a notebook keeps beside it."""

    answer: Answer
    done: Done


@dataclass(frozen=True, slots=True)
class StepWords:
    """A step as people read it."""

    do: str  # what to do, in a few words
    why: str = ""
    buys: str = ""  # what is better after it; empty where nothing can be told
    needs: tuple[str, ...] = ()


def _ask(subject: Answer | Standing, said: Said, units: Units) -> NextStep:
    one = subject if isinstance(subject, Standing) else Standing(subject, Done())
    answer, done = one.answer, one.done

    def verdict() -> Proving:
        return prove_groups(answer, done.proof, Said({}), units)

    if answer.stops or answer.questions:
        return what_now(answer, None, done, verdict)
    order = plan_order(answer, said, units)
    today = as_of_today(answer, said)
    return what_now(today, order, done, verdict, is_away=today.rig.air != answer.rig.air)


def step_told(step: NextStep, units: Units) -> StepWords:
    """The step in words."""
    return _TOLD[step.kind](step, units)


def instead_words(step: NextStep, units: Units) -> str:
    """What may be done all the same, before the step; empty for nothing."""
    return f"{_shot_words(_planned(step), units)}." if step.instead else ""


def also_words(step: NextStep, units: Units) -> tuple[str, ...]:
    """What may be done beside it, a sentence each."""
    return tuple(_also(kind, step, units) for kind in step.also)


def step_cautions(step: NextStep) -> tuple[str, ...]:
    """What must be read before the step."""
    unjudged = "" if step.kind in ("stop", "tell") else unjudged_words(step.answer.rig)
    if "shoot" not in (step.kind, step.instead):
        return tuple(filter(None, (unjudged,)))
    plan = _planned(step)
    is_far = plan.steps[0].distance_m > plan.trusted_m
    return tuple(filter(None, (unjudged, FIRST_FAR if is_far else "", SAFETY[0])))


def _planned(step: NextStep) -> Plan:
    assert step.plan is not None
    return step.plan


def _stop(step: NextStep, _units: Units) -> StepWords:
    lines = stop_lines(step.answer.rig)
    return StepWords("Do not shoot this set-up", " ".join(lines), needs=("A corrected rig sheet.",))


def _tell_first(step: NextStep, _units: Units) -> StepWords:
    why = "Without it nobody can judge whether this arrow may be shot from this bow."
    lines = question_lines(step.answer.questions)
    return StepWords("Say what the rig sheet must tell before the first arrow", why, needs=lines)


def _slip(step: NextStep, units: Units) -> StepWords:
    return StepWords("Settle what seems to be written down wrongly", slip_words(step.answer, units))


def _cease(_step: NextStep, _units: Units) -> StepWords:
    return StepWords("Shoot no more for now", MISSES)


def _check(step: NextStep, units: Units) -> StepWords:
    first, *others = step.cautions
    of_groups = first.kind in ("odd group", "same arrows")
    words = [caution_words(one, step.answer, units) for one in (first, *others)]
    if not of_groups:
        do = "Look at the rig sheet: the arrows say otherwise"
        return StepWords(do, words[0], needs=tuple(words[1:]))
    which = f"groups {first.subject}" if first.kind == "same arrows" else f"group {first.subject}"
    do = f"Look at {which} first: something does not fit"
    hindered = hindrance_words(_planned(step), units)
    return StepWords(do, words[0], needs=tuple(filter(None, (*words[1:], hindered))))


def _stick(step: NextStep, _units: Units) -> StepWords:
    return StepWords(
        f"Is the tape of {step.done.printed_on} on the sight?",
        "Once it is stuck on, you write and read what it shows; a number of the other scale would "
        "be taken for a wrong one.",
        "Distances to dial in place of millimetres.",
    )


def _measure(step: NextStep, _units: Units) -> StepWords:
    why, how = travel_words(step.answer)
    return StepWords("Measure the sight before the first arrow", why, needs=(how,))


def _shot_words(plan: Plan, units: Units) -> str:
    """The plan's first group, as something to do."""
    first = plan.steps[0]
    dial = "the sight set by eye" if plan.is_set_by_eye else f"dial {step_dial_words(plan, 0)}"
    where = distance_words(first.distance_m, units)
    pin = f", aiming with {PLANNED_PIN}" if has_pins(plan) else ""
    return f"Shoot {counted(first.arrows, 'arrow')} at {where}, {dial}{pin}"


def _shoot(step: NextStep, units: Units) -> StepWords:
    plan = _planned(step)
    butt = plan.order.wish.butt
    wide, tall = (tenths(side, units) for side in (butt.width_m, butt.height_m))
    needs = (
        LOOK_OVER if plan.is_set_by_eye and not is_looked_over(plan.answer.rig) else "",
        step_rule_words(plan, units),
        counted_words(plan),
        hindrance_words(plan, units),
        f"A butt {wide} wide and {tall} tall or larger, with a safe stop behind it.",
        WITH_AIR if unproven_k(plan.answer) else "",
    )
    return StepWords(
        _shot_words(plan, units), standing_words(plan, units), _bought(plan, units),
        tuple(filter(None, needs)),
    )  # fmt: skip


def _bought(plan: Plan, units: Units) -> str:
    """What the plan's first group buys, and the plan as a whole."""
    first, last = plan.steps[0], plan.steps[-1]
    wanted = distance_words(plan.order.wanted_m, units)
    told = f"The band at {wanted} is then about ±{tenths(first.band_m, units)}"
    if first.trusted_m:
        told += f", and about {distance_words(first.trusted_m, units)} are trusted"
    if len(plan.steps) == 1 or not last.trusted_m:
        return f"{told}."
    groups, arrows = counted(len(plan.steps), "group"), sum(one.arrows for one in plan.steps)
    reach = distance_words(last.trusted_m, units)
    return f"{told}. After {groups}, {arrows} arrows in all, about {reach}."


def _butt(step: NextStep, units: Units) -> StepWords:
    plan = _planned(step)
    kind = plan.hindrance.kind if plan.hindrance else ""
    do = {"butt": "Take a larger butt, or shoot elsewhere", "place": "Find a nearer place to shoot"}
    why = hindrance_words(plan, units) or plan_words(plan, units)
    return StepWords(do.get(kind, "See why no group can be planned"), why)


def _tape(step: NextStep, units: Units) -> StepWords:
    plan, trust = _planned(step), trust_words(step.answer, units)
    buys = "Distances to dial in place of millimetres."
    if step.tape_miss is not None:
        off = _off_words(step.tape_miss, units)
        why = f"The tape on the sight is behind the arrows: dialled by it they land {off}. {trust}"
        return StepWords("Print the tape anew", why, buys, (ON_PAPER,))
    short = "" if plan.is_trusted else hindrance_words(plan, units) or plan_words(plan, units)
    return StepWords("Print the sight tape", f"{trust} {short}".strip(), buys, (ON_PAPER,))


def _off_words(miss: TapeMiss, units: Units) -> str:
    """Where arrows land that are dialled by the tape on the sight."""
    way = "high" if miss.up_m > 0.0 else "low"
    return f"{tenths(miss.up_m, units)} {way} at {distance_words(miss.distance_m, units)}"


def _prove(step: NextStep, units: Units) -> StepWords:
    shot, answer = len(distances_shot(step.done.proof)), step.answer
    why = "A tape that is right on paper may sit wrong on the sight; only arrows tell."
    do = "Prove the tape"
    doubts = [one for one in answer.cautions if one.kind in {"two bows", "two distances"}]
    if doubts or step.done.is_proved:  # what it proved is doubted
        do = "Prove the tape once more"
        why = " ".join(caution_words(one, answer, units) for one in doubts) or why
    elif step.proving is not None:
        do, why = "Shoot one more group for the proof", verdict_words(step.proving, units)
    elif shot:
        do = f"Go on with the proof: {counted(shot, 'distance')} of three shot"
    return StepWords(do, why, "Whether the tape is right, and if not, why it misses and what to "
                     "turn.", (PROOF_GROUPS,))  # fmt: skip


def _mend(step: NextStep, units: Units) -> StepWords:
    assert step.proving is not None
    mend = mend_words(step.proving, units)
    found = verdict_words(step.proving, units)
    return StepWords("Mend what the proof found", found, needs=(mend,))


def _left_words(step: NextStep, units: Units) -> str:
    """What doubt the proof left that was taken in; empty for none."""
    mixed = (one for one in step.answer.cautions if one.kind == "two bows")
    return " ".join(caution_words(one, step.answer, units) for one in mixed)


def _card(step: NextStep, units: Units) -> StepWords:
    why = f"The tape is on the sight and proved. {_left_words(step, units)}".strip()
    buys = "Marks, slopes and weather where no notebook is at hand."
    return StepWords("Take a card along", why, buys)


def _season(step: NextStep, _units: Units) -> StepWords:
    days = step.done.quiet_days
    return StepWords(
        f"Prove the tape anew: nobody shot for {days} days",
        "The tape was right then. Strings creep, a peep or rest is knocked, and another season has "
        "other air.",
        "Whether the tape still holds, before a far arrow hangs on it.",
        (LOOK_OVER, "The nearest distance first, then far ones."),
    )


def _done(step: NextStep, units: Units) -> StepWords:
    plan = _planned(step)
    if step.tape_miss is not None:
        off, trust = _off_words(step.tape_miss, units), trust_words(step.answer, units)
        why = f"The tape on the sight is of other air: dialled by it arrows land {off}. {trust}"
        needs = ("What to dial in this air, from “Cold and clothing”.",)
        return StepWords("Dial the marks of this air, not the tape's own", why, needs=needs)
    spare = spare_words(plan, units) or hindrance_words(plan, units)
    why = f"{standing_words(plan, units)} {_left_words(step, units)}".strip()
    return StepWords("Nothing more is needed", why, spare)


_TOLD: dict[StepKind, Callable[[NextStep, Units], StepWords]] = {
    "stop": _stop, "tell": _tell_first, "slip": _slip, "cease": _cease, "check": _check,
    "stick": _stick, "measure": _measure, "shoot": _shoot, "butt": _butt, "tape": _tape,
    "prove": _prove, "mend": _mend, "card": _card, "season": _season, "done": _done,
}  # fmt: skip


def _also(kind: StepKind, step: NextStep, units: Units) -> str:
    if kind == "measure":
        return measure_words(_planned(step))
    if kind == "card":
        return "A card to take along, where there is none of this tape yet."
    if kind == "stick":
        return f"A tape was printed on {step.done.printed_on}: if it is on the sight, say so."
    trusted = distance_words(_planned(step).trusted_m, units)
    return f"A tape may be printed already: it is trusted to {trusted}."


def _tell(step: NextStep, units: Units) -> Blocks:
    told, after = step_told(step, units), ", then ".join(NAMES[one] for one in step.after)
    instead = instead_words(step, units)
    lines = [
        f"{step.answer.rig.name}: {told.do}.",
        told.why,
        f"What it buys: {told.buys}" if told.buys else "",
        *(f"Needed: {need}" for need in told.needs),
        f"Or all the same: {instead}" if instead else "",
        *(f"Beside it: {one}" for one in also_words(step, units)),
        f"After it: {after}." if after else "",
        "" if step.done.is_kept else BY_FILE.get(step.kind, ""),
    ]
    return (*filter(None, lines), *map(Mind, step_cautions(step)))


def _by_file(kind: StepKind) -> str | None:
    """What a person with files does, for programs."""
    command = f"Write: {BY_COMMAND[kind]}" if kind in BY_COMMAND else ""
    return " ".join(filter(None, (BY_FILE.get(kind), command))) or None


def _write(step: NextStep, units: Units) -> dict[str, Any]:
    told, plan, unit = step_told(step, units), step.plan, units.distance
    shots = plan_json(plan, units)["plan"][:1] if plan is not None and plan.steps else []
    return head_json("tapewright.next/1", step.answer) | trust_json(step.answer, unit) | {
        "step": step.kind,
        "do": told.do,
        "why": told.why,
        "buys": told.buys,
        "needs": list(told.needs),
        "instead": step.instead,
        "shot": shots[0] if shots and "shoot" in (step.kind, step.instead) else None,
        "also": [{"step": kind, "words": words}
                 for kind, words in zip(step.also, also_words(step, units), strict=True)],
        "after": list(step.after),
        "slips": slips_json(step.answer, units),
        "questions": questions_json(step.answer.questions),
        "by_file": None if step.done.is_kept else _by_file(step.typed),
        "cautions": list(step_cautions(step)),
    }  # fmt: skip


QUESTION = Question(
    "next", "What now?",
    "The one next thing to do with this rig, why, what it buys and what it needs: what must not be "
    "shot first, then what seems wrong, groups, tape, proof and card, and a proof anew after a "
    "season without arrows.",
    FIELDS, _ask, _tell, _write, where=PLAN.where, first=3, is_of_kept=True,
    more="Of files it knows the sheet, the arrows and the tape named with --tape; a notebook also "
    "knows what was printed, stuck on and proved, and when.",
)  # fmt: skip
