"""Strip pieces: what is cut out of paper for one strip: the strip, or its two pieces.

Holds:  a strip as pieces with their names and sentences; a piece that is too long as two.
Never:  the drawing of a strip, how a piece is laid out on a page.
"""

from dataclasses import replace

from tapewright.drawing.page_parts import Piece
from tapewright.drawing.tape import Look, Strip, draw_strip, strip_length_mm, tick_places_mm
from tapewright.drawing.two_pieces import in_two, parting

__all__ = ["as_pieces", "strip_pieces"]


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
    places_mm = tick_places_mm(strip, look, stretch)
    whole = Piece(
        strip.name,
        strip.align,
        look.width_mm,
        strip_length_mm(strip, look, stretch),
        draw_strip(strip, look, stretch),
        is_first_choice,
        look.number_side,
        None if strip.align_at is None else places_mm.get(strip.align_at),
    )
    return as_pieces(whole, places_mm, room_mm)


def as_pieces(whole: Piece, places_mm: dict[float, float], room_mm: float) -> list[Piece]:
    """A piece as it is if the paper takes it, else as two that meet at a tick.

    Parameters
    ----------
    whole : Piece
        What is to be cut out.
    places_mm : dict of float to float
        Its numbers, and where their ticks stand, down from its top; it is parted at a ten. [mm]
    room_mm : float
        Longest piece that the paper takes. [mm]

    Returns
    -------
    list of Piece
        One, or the upper and the lower of two.

    Raises
    ------
    DoesNotFit
        If two pieces are not enough.
    """
    if whole.length_mm <= room_mm:
        return [whole]
    tens = {number: place_mm for number, place_mm in places_mm.items() if number % 10 == 0}
    numbers = {place_mm: number for number, place_mm in (tens or places_mm).items()}
    at_mm = parting(numbers, whole.length_mm, room_mm)
    tick = f"{numbers[at_mm]:g} tick"
    meets_mm = whole.meets_mm
    upper_first = meets_mm is None or meets_mm <= at_mm
    first, second = ("upper", "lower") if upper_first else ("lower", "upper")
    sentence = (
        f"{whole.sentence} It is in two pieces: stick the {first} one on first. Cut the {second} "
        f"one through the middle of its {tick} and lay that edge on the {tick} of the other, so "
        "that both halves of the number meet."
    ).strip()
    halves = in_two(whole.shapes, whole.width_mm, whole.length_mm, at_mm, upper_below=upper_first)
    pieces = []
    for name, half in zip(("upper", "lower"), halves, strict=True):
        is_met = meets_mm is not None and name == first
        piece = replace(
            whole,
            name=f"{whole.name}, {name} piece",
            sentence=sentence if name == "upper" else "",
            length_mm=half.length_mm,
            shapes=half.shapes,
            is_first_choice=whole.is_first_choice and name == first,
            meets_mm=meets_mm - half.from_mm if is_met and meets_mm is not None else None,
        )
        pieces.append(piece)
    return pieces
