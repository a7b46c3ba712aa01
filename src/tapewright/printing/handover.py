"""Handover: print one page for the person who takes the bow.

Holds:  its fields and order; what stands on it, in words and for other programs; the print.
Never:  where it stands on paper (drawing), what is trusted (services).
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from tapewright import __version__
from tapewright.ground.errors import BadInput
from tapewright.ground.units import UNITS
from tapewright.printing.print_fields import PAPER, PaperName, read_paper
from tapewright.printing.print_record import Files, Print, Wish
from tapewright.questions.question import Field
from tapewright.services.calibrate import Answer
from tapewright.services.equip import Rig
from tapewright.services.paper_names import is_printable
from tapewright.services.print_handover import (
    HandoverWords,
    handover_preview,
    marks_to_show,
    print_handover,
)
from tapewright.services.stops import refuse_stopped
from tapewright.words.answer_blocks import Blocks, Mind, Table
from tapewright.words.answer_json import head_json, trust_json
from tapewright.words.bow_kind_words import eye_words, of_bow
from tapewright.words.cautions import mark_cautions, past_limit_words, safety_of
from tapewright.words.marks_table import dial_table
from tapewright.words.printable_names import paper_name, paper_notes
from tapewright.words.quantity_parser import format_quantity
from tapewright.words.trust_sentences import shot_words, trust_words
from tapewright.words.unit_system import Units, amount, distance_words

BY = Field(
    "by", "Proved by", takes="NAME",
    hint="Whose arrows these are, as it is to stand on the page. Left open: a line to write it on.",
)  # fmt: skip
SIGN = Field(
    "sign", "Places to sign", "no", choices=("no", "yes"), choice_words=("none", "for a shop"),
    hint="For who gives, who takes, and the day.",
)  # fmt: skip
FIELDS = (PAPER, BY, SIGN)
MOST_BY = 60
LOOKED_FOR = {"yd": (10, 20, 30, 40, 50, 60, 80), "m": (10, 18, 30, 40, 50, 60, 70)}
SIGNS = ("Given by, checked and told", "Taken by, read and understood", "Day and place")
TO_WRITE = "____________________"
MOST_CODE_BYTES = 600
HANDS = (
    "Other hands, another draw and anchor: nothing here is trusted for you until your own arrows "
    "say so. Your first arrow: from 10 yd (9 m) or nearer, at a large butt with a safe stop; one "
    "arrow, then look."
)
DAMAGED = (
    "Anything damaged, loose or cracked at bow, string, shafts, nocks, rest{peep} or sight: do not "
    "shoot. Have it mended first."
)
STOPS = (
    (
        "A lighter or shorter arrow than the one above, or another point: do not shoot it before "
        "its own rig sheet says that it may be shot."
    ),
    "Never a shot without an arrow, and none past the limit above.",
)
MOVED = "After a fall, a journey, a new string, a moved {peep}rest: one near arrow first."


@dataclass(frozen=True, slots=True)
class HandoverOrder:
    """What the page is to look like, and whose arrows stand on it."""

    paper: PaperName
    by: str
    signs: bool
    units: Units


@dataclass(frozen=True)
class Handover:
    """The page with its words."""

    answer: Answer
    order: HandoverOrder
    words: HandoverWords
    code: str
    printed: str
    unwritten: tuple[str, ...]  # what the screen says of a name that paper cannot hold


def _order(_answer: Answer, wish: Wish) -> HandoverOrder:
    by = wish.read("by", lambda: _name(wish), "")
    return HandoverOrder(read_paper(wish), by, wish.choice(SIGN) == "yes", wish.units)


def _name(wish: Wish) -> str:
    by = " ".join(wish.said.text("by").split())
    if len(by) > MOST_BY or not is_printable(by):
        wrong = "the page cannot hold this name"
        mend = f"Leave it open and write it on the paper, or take at most {MOST_BY} Latin letters"
        raise BadInput(wish.said.place("by"), wrong, mend)
    return by


def _make(answer: Answer, order: HandoverOrder, date: str) -> Handover:
    refuse_stopped(answer.rig)
    units, name = order.units, paper_name(answer.rig.name, answer.fingerprint)
    marks = _marks(answer, units)
    words = HandoverWords(
        title=f"{name}: for whoever takes the bow",
        subtitle=f"Handed over {date}. One page, valid for this bow and this arrow only.",
        facts=facts_of(answer, order),
        heads=marks.heads,
        rows=marks.rows,
        faint=marks.faint,
        stops=_stops(answer.rig),
        small=(
            *(
                one
                for one in mark_cautions(answer, units)
                if one != past_limit_words(answer, units)
            ),
            *safety_of(answer.rig),
            f"Calibration {answer.fingerprint}, Tapewright {__version__}.",
        ),
        signs=SIGNS if order.signs else (),
    )
    unwritten = paper_notes(answer.rig.name, answer.fingerprint)
    return Handover(answer, order, words, _code(answer, marks, name, date, units), date, unwritten)


def facts_of(answer: Answer, order: HandoverOrder) -> tuple[tuple[str, str], ...]:
    """What is known of the bow, each under its label."""
    units, rig = order.units, answer.rig
    return (
        ("Zeroed at", _zeroed(answer, units)),
        ("How far", trust_words(answer, units)),
        ("Proved by", f"{order.by or TO_WRITE} ({shot_words(answer)}; {_proof(answer, units)})"),
        ("Guesses", _beyond(answer, units)),
        ("Valid for", _arrow(rig, units)),
        ("Shot with", _hands(rig, units)),
        ("Limits", _limits(answer, units)),
    )


def _zeroed(answer: Answer, units: Units) -> str:
    """Where a group that fits was shot, the nearest first."""
    fit = sorted({round(one.distance_m, 3) for one in answer.groups if not one.is_odd})
    if not answer.is_earned or not fit:
        return "Nowhere yet: no group was shot that fits. Zero it near before anything else."
    told = ", ".join(distance_words(one, units) for one in fit)
    last = max((one.date for one in answer.observations if one.date), default="")
    return f"{distance_words(fit[0], units)}. Groups that fit: {told}" + (
        f"; the last shot {last}." if last else "."
    )


def _proof(answer: Answer, units: Units) -> str:
    """How far a proof of the tape was taken in."""
    far_m = max((one.distance_m for one in answer.observations if one.proved), default=0.0)
    if not far_m:
        return "no proof of the tape was taken in"
    return f"the tape was proved to {distance_words(far_m, units)}"


def _beyond(answer: Answer, units: Units) -> str:
    trusted_m = answer.trusted_m[0]
    if not trusted_m:
        return "Every mark below is a guess."
    return f"Past {amount(trusted_m, units.distance)} every mark is a guess, printed grey."


def _arrow(rig: Rig, units: Units) -> str:
    """The arrow all this is valid for."""
    arrow, metric = rig.arrow, is_metric(units)
    mass = format_quantity(arrow.mass_kg.value, "g" if metric else "gr", 1 if metric else 0)
    parts = [mass, f"shaft {format_quantity(arrow.shaft_diameter_m, 'mm', 1)}"]
    if arrow.length_m is not None:
        parts.append(f"{format_quantity(arrow.length_m, units.miss, 1)} long")
    parts.append(f"{arrow.point} point")
    return f"This arrow alone: {', '.join(parts)}. Another arrow has other marks."


def _stops(rig: Rig) -> tuple[str, ...]:
    """What stops a shot, of the bow that it is."""
    damaged = DAMAGED.format(peep=of_bow(rig, ", peep", ""))
    return (HANDS, damaged, *STOPS, MOVED.format(peep=of_bow(rig, "peep or ", "")))


def _hands(rig: Rig, units: Units) -> str:
    """What hung on the hands that shot it."""
    bow, parts = rig.bow, []
    if bow.draw_weight_n is not None:
        pounds = format_quantity(bow.draw_weight_n, "lbf", 0)
        newtons = format_quantity(bow.draw_weight_n, "N", 0)
        parts.append(f"draw weight {f'{newtons} ({pounds})' if is_metric(units) else pounds}")
    if bow.draw_length_m is not None:
        parts.append(f"draw length {format_quantity(bow.draw_length_m, units.miss, 1)}")
    eye = rig.sight.peep_height_m
    if eye is not None:
        parts.append(f"{eye_words(rig)} {format_quantity(eye.value, units.miss, 1)}")
    told = ", ".join(parts) or "draw and eye not written down"
    return f"{told[0].upper()}{told[1:]}; {rig.hand}-handed. Marks of another draw or eye differ."


def is_metric(units: Units) -> bool:
    """Whether somebody reads metres."""
    return units.distance == "m"


def _limits(answer: Answer, units: Units) -> str:
    """How far the sight goes, the lightest arrow, the coldest air."""
    unknown = "Where housing and arrow meet is not known: measure it before a far shot."
    least = answer.rig.bow.least_arrow_mass_kg
    light = ""
    if least is not None:
        mass = format_quantity(least, *(("g", 1) if is_metric(units) else ("gr", 0)))
        light = f" No arrow lighter than {mass}, by the bow's maker."
    least_k, cold = answer.rig.bow.least_temperature_k, ""
    if least_k is not None:
        cold = f" Not in air colder than {format_quantity(least_k, '°C', 0)}, by the bow's maker."
    return f"{past_limit_words(answer, units) or unknown}{light}{cold}"


def _marks(answer: Answer, units: Units) -> Table:
    """Marks people look for, as far as there are any."""
    if answer.posterior.is_set_by_eye:
        return Table("", (), ())
    unit_m = UNITS[units.distance].factor
    wanted = np.array(LOOKED_FOR[units.distance], dtype=np.float64) * unit_m
    found = marks_to_show(answer, wanted)
    return Table("", (), ()) if found is None else dial_table(answer, found, units, 1)


def _code(answer: Answer, marks: Table, name: str, date: str, units: Units) -> str:
    """What the code says: rig, date, trust and marks, as plain text."""
    trusted_m = answer.trusted_m[0]
    reach = f"trusted to {amount(trusted_m, units.distance)}" if trusted_m else "nothing trusted"
    lines = [f"{name[:40]} {date} {answer.fingerprint}", f"{reach} for the giver alone"]
    lines += [f"{units.distance} dial", *(f"{row[0]} {row[1]}" for row in marks.rows)]
    while len("\n".join(lines).encode()) > MOST_CODE_BYTES:
        lines.pop()
    return "\n".join(lines)


def _files(made: Handover, formats: tuple[str, ...]) -> Files:
    return print_handover(made.words, made.code, made.order.paper, formats, made.printed)


def _tell(made: Handover) -> Blocks:
    words = made.words
    told = (f"{label}: {known}" for label, known in words.facts)
    marks = Table("Marks", words.heads, words.rows, words.faint)
    stops = (Mind(one) for one in words.stops)
    notes = map(Mind, made.unwritten)
    return (*told, *((marks,) if words.rows else ()), *stops, *notes)


def _write(made: Handover) -> dict[str, Any]:
    answer, units = made.answer, made.order.units
    return {
        **head_json("tapewright.handover/1", answer),
        **trust_json(answer, units.distance),
        "by": made.order.by,
        "facts": dict(made.words.facts),
        "stop_signs": list(made.words.stops),
        "code": made.code,
        "date": made.printed,
    }


PRINT: Print[Answer, HandoverOrder, Handover] = Print(
    "handover",
    "Print one page for whoever takes the bow.",
    "Where it is zeroed, how far it is proved and by whose arrows, what is a guess, for which "
    "arrow, the limits, what stops a shot, and a code to scan; with --sign yes places to sign.",
    FIELDS, ("pdf", "svg"), ("pdf",),
    _order, _make, _files, _tell,
    is_of_answer=True, asks_units=True, write=_write,
    preview=lambda made: handover_preview(made.words, made.code, made.order.paper),
    seen=lambda made: f"One page, {made.order.paper}",
)  # fmt: skip
