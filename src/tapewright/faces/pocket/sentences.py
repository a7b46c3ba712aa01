"""Sentences: the sentences on a pocket card.

Holds:  cautions with places for numbers, the lines about the card and under its list.
Never:  markup, computations; safety lines, which stand in words/cautions.py for every face.
"""

from tapewright import __version__
from tapewright.services.calibrate import COUNTED_FROM_M, Answer
from tapewright.services.pocket import PocketCard
from tapewright.words.cautions import STOP_WORDS, mark_words
from tapewright.words.quantity_parser import format_quantity, in_unit
from tapewright.words.trust_sentences import trust_words
from tapewright.words.unit_system import Units, round_amount

STEEP_DEG = 40.0  # common practice, no source: past here the body bends and the draw changes

NO_SCRIPT = (
    "This phone runs no scripts here, so slopes and weather cannot be asked for. The marks below "
    "are for level ground."
)
RANGE = "At the range: groups, what to turn, marks and trust"
HOME = "Level ground, air of the sheet"


def card_words(card: PocketCard) -> dict[str, str]:
    """Sentences that the card shows when they apply; braces are filled in there."""
    answer = card.answer
    percent = f"{100 * answer.bands.probability:.0f} %"
    tolerance_m = answer.rig.archer.tolerance_m
    far = card.limits.far
    stop = STOP_WORDS[far.kind] if far else ""
    return {
        "arm": "Do not shoot: the sight's arm does not reach this mark.",
        "far": f"Do not shoot with this pin: {stop}.",
        "near": "Do not dial: before the near end of the sight's travel.",
        "untrusted": "Trusted at no distance yet: a guess.",
        "trusted": "Past the trusted {d} {unit}: a guess.",
        "unshot_yd": _unshot(answer, "yd"),
        "unshot_m": _unshot(answer, "m"),
        "turning": "Close: under {turn} {unit} marks run back.",
        "far_air": "Far colder or warmer than when shot: limbs change, too. One near arrow first.",
        "steep": "Steep: upright, full draw, safe stop.",
        "uphill": "Uphill a miss flies far: mind the stop.",
        "none": "none on the tape",
        "past": "past {d} {unit}",
        "bow": "bow",
        "between": "Write a number from {from} to {to}.",
        "reading": "reading",
        "guess": "a guess",
        "spoken": "Reading {mm} millimetres. Tape mark {dial}.",
        "spoken_tape": "Dial {shown}. Reading {mm} millimetres.",
        "spoken_guess_tape": "A guess: dial about {shown}. Reading about {mm} millimetres.",
        "dial": "Tape mark to dial",
        "in_mm": "Reading",
        "shows": "dial",
        "off_tape": "past the tape",
        "spoken_guess": "A guess: about {mm} millimetres. Tape mark about {dial}.",
        "units": "Units: {unit}. Press to change.",
        "sun": "Sun",
        "dark": "Dark",
        "band": f"{percent} band",
        "hold_yd": f"Hold window, ±{format_quantity(tolerance_m, 'in', 1)}",
        "hold_m": f"Hold window, ±{format_quantity(tolerance_m, 'cm', 1)}",
    }


def _unshot(answer: Answer, unit: str) -> str:
    """That no arrow confirmed the card yet, short; empty when some did."""
    kinds = {one.kind for one in answer.cautions}
    if "no arrows" in kinds:
        near = format_quantity(COUNTED_FROM_M, unit, 1)
        return f"Not shot yet: counts from {near}."
    return "Not shot since the change: confirm." if "carried" in kinds else ""


def list_cautions(card: PocketCard, units: Units) -> tuple[str, ...]:
    """What must be known of every mark, in full: how few arrows it rests on."""
    return mark_words(card.answer, units)


def list_caption(card: PocketCard, units: Units, *, has_hold: bool = True) -> str:
    """What the list of marks is for, and how to read it."""
    air = card.answer.rig.air
    warmth = "°F" if units.distance == "yd" else "°C"
    tolerance = round_amount(card.answer.rig.archer.tolerance_m, units.miss)
    shown = (
        f"{tape.unit} of the tape on the sight" if (tape := card.answer.tape) else "mm on the scale"
    )
    level = f"Level ground, {format_quantity(air.temperature_k, warmth, 0)}; {shown}."
    hold = f"Hold: nearest and farthest {units.distance} that a mark serves within {tolerance}."
    return f"{level} {hold}" if has_hold else level


def list_notes(card: PocketCard, flags: set[str]) -> tuple[str, ...]:
    """What the signs in the list mean; only those that occur."""
    meanings = {
        "guess": "Grey, with ≈ and ?: past the trusted distance, a guess.",
        "close": "↩ close: marks run back there.",
        "stopped": "Struck through: do not shoot, the sight may not go there.",
    }
    percent = f"{100 * card.answer.bands.probability:.0f} %"
    return (
        *([f"± is half the {percent} band."] if card.answer.tape is None else []),
        *(meanings[flag] for flag in meanings if flag in flags),
    )


def mark_head(card: PocketCard) -> str:
    """Head of the marks of a card for one pin."""
    return f"dial {card.answer.tape.unit}" if card.answer.tape else "mark"


def _dial_words(card: PocketCard) -> str:
    """What the card tells to dial."""
    if card.answer.tape is not None:
        return "“Dial” is what the tape on the sight shows there; mm stand below it."
    return (
        "“Tape mark to dial” is the level distance with the same reading in the air of the sheet."
    )


def about_lines(card: PocketCard, units: Units, date: str) -> tuple[str, ...]:
    """Small print: what the card is made from and how far it can be asked."""
    answer, table = card.answer, card.table
    arrows = sum(group.arrows for group in answer.groups)
    air = answer.rig.air
    far = f"{in_unit(table.farthest_m, units.distance):.0f} {units.distance}"
    return (
        (
            f"{answer.rig.name}, made {date} from {len(answer.groups)} groups, {arrows} arrows. "
            f"{trust_words(answer, units)}"
        ),
        (
            f"Air at {format_quantity(air.pressure_pa, 'hPa', 0)} and "
            f"{format_quantity(air.relative_humidity, '%', 0)} humidity, any temperature: for "
            "another altitude make another card."
        ),
        (
            f"To {far}, 60° up and down, its readings are within "
            f"{max(1e3 * table.error_m, 0.001):.3f} mm of the program's own "
            f"({table.checked} places compared). {_dial_words(card)}"
        ),
        f"Calibration {answer.fingerprint}, Tapewright {__version__}.",
    )
