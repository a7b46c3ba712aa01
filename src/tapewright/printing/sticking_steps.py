"""Sticking steps: what a tape's sheet says of setting, locking, peeling, sticking and covering.

Holds:  the four steps and the notes under them.
Never:  their pictures, where they stand on paper; the rest of a sheet's sentences.
Source: label film, laser rather than ink, clear tape, no pulling: common practice, no source.
"""

from tapewright.services.print_tape import PlannedTape, Sticking
from tapewright.words.readings_on_tape import shown_words

CLEAN = "wipe the place clean and dry"
SET_OF_EYE = "Zero the bow at {near} {unit}: arrows hit what you aim at."
SET_OF_GAUGE = (
    "Move the sight until the pointer is at {reading} mm on the gauge strip, or on the scale that "
    "you read till now."
)
SET_OF_TAPE = "Move the sight until the pointer is at {shown} on the tape that is on."
LOCK = "Lock it there. It stays locked until the tape is on."
PEEL_OF_EYE = f"Pull off what is stuck there, {CLEAN}."
PEEL_OF_TAPE = f"Peel that tape off, {CLEAN}. The pointer does not move."
PEEL_OF_GAUGE = f"Peel the gauge strip off if one is on, {CLEAN}. The pointer does not move."
STICK = (
    "Cut the strip out along its frame. Its edge with the small arrow in the corner goes to the "
    "pointer, numbers upright. Put the {tick} at the pointer, then press it down{from_there}."
)
FROM_THERE = " from there outward to both ends, without pulling"
UPRIGHT = "The {near} is nearer the top, the far distances are at the bottom."
UPSIDE = "The {near} is nearer the bottom, the far distances are at the top."
COLUMNS = "Every pin has its own column: its number stands straight across from the pointer."
WHEEL = (
    "Up is up where the pointer meets the wheel. A strip that was pulled is too long. Its ends may "
    "lap where no pointer comes."
)
PAPER = (
    "Best is white label film from a laser printer: ink runs in rain. Plain paper goes on with "
    "thin double-sided tape. Cover either with clear tape, a little past its edges."
)
OTHER = (
    "To change strips, lock the sight at the {near} of the one that is on, and go on from there."
)


def shown_near(plan: PlannedTape) -> str:
    """What the tape that is on shows where the new one is aligned; empty where it shows nothing."""
    if plan.answer.tape is None:
        return ""
    return shown_words(plan.answer.tape, 1e-3 * plan.near_mm)


def is_by_eye(plan: PlannedTape) -> bool:
    """Whether nothing on the sight tells where it is aligned: arrows must."""
    answer = plan.answer
    return answer.posterior.is_set_by_eye or (answer.tape is not None and not shown_near(plan))


def sticking_of(plan: PlannedTape) -> Sticking:
    """How the strips of a tape are stuck on."""
    order, answer = plan.order, plan.answer
    near, unit = f"{plan.between[0]:g}", order.unit
    shown, by_eye = shown_near(plan), is_by_eye(plan)
    reading = shown or f"{plan.near_mm:.1f}"
    set_it, peel = (SET_OF_TAPE, PEEL_OF_TAPE) if shown else (SET_OF_GAUGE, PEEL_OF_GAUGE)
    if by_eye:
        set_it, peel = SET_OF_EYE, PEEL_OF_EYE
    tick = f"{near} {unit} tick" + (" of pin 1" if len(answer.trusted_m) > 1 else "")
    which = UPRIGHT if order.far_end == "down" else UPSIDE
    return Sticking(
        steps=(
            set_it.format(near=near, unit=unit, reading=reading, shown=shown),
            LOCK,
            peel,
            STICK.format(tick=tick, from_there=FROM_THERE if order.wheel_mm else ""),
        ),
        notes=(
            which.format(near=near),
            *((COLUMNS,) if len(answer.trusted_m) > 1 else ()),
            *((WHEEL,) if order.wheel_mm else ()),
            PAPER,
            OTHER.format(near=near),
        ),
        reading=f"{near} {unit}" if by_eye else reading,
        tick=near,
        far=f"{plan.between[1]:g}",
        number_side=order.pointer,
        far_end=order.far_end,
    )
