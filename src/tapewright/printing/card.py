"""Card: a range card on paper, a page and a card to fold; what it shows is a question's.

Holds:  its fields beside those of the question; the cells and sentences printed; the files.
Never:  what a card says elsewhere, too (questions/card.py); where it stands on paper (drawing).
"""

from dataclasses import replace

from tapewright import __version__
from tapewright.printing.print_fields import PaperName
from tapewright.printing.print_record import Files
from tapewright.questions.card import (
    FLIGHT,
    card_cautions,
    card_notes,
    card_title,
    close_table,
    front_table,
)
from tapewright.questions.question import Field
from tapewright.questions.rules import refuse_notes, refuse_pin
from tapewright.services.make_card import RangeCard
from tapewright.services.print_card import CardTable, CardWords, print_card
from tapewright.words.answer_columns import beside, table
from tapewright.words.quantity_parser import format_quantity
from tapewright.words.rules import rules_words
from tapewright.words.unit_system import Units, amount

SIZES = Field(
    "sizes", "Size", "both", choices=("both", "pocket", "page"),
    choice_words=("Full page and pocket card", "Pocket card, to fold", "Full page"),
)  # fmt: skip
ONE_SIZE = Field("size", "Size", "page", choices=("page", "pocket"))
SIZES_OF = {"both": ("page", "pocket"), "page": ("page",), "pocket": ("pocket",)}
MOST_CLOSE = 12  # close marks abreast
FOLD = (
    "Pocket card: cut along the frame, fold away from you along the broken line, and "
    "cover both sides with clear tape."
)


def card_files(
    card: RangeCard,
    units: Units,
    date: str,
    paper: PaperName,
    sizes: tuple[str, ...] = (),
    formats: tuple[str, ...] = (),
    rules: tuple[str, ...] = (),
) -> Files:
    """The files of a card, in both sizes and as PDF unless others were asked for."""
    refuse_notes(rules, "a range card")
    refuse_pin(rules, card.order.pin)
    cells, words = card_table(card, units), card_words(card, units, date)
    words = replace(words, cautions=(*rules_words(rules), *words.cautions))
    return print_card(
        card, cells, words, paper, sizes or SIZES_OF["both"],
        formats or ("pdf",),
    )  # fmt: skip


def card_table(card: RangeCard, units: Units) -> CardTable:
    """Heads and cells of a card on paper, where bands of the flight have no room."""
    front = front_table(card, units)
    both = beside(front, table("", [replace(one, banded=False) for one in FLIGHT], card, units))
    heads = (head.partition(" ") for head in both.heads)
    return CardTable(
        tuple((name, unit) for name, _, unit in heads), both.rows, len(front.heads), front.faint
    )


def _close(card: RangeCard, units: Units) -> tuple[CardTable, ...]:
    """Close marks, distances from left to right so that they take three lines."""
    close = close_table(card, units)
    rows, mark = close.rows, close.heads[1] if card.answer.tape else "mm"
    tables = []
    for start in range(0, len(rows), MOST_CLOSE):
        near, marks, _, twins = zip(*rows[start : start + MOST_CLOSE], strict=True)
        heads = (("close", units.distance), *((one, "") for one in near))
        cells = ((mark, *marks), (f"as {units.distance}", *twins))
        tables.append(CardTable(heads, cells, len(heads), bold=1))
    return tuple(tables)


def card_words(card: RangeCard, units: Units, date: str) -> CardWords:
    """The sentences of a printed card."""
    air = card.answer.rig.air
    conditions = (
        f"{format_quantity(air.temperature_k, '°C', 0)}, "
        f"{format_quantity(air.pressure_pa, 'hPa', 0)}"
    )
    trusted, guess = "not trusted", "; every mark is a guess"
    if card.trusted_m:
        end = amount(card.trusted_m, units.distance)
        trusted, guess = f"trusted to {end}", f"; grey is a guess past {end}"
    if not front_table(card, units).faint:
        guess = ""
    made_from = f"Calibration {card.answer.fingerprint}, Tapewright {__version__}"
    return CardWords(
        title=card_title(card, on_paper=True),
        subtitle=f"Range card, {date}{guess}",
        printed=date,
        trust=f"Level ground, calm, {conditions}; {trusted}{guess}.",
        close=_close(card, units),
        notes=(*card_notes(card, units), made_from),
        cautions=card_cautions(card, units),
        fold=FOLD,
    )
