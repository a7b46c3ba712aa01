"""Side scale: millimetres along the free edge of a strip, counted as the gauge strip was.

With it on, the tape can go on being measured when the gauge strip is gone.

Holds:  its room; its ticks and numbers.
Never:  distances, the rest of the strip.
"""

from collections.abc import Iterator
from math import ceil, floor

from tapewright.drawing.lettering import CAP, width_mm
from tapewright.drawing.shapes import Anchor, Line, Shape, Text

SIDE_MM = 4.5  # room across the strip: ticks, and three digits
HALVES = 2  # ticks in one millimetre
LONGEST_MM = 1.4
LARGEST_EM_MM = 1.7
WHITE_MM = 0.25  # around a number
NUMBER_EVERY = 5  # nine ticks between two numbers, as MIL-HDBK-759B allows at most
# Halves at which a tick is so long and so thick
SIZES = ((20, 1.0, 0.2), (10, 0.8, 0.16), (2, 0.6, 0.13), (1, 0.35, 0.1))


def side_scale(
    edge_mm: float, inward: int, zero_mm: float, sense: float, room_mm: tuple[float, float]
) -> Iterator[Shape]:
    """Ticks each half millimetre and numbers each five.

    Parameters
    ----------
    edge_mm : float
        The free edge, at which its ticks begin. [mm]
    inward : int
        Direction of the ticks: 1 to the right, -1 to the left. [-]
    zero_mm : float
        Where its zero stands, down the strip; it may lie outside. [mm]
    sense : float
        How far down the paper one millimetre of it goes; negative upward. [-]
    room_mm : float, float
        Between which places, down the strip, it is drawn. [mm]

    Yields
    ------
    Line or Text
        Ticks on the layer "tick", numbers on the layer "number".
    """
    top_mm, bottom_mm = room_mm
    first, last = sorted((place_mm - zero_mm) / sense for place_mm in room_mm)
    halves = range(ceil(HALVES * first - 1e-9), floor(HALVES * last + 1e-9) + 1)
    em_mm = _em_mm(halves)
    anchor: Anchor = "start" if inward > 0 else "end"
    for half in halves:
        y_mm = zero_mm + sense * half / HALVES
        reach, stroke_mm = next(size[1:] for size in SIZES if half % size[0] == 0)
        end_mm = edge_mm + inward * reach * LONGEST_MM
        yield Line(edge_mm, y_mm, end_mm, y_mm, stroke_mm, layer="tick")
        value, rest = divmod(half, HALVES)
        is_clear = top_mm + em_mm / 2.0 <= y_mm <= bottom_mm - em_mm / 2.0
        if rest == 0 and value % NUMBER_EVERY == 0 and is_clear:
            x_mm = edge_mm + inward * (LONGEST_MM + WHITE_MM)
            base_mm = y_mm + CAP * em_mm / 2.0
            yield Text(
                x_mm, base_mm, _number(value), em_mm, value % 10 == 0, anchor, layer="number"
            )


def _em_mm(halves: range) -> float:
    """Lettering that lets the widest number stay in its room [mm]."""
    values = [half // HALVES for half in halves if half % (HALVES * NUMBER_EVERY) == 0]
    widest = max((width_mm(_number(one), 1.0, bold=True) for one in values), default=1.0)
    return min((SIDE_MM - LONGEST_MM - 2.0 * WHITE_MM) / widest, LARGEST_EM_MM)


def _number(value: int) -> str:
    return f"{value}".replace("-", "−")
