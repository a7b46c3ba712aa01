"""Page: a pocket card as one page that needs nothing from outside.

Holds:  numbers into JSON, marks into lists, the hashes that the page's content policy asks for.
Never:  formulas, sentences, markup (card.html).
"""

import base64
import hashlib
import re
from functools import cache
from html import escape
from importlib.resources import files
from math import degrees, isfinite
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from tapewright.faces.offline_pack import script_text, tape_numbers
from tapewright.faces.offline_sentences import range_words
from tapewright.faces.pocket import sentences
from tapewright.ground.units import YARD_M
from tapewright.services.meet_weather import FAR_K, shot_temperatures
from tapewright.services.pocket import NEAREST_M, PinMarks, PocketCard
from tapewright.words.cautions import safety_of
from tapewright.words.number_format import known, told
from tapewright.words.quantity_parser import in_unit
from tapewright.words.readings_on_tape import shown_words
from tapewright.words.unit_system import IMPERIAL, METRIC, Units

GRAIN_M = 1e-7
GUESS_MM = 1.0  # in which a mark is told that is no more than a guess
HUNDREDTHS = 1e5  # of a mm in a metre
FIVES = tuple(5.0 * step for step in range(1, 25))
LISTED_M = tuple(sorted({*FIVES, *(YARD_M * one for one in FIVES)}))  # each 5 m and each 5 yd
MODULES, SHARED = ("carried", "range"), ("face", "tap", "codes")  # scripts of the web's
MOST_PINS_WITH_HOLD = 2  # more do not leave room on a phone


def _mm(length_m: float) -> float:
    return 1e3 * length_m


def card_numbers(card: PocketCard, units: Units) -> dict[str, Any]:
    """What the card's script needs, units in the names."""
    table, scale, limits = card.table, card.bow.scale, card.limits
    least_k = card.answer.rig.bow.least_temperature_k
    return {
        "fingerprint": card.answer.fingerprint,
        "unit": units.distance,
        "domain": {
            "near_m": NEAREST_M,
            "far_m": table.farthest_m,
            "steepest_deg": round(degrees(float(card.slope_rad[-1])), 9),
            "coldest_c": -20,
            "hottest_c": 45,
        },
        "home_c": round(in_unit(card.answer.rig.air.temperature_k, "°C"), 6),
        "shape": list(table.heights_m.shape),
        "grain_m": GRAIN_M,
        "heights": [round(one / GRAIN_M) for one in table.heights_m.ravel().tolist()],
        "scale": {
            "zero_mm": _mm(float(scale.zero_reading_m)),
            "per_tangent_mm": _mm(float(scale.reading_per_tangent_m)),
            "radius_mm": _mm(float(scale.sight_radius_m)),
            "arm_mm": None if scale.arm_length_m is None else _mm(scale.arm_length_m),
            "level_mm": _mm(scale.arm_level_reading_m),
        },
        "band": {
            "slope_deg": [round(degrees(one), 6) for one in card.slope_rad.tolist()],
            "distance_m": [round(one, 4) for one in card.distance_m.tolist()],
        },
        "pins": [_pin_numbers(pin) for pin in card.pins],
        "tape": tape_numbers(card.answer.tape),
        "turning_m": round(card.turning_m, 4),
        "tolerance_m": card.answer.rig.archer.tolerance_m,
        "steep_deg": sentences.STEEP_DEG,
        "far_k": FAR_K,
        "least_c": None if least_k is None else round(in_unit(least_k, "°C"), 2),
        "shot_c": [round(in_unit(one, "°C"), 2) for one in shot_temperatures(card.answer)],
        "limits": {
            "direction": limits.direction,
            "far_mm": None if limits.far is None else _mm(limits.far.reading_m),
            "near_mm": None if limits.near is None else _mm(limits.near.reading_m),
        },
        "words": sentences.card_words(card),
    }


def _pin_numbers(pin: PinMarks) -> dict[str, Any]:
    low, high = (
        [[round(HUNDREDTHS * one) if isfinite(one) else None for one in row] for row in ends]
        for ends in (pin.low_m.tolist(), pin.high_m.tolist())
    )
    return {
        "below_mm": _mm(pin.below_m),
        "trusted_m": round(pin.trusted_m, 4),
        "low": low,
        "high": high,
    }


def _flags(card: PocketCard, place: int) -> set[str]:
    """What is to be said of one listed distance."""
    distance_m = float(card.listed_m[place])
    signs = (
        ("guess", all(_is_past(card, pin, place) for pin in card.pins)),
        ("close", distance_m < card.turning_m),
    )
    return {sign for sign, holds in signs if holds}


