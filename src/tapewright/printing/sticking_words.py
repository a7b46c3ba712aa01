"""Sticking words: what a tape's sheet says of setting, locking, peeling, sticking and covering.

Holds:  the four steps and the notes under them.
Never:  their pictures, where they stand on paper; the rest of a sheet's sentences.
Source: label film, laser rather than ink, clear tape, no pulling: common practice, no source.
"""

from tapewright.services.print_tape import PlannedTape, Sticking

CLEAN = "wipe the place clean and dry"
SET_OF_EYE = "Zero the bow at {near} {unit}: arrows hit what you aim at."
SET_OF_GAUGE = "Move the sight until the pointer is at {reading} mm on the gauge strip."
LOCK = "Lock it there. It stays locked until the tape is on."
PEEL_OF_EYE = f"Pull off what is stuck there, {CLEAN}."
PEEL_OF_GAUGE = f"Peel the gauge strip off, {CLEAN}. The pointer does not move."
STICK = (
    "Cut the strip out along its frame. Its edge with the small arrow goes to the pointer, "
    "numbers upright. Put the {tick} at the pointer, then press it down."
)
UPRIGHT = "The {near} is nearer the top, the far distances are at the bottom."
UPSIDE = "The {near} is nearer the bottom, the far distances are at the top."
WHEEL = (
    "Round the wheel: lay it on at that tick first and press outward to both ends, without "
    "pulling; a pulled strip is too long. Its ends may lap where no pointer comes."
)
PAPER = (
    "Best is white label film from a laser printer: ink runs in rain. Plain paper goes on with "
    "thin double-sided tape. Cover either with clear tape, a little past its edges."
)


def sticking_of(plan: PlannedTape) -> Sticking:
    """How the strips of a tape are stuck on."""
    order, answer = plan.order, plan.answer
    near, unit = f"{plan.between[0]:g}", order.unit
    reading = f"{plan.near_mm:.1f}"
    by_eye = answer.posterior.is_set_by_eye
    tick = f"{near} {unit} tick" + (" of pin 1" if len(answer.trusted_m) > 1 else "")
    which = UPRIGHT if order.far_end == "down" else UPSIDE
    return Sticking(
        steps=(
            (SET_OF_EYE if by_eye else SET_OF_GAUGE).format(near=near, unit=unit, reading=reading),
            LOCK,
            PEEL_OF_EYE if by_eye else PEEL_OF_GAUGE,
            STICK.format(tick=tick),
        ),
        notes=(which.format(near=near), *((WHEEL,) if order.wheel_mm else ()), PAPER),
        reading=f"{near} {unit}" if by_eye else reading,
        tick=near,
        far=f"{plan.between[1]:g}",
        number_side=order.pointer,
        far_end=order.far_end,
    )
