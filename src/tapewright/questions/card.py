"""Card: what the arrow does at each distance, on the level and in calm air.

Holds:  the question ``card``: its fields, columns, sentences and cautions.
Never:  formulas, how a face asks and shows; the card on paper (printing/card.py).
"""

from dataclasses import replace
from math import isfinite
from typing import Any

import numpy as np

from tapewright.ground.units import UNITS
from tapewright.questions.question import Field, Measure, Question, Said
from tapewright.questions.shared_fields import PIN, asked_pin
from tapewright.services.calibrate import Answer, Bands
from tapewright.services.make_card import CardOrder, RangeCard, make_card
from tapewright.words.answer_blocks import Blocks, Mind, More, Table
from tapewright.words.answer_columns import (
    Column,
    beside,
    csv_text,
    joined,
    records,
    rounded,
    table,
)
from tapewright.words.answer_json import head_json, trust_json
from tapewright.words.cautions import SAFETY, mark_cautions
from tapewright.words.marks_table import AT, MARKS, SHORT, half_band_m
from tapewright.words.number_format import known, told
from tapewright.words.printable_names import paper_name, paper_notes
from tapewright.words.quantity_parser import in_unit
from tapewright.words.readings_on_tape import finest_m, on_sight, told_columns
from tapewright.words.trust_sentences import pin_trust_words, trust_words
from tapewright.words.unit_system import Units, round_amount

RADIUS = Field("radius", "Miss that is still good",
               hint="Such as 3 in. Left open: the rig sheet's.",
               measure=Measure("length", (0.2, 200.0, "cm"), "3 in"))  # fmt: skip
TRUST_SLACK_M = 1e-6
GUESS_MM = 1.0  # in which a mark is told that is no more than a guess
POUNDS = "Energy in ft·lbf with standard gravity: grains × (ft/s)² / 450,436.7."


def _flight(key: str, unit: str, kept: int, place: str) -> tuple[Column[RangeCard], ...]:
    """A quantity of the flight, and for programs the ends of its band."""
    word, _, rest = key.partition("_")
    low, middle, high = (f"flight.{place}.{part}" for part in ("low", "middle", "high"))
    head = f"{word} {rest}"
    return (
        Column(head, key, middle, unit, kept=kept, half=(low, high), banded=True),
        Column("", f"{word}_low_{rest}", low, unit, kept=kept),
        Column("", f"{word}_high_{rest}", high, unit, kept=kept),
    )


TIME = _flight("time_s", "", 4, "time_s")
SPEED = _flight("speed_{unit}", "speed", 2, "speed_mps")
ENERGY = _flight("energy_{unit}", "energy", 3, "energy_j")
MOMENTUM = _flight("momentum_{unit}", "momentum", 5, "momentum_n_s")
AS_SENT = _flight("drift_{unit}", "miss per wind", 4, "drift_m")
DRIFT = (replace(AS_SENT[0], head="blown {unit}"), *AS_SENT[1:])  # the season's drift is another
FLIGHT = (*TIME, *SPEED, *ENERGY, *MOMENTUM, *DRIFT)
SERVES: tuple[Column[RangeCard], ...] = (
    Column("from {unit}", "from_{unit}", "flight.hold_near_m", "distance", kept=2),
    Column("to {unit}", "to_{unit}", "flight.hold_far_m", "distance", kept=2),
    Column("nearer {unit}", "nearer_{unit}", "flight.early_m", "distance", kept=2),
    Column("farther {unit}", "farther_{unit}", "flight.late_m", "distance", kept=2),
    Column("", "same_mark_{unit}", "flight.twin_m", "distance", kept=2),
)

TWINS: tuple[Column[RangeCard], ...] = (Column("as far as {unit}", "", "close_twin_m", "distance"),)


def _ask(answer: Answer, said: Said, units: Units) -> RangeCard:
    radius_m = said.quantity_if_said(RADIUS) or answer.rig.archer.tolerance_m
    distances_m = said.distances("distances", QUESTION.usual("distances", units))
    pin, unit_m = asked_pin(answer, said), UNITS[units.distance].factor
    return make_card(answer, CardOrder(distances_m, radius_m, pin, unit_m))


def _tell(card: RangeCard, units: Units) -> Blocks:
    close, marks = close_table(card, units), front_table(card, units)
    where = table("Flight: at the target", SHORT[:1], card.marks, units)
    return (
        f"{card_title(card)}: {card_trust(card, units)}\n",
        marks,
        beside(where, table("", (*TIME, *SPEED, *ENERGY, *DRIFT), card, units)),
        *([close] if close.rows else []),
        *card_notes(card, units),
        More("momentum", (beside(where, table("", MOMENTUM, card, units)),)),
        *map(Mind, card_cautions(card, units)),
        *map(Mind, paper_notes(card.answer.rig.name, card.answer.fingerprint)),
    )


