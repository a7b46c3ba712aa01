"""Card: a pocket card as one page that needs nothing from outside.

Holds:  numbers into JSON, marks into lists, everything into the page with the hashes that its
        content policy asks for.
Never:  formulas, sentences.
"""

import base64
import hashlib
import json
from html import escape
from importlib.resources import files
from math import degrees, isfinite
from typing import Any

from tapewright.faces.pocket import words
from tapewright.ground.units import YARD_M
from tapewright.services.meet_weather import FAR_K, shot_temperatures
from tapewright.services.pocket import NEAREST_M, PinMarks, PocketCard
from tapewright.words.answer import SAFETY
from tapewright.words.quantities import in_unit
from tapewright.words.units import IMPERIAL, METRIC, Units

GRAIN_M = 1e-7
HUNDREDTHS = 1e5  # of a mm in a metre
FIVES = tuple(5.0 * step for step in range(1, 25))
LISTED_M = tuple(sorted({*FIVES, *(YARD_M * one for one in FIVES)}))  # each 5 m and each 5 yd
MOST_PINS_WITH_HOLD = 2  # more do not leave room on a phone


def _mm(length_m: float) -> float:
    return 1e3 * length_m


def card_numbers(card: PocketCard, units: Units) -> dict[str, Any]:
    """What the card's script needs, units in the names."""
    table, scale, limits = card.table, card.bow.scale, card.limits
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
            "radius_mm": _mm(scale.sight_radius_m),
            "arm_mm": None if scale.arm_length_m is None else _mm(scale.arm_length_m),
            "level_mm": _mm(scale.arm_level_reading_m),
        },
        "band": {
            "slope_deg": [round(degrees(one), 6) for one in card.slope_rad.tolist()],
            "distance_m": [round(one, 4) for one in card.distance_m.tolist()],
        },
        "pins": [_pin_numbers(pin) for pin in card.pins],
        "turning_m": round(card.turning_m, 4),
        "tolerance_m": card.answer.rig.archer.tolerance_m,
        "steep_deg": words.STEEP_DEG,
        "far_k": FAR_K,
        "shot_c": [round(in_unit(one, "°C"), 2) for one in shot_temperatures(card.answer)],
        "limits": {
            "direction": limits.direction,
            "far_mm": None if limits.far is None else _mm(limits.far.reading_m),
            "near_mm": None if limits.near is None else _mm(limits.near.reading_m),
        },
        "words": words.card_words(card),
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
    found = set()
    if distance_m > max(pin.trusted_m for pin in card.pins) + 1e-6:
        found.add("guess")
    if distance_m < card.turning_m:
        found.add("close")
    return found


def _cells(card: PocketCard, place: int) -> tuple[str, bool]:
    """Mark and half its band for each pin, and whether a limit forbids one of them."""
    cells, forbidden = "", False
    for pin in card.pins:
        mark_m = float(pin.listed_m[place])
        if not isfinite(mark_m):
            cells += '<td class="mark">—</td>'
            continue
        half_mm = _mm(0.5 * float(pin.listed_high_m[place] - pin.listed_low_m[place]))
        said = f"{_mm(mark_m):.2f}".replace("-", "−")
        if not card.limits.allows(mark_m):
            said, forbidden = f"<s>{said}</s>", True
        half = f" <small>±{half_mm:.1f}</small>" if isfinite(half_mm) else ""
        cells += f'<td class="mark">{said}{half}</td>'
    return cells, forbidden


