"""Set up record fields: what a set-up record may hold of a bow, declared once.

From here come the reader, the commented file, the form in the browser and the docs' reference. The
file is as long as the record.

Holds:  every table and key of a set-up record: limits, examples, words and measuring.
Never:  how a value is read (set_up_record.py), what a deviation does (field).
Source: limits, how to measure and how well a thing is set again are common practice, no source.
"""

from typing import Any

from tapewright.reading.sheet_schema import Declared, Key, Table
from tapewright.services.reassemble import ITEMS
from tapewright.words.reassembly_sentences import label

_USUAL = "Without a ± it is set again within {} two times in three (common practice, no source)."
_AT_REST = "Bow at rest, string on: "


def _key(name: str, examples: tuple[str, ...], usual: str, measure: str, **more: Any) -> Key:  # noqa: ANN401 — as Key takes them
    kinds = ITEMS[name].kinds
    measure = f"{measure} {_USUAL.format(usual)}"
    return Key(label(name), doubt=True, has_nought=True, examples=examples, measure=measure,
               kinds=() if "longbow" in kinds else kinds, **more)  # fmt: skip


def _length(name: str, limits: tuple[float, float], examples: tuple[str, str], **more: Any) -> Key:  # noqa: ANN401 — the same
    usual = f"{1e3 * ITEMS[name].sd:g} mm"
    return _key(name, examples, usual, more.pop("measure"), unit="mm", limits=limits, **more)


def _bolt(name: str) -> Key:
    measure = (
        "Turns out from screwed in until it stops, counted in whole ones and eighths. Never past "
        "what the bow's maker allows."
    )
    usual = f"{ITEMS[name].sd:g} of a turn"
    return _key(name, ("3.5 ± 0.06",), usual, measure, limits=(0, 20),
                purpose="Draw weight and tiller.")  # fmt: skip


# fmt: off
_TOP = Table(
    title="Record",
    about="Which bow, and when it was measured.",
    intro="Set-up record: what makes the bow itself, measured while it shoots well. Lines that "
    'begin with # are not read. Measure, write your number, and take the # away. "± 1" behind it '
    "says how well you can set and measure it again: within it two times in three. After a journey "
    "or a repair measure the same again into a copy of this file.",
    keys={
        "name": Key("Name of the bow", examples=("Heron",), begun=True,
            purpose="As on its rig sheet."),
        "measured_on": Key("Measured on", examples=("2026-11-30",),
            purpose="The day, as year-month-day."),
        "photo": Key("Photograph", examples=("heron.jpg",),
            purpose="Name of a picture of the bow that you keep beside this file: rest, peep, "
            "sight and cams as they stand."),
        "note": Key("Note", examples=("cams timed, marks on both limbs",),
            purpose="What no number tells."),
    },
)
_LIMBS = Table(
    title="Limbs and brace", faults_at="brace_height",
    about="Bolts, brace height, tiller.",
    keys={
        "upper_bolt": _bolt("limbs.upper_bolt"),
        "lower_bolt": _bolt("limbs.lower_bolt"),
        "brace_height": _length("limbs.brace_height", (70, 310), ("7 in ± 0.04", "178 mm ± 1"),
            drawing="draw-length", purpose="How long the string pushes: speed, and far marks.",
            measure=f"{_AT_REST}from the string to the deepest place of the grip, square to the "
            "string."),
        "tiller": _length("limbs.tiller", (-40, 40), ("0.12 in ± 0.04", "3 mm ± 1"),
            purpose="Whether both limbs pull alike.",
            measure=f"{_AT_REST}string to limb where it meets the riser, above less below; less "
            "than 0 where the lower one is more."),
    },
)
_STRING = Table(
    title="String", faults_at="nock_height",
    about="String, its shots, what is tied into it.",
    keys={
        "string": Key("String", examples=("24 strands, May",),
            purpose="Which one it is. Another string is a change, not a re-assembly."),
        "shots": Key("Its shots", limits=(0, 1e6), examples=("1200",),
            purpose="How many it has shot: a string that is new creeps."),
        "nock_height": _length("string.nock_height", (-25, 50),
            ("0.25 in ± 0.02", "6 mm ± 0.5"),
            purpose="Where the arrow leaves the bow, high or low.",
            measure=f"{_AT_REST}from the line through the rest, square to the string, up to the "
            "middle of the nock; below it less than 0. A bow square clipped to the string shows "
            "it."),
        "loop_height": _length("string.loop_height", (-25, 80),
            ("0.5 in ± 0.02", "12 mm ± 0.5"),
            purpose="Whether the loop slid or turned.",
            measure=f"{_AT_REST}from the same line up to the middle of the loop's upper knot."),
        "peep_height": _length("string.peep_height", (30, 250),
            ("5.5 in ± 0.04", "140 mm ± 1"),
            purpose="How high the eye looks over the arrow: every mark, near ones most.",
            measure=f"{_AT_REST}along the string from the middle of the nocking point to the "
            "middle of the peep's hole."),
    },
)
_REST = Table(
    title="Rest", faults_at="side",
    about="Its place, left and right, high and low.",
    keys={
        "side": _length("rest.side", (-20, 60), ("0.8 in ± 0.012", "20 mm ± 0.3"),
            purpose="Where the arrow leaves the bow, left or right.",
            measure="From the riser's inner wall to the middle of the arrow on the rest, at the "
            "button or launcher; the same for both hands."),
        "height": _length("rest.height", (-20, 80), ("1 in ± 0.02", "25 mm ± 0.5"),
            purpose="Where the arrow leaves the bow, high or low.",
            measure="From the shelf up to the middle of the arrow on the rest."),
    },
)
_SIGHT = Table(
    title="Sight", faults_at="ahead",
    about="Hole, notch, how far ahead, windage.",
    keys={
        "hole": Key(label("sight.hole"), limits=(1, 40), examples=("2",),
            purpose="Counted from the lowest, 1 the first. Another hole shifts every mark."),
        "notch": Key(label("sight.notch"), limits=(1, 60), examples=("4",),
            purpose="Counted from the riser, 1 the first. Another notch stretches every mark."),
        "ahead": _length("sight.ahead", (0, 500), ("9 in ± 0.02", "229 mm ± 0.5"),
            purpose="How far the marks lie apart.",
            measure="From the riser's face, level, to the pin."),
        "windage": _length("sight.windage", (-50, 100), ("0.12 in ± 0.004", "3 mm ± 0.1"),
            purpose="Left and right at every distance.",
            measure="What its scale shows, or a calliper from the housing's carrier to its "
            "block."),
    },
)
# fmt: on

SET_UP = Declared(
    "a set-up record",
    {"": _TOP, "limbs": _LIMBS, "string": _STRING, "rest": _REST, "sight": _SIGHT},
)