def _write(card: RangeCard, units: Units) -> dict[str, Any]:
    unit, miss = units.distance, units.miss
    close = records(on_sight(MARKS, card.answer.tape, card.order.pin, AT), card.close, units)
    return head_json("tapewright.card/1", card.answer) | {
        "pin": card.order.pin,
        f"radius_{miss}": rounded(card.order.radius_m, miss),
        f"turning_distance_{unit}": rounded(card.flight.turning_m, unit, 2),
        **trust_json(card.answer, unit, card.order.pin),
        "card": _rows(card, units),
        "close": [
            row | {f"same_mark_{unit}": rounded(twin, unit, 2)}
            for row, twin in zip(close, card.close_twin_m, strict=True)
        ],
        "cautions": list(card_cautions(card, units)),
    }


def _rows(card: RangeCard, units: Units) -> list[dict[str, Any]]:
    """A distance a row, for programs."""
    flown = records((*FLIGHT, *SERVES), card, units)
    return joined(
        records(on_sight(MARKS, card.answer.tape, card.order.pin, AT), card.marks, units), flown
    )


def card_csv(card: RangeCard, units: Units) -> str:
    """A card for a spreadsheet."""
    return csv_text(_rows(card, units))


def front_table(card: RangeCard, units: Units) -> Table:
    """Marks, and how far each serves; those beyond the trusted distance are faint guesses."""
    columns = told_columns(SHORT, card.answer, card.order.pin, AT)
    marks = _guessed(card, card.marks, table("", columns, card.marks, units))
    title = "Marks, and how far each serves"
    if marks.faint:
        trusted = in_unit(card.trusted_m, units.distance)
        past = f" past {told(trusted, 0)} {units.distance}" if card.trusted_m else ""
        title = f"{title}; ≈ is a guess{past}"
    return beside(replace(marks, title=title), table("", SERVES, card, units))


def _guessed(card: RangeCard, found: Bands, marks: Table) -> Table:
    """The same table, marks past the trusted distance faint and to the whole mm."""
    faint = frozenset(np.flatnonzero(found.distance_m > card.trusted_m + TRUST_SLACK_M).tolist())
    least = max(GUESS_MM, 1e3 * finest_m(card.answer))
    guesses = (
        f"≈{known(1e3 * mark_m, 1e3 * half_m, least=least)}" if isfinite(mark_m) else "–"
        for mark_m, half_m in zip(found.reading_m, half_band_m(found), strict=True)
    )
    if card.answer.tape:
        guesses = (f"≈{row[1]}" if row[1][:1].isdigit() else row[1] for row in marks.rows)
    rows = (
        (row[0], guess, *row[2:]) if place in faint else row
        for place, (row, guess) in enumerate(zip(marks.rows, guesses, strict=True))
    )
    return replace(marks, rows=tuple(rows), faint=faint)


def card_title(card: RangeCard, *, on_paper: bool = False) -> str:
    """The rig, and the pin where it has several."""
    answer = card.answer
    name = paper_name(answer.rig.name, answer.fingerprint) if on_paper else answer.rig.name
    pin = f", pin {card.order.pin}" if len(card.answer.trusted_m) > 1 else ""
    return f"{name}{pin}"


def card_trust(card: RangeCard, units: Units) -> str:
    """How far the card may be trusted, as a sentence."""
    if card.order.pin == 1:
        return trust_words(card.answer, units)
    return pin_trust_words(card.order.pin, card.trusted_m, units)


def close_table(card: RangeCard, units: Units) -> Table:
    """Each close mark and the far distance whose mark is the same."""
    columns = told_columns(SHORT[:3], card.answer, card.order.pin, AT)
    close = _guessed(card, card.close, table("Close marks", columns, card.close, units))
    return beside(close, table("", TWINS, card, units))


def card_notes(card: RangeCard, units: Units) -> tuple[str, ...]:
    """How to read a card."""
    radius = round_amount(card.order.radius_m, units.miss)
    percent = f"{100 * card.answer.bands.probability:.0f} %"
    turning = f"{told(in_unit(card.flight.turning_m, units.distance), 0)} {units.distance}"
    band = (
        f"± is half of the {percent} band. From and to: the nearest and farthest target that "
        f"the mark still hits within {radius}; nearer and farther: by how much the distance "
        "may be wrong before the miss exceeds that."
    )
    drift = (
        f"Blown: how far a crosswind of 1 {units.wind} carries the arrow aside; hold off against "
        "the wind. Nearer than "
        f"{turning} marks run back."
    )
    if card.answer.tape:
        drift += (
            f" Close numbers under {turning} are read in the tape's lane marked close, larger ones "
            "in the other."
        )
    return (band, drift, POUNDS) if units.energy == "ft·lbf" else (band, drift)


def card_cautions(card: RangeCard, units: Units) -> tuple[str, ...]:
    """What must be read before a card is used."""
    return (*mark_cautions(card.answer, units), SAFETY[0], SAFETY[1], SAFETY[3], SAFETY[5])


QUESTION = Question(
    "card", "Range card",
    "What the arrow does at each distance, on the level and in calm air: mark with its band, from "
    "where to where one mark serves, how wrong a distance may be, time of flight, speed, energy, "
    "how far a wind blows it aside, and the close marks.",
    (
        Field("distances", "Distances", "10:100:10yd", "10:90:10m",
              "From:to:step, or a list such as 18,30 m."),
        RADIUS,
        PIN,
    ),
    _ask, _tell, _write, shelf="field", short="Card", first=1,
)  # fmt: skip