def _rows(card: PocketCard, units: Units) -> tuple[str, set[str]]:
    """Rows of the list whose distances are whole fives of the unit; and the flags that occur."""
    rows, seen = [], set()
    for place, distance_m in enumerate(card.listed_m.tolist()):
        distance = in_unit(distance_m, units.distance)
        if abs(distance / 5.0 - round(distance / 5.0)) > 1e-6:
            continue
        flags = _flags(card, place)
        cells, forbidden = _cells(card, place)
        seen |= flags | ({"stopped"} if forbidden else set())
        signs = " ?" * ("guess" in flags) + " ↩" * ("close" in flags)
        kind = f' class="{" ".join(sorted(flags))}"' if flags else ""
        hold = ""
        if len(card.pins) <= MOST_PINS_WITH_HOLD:
            near, far = (
                f"{in_unit(float(one[place]), units.distance):.0f}"
                for one in (card.hold_near_m, card.hold_far_m)
            )
            hold = f"<td><small>{near}–{far}</small></td>"
        rows.append(f'<tr{kind}><th scope="row">{distance:.0f}{signs}</th>{cells}{hold}</tr>')
    return "\n".join(rows), seen


def _list(card: PocketCard, units: Units, *, hidden: bool) -> str:
    """Marks of one unit as a section; the other unit's is shown by the script."""
    rows, seen = _rows(card, units)
    unit = units.distance
    names = ["mark"] if len(card.pins) == 1 else [f"pin {n}" for n in range(1, len(card.pins) + 1)]
    heads = "".join(f'<th scope="col">{name}</th>' for name in names)
    has_hold = len(card.pins) <= MOST_PINS_WITH_HOLD
    if has_hold:
        heads += '<th scope="col">hold</th>'
    notes = " ".join(words.list_notes(card, seen))
    caption = words.list_caption(card, units, has_hold=has_hold)
    minded = "".join(
        f'<p class="note"><strong>{escape(one)}</strong></p>\n'
        for one in words.list_cautions(card, units)
    )
    return (
        f'<section data-list="{unit}" aria-labelledby="list-{unit}"{" hidden" if hidden else ""}>\n'
        f'<h2 id="list-{unit}">Marks each 5 {unit}</h2>\n{minded}<div class="wide-list">\n'
        f"<table><caption>{escape(caption)}</caption>\n"
        f'<thead><tr><th scope="col">{unit}</th>{heads}</tr></thead>\n<tbody>\n{rows}\n</tbody>'
        f'</table>\n</div>\n<p class="note">{escape(notes)}</p>\n</section>'
    )


def _hash(text: str) -> str:
    """SHA-256 as a content policy wants it."""
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def page_policy() -> str:
    """What the page may run and load: its own script and style, nothing else."""
    style, script = (_hash(_part(f"card.{name}")) for name in ("css", "js"))
    return (
        f"default-src 'none'; style-src 'sha256-{style}'; script-src 'sha256-{script}'; "
        "base-uri 'none'; form-action 'none'"
    )


def pocket_page(card: PocketCard, units: Units, date: str) -> str:
    """The whole page."""
    parts = {name: _part(f"card.{name}") for name in ("html", "css", "js")}
    others = METRIC if units.distance == "yd" else IMPERIAL
    numbers = json.dumps(card_numbers(card, units), separators=(",", ":"), ensure_ascii=False)
    rig = escape(card.answer.rig.name)
    filled = {
        "policy": page_policy(),
        "title": f"{rig}: pocket card",
        "style": parts["css"],
        "rig": rig,
        "home": escape(words.HOME),
        "no_script": escape(words.NO_SCRIPT),
        "lists": "\n".join(_list(card, one, hidden=one is not units) for one in (units, others)),
        "safety": "\n".join(f"<li>{escape(one)}</li>" for one in SAFETY),
        "about": "\n".join(
            f'<p class="about">{escape(one)}</p>' for one in words.about_lines(card, units, date)
        ),
        "numbers": numbers.replace("<", "\\u003c"),  # a name cannot end the script
        "script": parts["js"],
    }
    page = parts["html"]
    pieces = page.split("{{")
    return pieces[0] + "".join(
        filled[name] + rest for name, rest in (one.split("}}", 1) for one in pieces[1:])
    )


def _part(name: str) -> str:
    return (files("tapewright.faces.pocket") / name).read_text(encoding="utf-8")