def _cell(card: PocketCard, pin: PinMarks, place: int) -> tuple[str, str, bool, bool]:
    """Mark and half its band as told, whether a limit forbids it, whether it is a guess.

    With a tape on the sight it is what the tape shows, else mm. No text: there is none.
    """
    mark_m, is_guess = float(pin.listed_m[place]), _is_past(card, pin, place)
    if not isfinite(mark_m):
        return "", "", False, is_guess
    half_mm = _mm(0.5 * float(pin.listed_high_m[place] - pin.listed_low_m[place]))
    half = told(half_mm, 1) if isfinite(half_mm) else ""
    is_forbidden = not card.limits.allows(mark_m)
    if tape := card.answer.tape:
        half_m = 1e-3 * half_mm if isfinite(half_mm) else 0.0
        number = card.pins.index(pin) + 1
        at_m = float(card.listed_m[place])
        shown = shown_words(tape, mark_m, half_m, number, at_m) or f"{told(_mm(mark_m), 1)} mm"
        return f"{'≈' if is_guess else ''}{shown}", "", is_forbidden, is_guess
    mark = told(_mm(mark_m), 2)
    if is_guess:
        mark = f"≈{known(_mm(mark_m), half_mm, least=GUESS_MM)}"
    return mark, half, is_forbidden, is_guess


def _is_past(card: PocketCard, pin: PinMarks, place: int) -> bool:
    return float(card.listed_m[place]) > pin.trusted_m + 1e-6


def _list(card: PocketCard, units: Units) -> dict[str, Any]:
    """Marks at the distances that are whole fives of a unit, and what is told with them."""
    rows, seen, has_hold = [], set[str](), len(card.pins) <= MOST_PINS_WITH_HOLD
    for place, distance_m in enumerate(card.listed_m.tolist()):
        distance = in_unit(distance_m, units.distance)
        if abs(distance / 5.0 - round(distance / 5.0)) > 1e-6:
            continue
        flags, cells = _flags(card, place), [_cell(card, pin, place) for pin in card.pins]
        seen |= flags | {"stopped" for _, _, is_forbidden, _ in cells if is_forbidden}
        seen |= {"guess" for *_, is_guess in cells if is_guess}
        hold_m = (float(card.hold_near_m[place]), float(card.hold_far_m[place]))
        rows.append(
            {
                "distance": round(distance),
                "flags": flags,
                "cells": cells,
                "hold": "–".join(f"{in_unit(end, units.distance):.0f}" for end in hold_m),
            }
        )
    return {
        "unit": units.distance,
        "cautions": sentences.list_cautions(card, units),
        "caption": sentences.list_caption(card, units, has_hold=has_hold),
        "has_hold": has_hold,
        "mark": sentences.mark_head(card),
        "rows": rows,
        "notes": " ".join(sentences.list_notes(card, seen)),
    }


def _hash(text: str) -> str:
    """SHA-256 as a content policy wants it."""
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


@cache
def _script() -> str:
    """All that the card runs: its table, and what it has in common with the page at the range."""
    web = files("tapewright.faces.web") / "static"

    def read(name: str) -> str:
        return (web / name).read_text(encoding="utf-8")

    encoder = _as_value("uqr", read("vendor/uqr.mjs"))
    licence = re.sub(r" <http\S+>", "", read("vendor/LICENSE-uqr.txt"))
    parts = (
        read("numbers.js"),
        f"/* {licence} */",
        encoder,
        *(_as_value(name, read(f"{name}.js")) for name in MODULES),
        _part("card.js"),
        *(read(f"{name}.js") for name in SHARED),
        _part("range_card.js"),
    )
    return "\n".join(parts)


def _as_value(name: str, module: str) -> str:
    """A module's text as a value of a plain script: what it exports becomes what it returns."""
    body, _, exported = module.rpartition("export {")
    return f"const {name} = (() => {{\n{body}return {{{exported}}})();"


def page_policy() -> str:
    """What the page may run and load: its own script and style, nothing else."""
    style, script = _hash(_part("card.css")), _hash(_script())
    return (
        f"default-src 'none'; style-src 'sha256-{style}'; script-src 'sha256-{script}'; "
        "base-uri 'none'; form-action 'none'"
    )


def pocket_page(
    card: PocketCard, units: Units, date: str, pack: dict[str, Any] | None = None
) -> str:
    """The whole page; with a pack it weighs new groups, and takes them."""
    others = METRIC if units.distance == "yd" else IMPERIAL
    sheets = Environment(
        loader=FileSystemLoader(str(files("tapewright.faces.web") / "templates")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        keep_trailing_newline=True,
    )
    sheets.filters["text"] = lambda words: Markup(escape(words))  # noqa: S704 — escaped
    return sheets.from_string(_part("card.html")).render(
        policy=page_policy(),
        style=_part("card.css"),
        script=_script(),
        numbers=script_text(card_numbers(card, units)),
        pack="" if pack is None else script_text(pack),
        said=script_text(range_words(card.answer.bands.probability)),
        units=units,
        tape=card.answer.tape is not None,
        has_form=True,
        rig=card.answer.rig.name,
        words=sentences,
        pins=len(card.pins),
        lists=[_list(card, one) for one in (units, others)],
        safety=safety_of(card.answer.rig),
        about=sentences.about_lines(card, units, date),
    )


def _part(name: str) -> str:
    return (files("tapewright.faces.pocket") / name).read_text(encoding="utf-8")
