"""Strip pieces: what is cut out of paper for one strip: the strip, or its two pieces.

Holds:  a strip as pieces with their names and sentences.
Never:  the drawing of a strip, how a piece is laid out on a page.
"""

from tapewright.drawing.page_parts import Piece
from tapewright.drawing.tape import Look, Strip, draw_strip, strip_length_mm, tick_places_mm
from tapewright.drawing.two_pieces import in_two, parting

__all__ = ["strip_pieces"]


def strip_pieces(
    strip: Strip, look: Look, room_mm: float, stretch: float = 1.0, *, is_first_choice: bool = False
) -> list[Piece]:
    """What is cut out of paper for one strip: the strip, or its two pieces.

    Parameters
    ----------
    strip : Strip
        The strip.
    look : Look
        How it is drawn.
    room_mm : float
        Longest piece that the paper takes. [mm]
    stretch : float, default 1
        Printed length over reading length; not 1 on a wheel. [-]
    is_first_choice : bool, default False
        Whether to flag it as the one to start with.

    Returns
    -------
    list of Piece
        One, or the upper and the lower of two.

    Raises
    ------
    DoesNotFit
        If two pieces are not enough, or the strip is too narrow.
    """
    length_mm = strip_length_mm(strip, look, stretch)
    shapes = draw_strip(strip, look, stretch)
    places_mm = tick_places_mm(strip, look, stretch)
    meets_mm = None if strip.align_at is None else places_mm.get(strip.align_at)
    side = look.number_side
    if length_mm <= room_mm:
        size = look.width_mm, length_mm
        return [Piece(strip.name, strip.align, *size, shapes, is_first_choice, side, meets_mm)]
    at_mm = parting(_partings(places_mm), length_mm, room_mm)
    tick = next(distance for distance, place_mm in places_mm.items() if place_mm == at_mm)
    first_upper = meets_mm is None or meets_mm <= at_mm
    halves = in_two(shapes, look.width_mm, length_mm, at_mm, upper_below=first_upper)
    first, second = ("upper", "lower") if first_upper else ("lower", "upper")
    sentence = (
        f"{strip.align} It is in two pieces: stick the {first} one on first. Cut the {second} one "
        f"through the middle of its {tick:g} tick and lay that edge on the {tick:g} tick of the "
        "other, so that both halves of the number meet."
    ).strip()
    pieces = []
    for name, half in zip(("upper", "lower"), halves, strict=True):
        is_met = meets_mm is not None and (name == first)
        pieces.append(
            Piece(
                f"{strip.name}, {name} piece",
                sentence if name == "upper" else "",
                look.width_mm,
                half.length_mm,
                half.shapes,
                is_first_choice,
                side,
                meets_mm - half.from_mm if is_met and meets_mm is not None else None,
            )
        )
    return pieces


def _partings(places_mm: dict[float, float]) -> list[float]:
    """Where a strip may be parted: at tens, else at any mark."""
    tens = [place_mm for distance, place_mm in places_mm.items() if distance % 10 == 0]
    return tens or list(places_mm.values())
