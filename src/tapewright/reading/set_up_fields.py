"""Set-up fields: what a set-up record may hold of a bow, declared once.

From here come the reader, the commented file, the form in the browser and the docs' reference. The
file is as long as the record.

Holds:  every table and key of a set-up record: limits, examples, words and measuring.
Never:  how a value is read (set_up.py), what a deviation does (field).
Source: limits, how to measure and how well a thing is set again are common practice, no source.
"""

from typing import Any

from tapewright.reading.key import Declared, Key, Table

_BOLTED, _PEEPED = ("compound", "recurve"), ("compound",)
_USUAL = "Without a ± it is set again within {} two times in three (common practice, no source)."
_AT_REST = "Bow at rest, string on: "


def _length(label: str, limits: tuple[float, float], examples: tuple[str, str], usual: str,
            **more: Any) -> Key:  # noqa: ANN401 — as Key takes them  # fmt: skip
    measure = f"{more.pop('measure')} {_USUAL.format(usual)}"
    return Key(label, unit="mm", limits=limits, doubt=True, examples=examples, measure=measure,
               **more)  # fmt: skip


# fmt: off
_TOP = Table(
    title="Record",
    about="Which bow, and when it was measured.",
    intro="Set-up record: what makes the bow itself, measured while it shoots well. Lines that "
    "begin with # are not read. Measure, write your number, and take the # away. \"± 1\" behind it "
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
_BOLT = ("From screwed in until it stops, counted out in whole turns and eighths. Never past what "
         "the bow's maker allows.")
_LIMBS = Table(
    title="Limbs and brace", faults_at="brace_height",
    about="Bolts, brace height, tiller.",
    keys={
        "upper_bolt": Key("Upper limb bolt, turns out", limits=(0, 20), doubt=True, kinds=_BOLTED,
            examples=("3.5 ± 0.06",), purpose="Draw weight and tiller.",
            measure=f"{_BOLT} {_USUAL.format('0.06 of a turn')}"),
        "lower_bolt": Key("Lower limb bolt, turns out", limits=(0, 20), doubt=True, kinds=_BOLTED,
            examples=("3.5 ± 0.06",), purpose="Draw weight and tiller.",
            measure=f"{_BOLT} {_USUAL.format('0.06 of a turn')}"),
        "brace_height": _length("Brace height", (70, 310), ("7 in ± 0.04", "178 mm ± 1"), "1 mm",
            drawing="draw-length", purpose="How long the string pushes: speed, and far marks.",
            measure=f"{_AT_REST}from the string to the deepest place of the grip, square to the "
            "string."),
        "tiller": _length("Tiller", (-40, 40), ("0.12 in ± 0.04", "3 mm ± 1"), "1 mm",
            purpose="Whether both limbs pull alike.",
            measure=f"{_AT_REST}string to limb where it meets the riser, above less below; less "
            "than 0 where the lower one is more."),
    },
)
_STRING = Table(
    title="String", faults_at="nock_height",
    about="String, its shots, nocking point, peep.",
    keys={
        "string": Key("String", examples=("24 strands, May",),
            purpose="Which one it is. Another string is a change, not a re-assembly."),
        "shots": Key("Its shots", limits=(0, 1e6), examples=("1200",),
            purpose="How many it has shot: a string that is new creeps."),
        "nock_height": _length("Height of the nocking point", (-25, 50),
            ("0.25 in ± 0.02", "6 mm ± 0.5"), "0.5 mm",
            purpose="Where the arrow leaves the bow, high or low.",
            measure=f"{_AT_REST}from the line through the rest, square to the string, up to the "
            "middle of the nock; below it less than 0. A bow square clipped to the string shows "
            "it."),
        "loop_height": _length("Upper knot of the loop", (-25, 80),
            ("0.5 in ± 0.02", "12 mm ± 0.5"), "0.5 mm", kinds=_PEEPED,
            purpose="Whether the loop slid or turned.",
            measure=f"{_AT_REST}from the same line up to the middle of the loop's upper knot."),
        "peep_height": _length("Peep above the nocking point", (30, 250),
            ("5.5 in ± 0.04", "140 mm ± 1"), "1 mm", kinds=_PEEPED,
            purpose="How high the eye looks over the arrow: every mark, near ones most.",
            measure=f"{_AT_REST}along the string from the middle of the nocking point to the "
            "middle of the peep's hole."),
    },
)
_REST = Table(
    title="Rest", faults_at="side",
    about="Its place, left and right, high and low.",
    keys={
        "side": _length("Centre shot", (-20, 60), ("0.8 in ± 0.012", "20 mm ± 0.3"), "0.3 mm",
            kinds=_BOLTED, purpose="Where the arrow leaves the bow, left or right.",
            measure="From the riser's inner wall to the middle of the arrow on the rest, at the "
            "button or launcher; the same for both hands."),
        "height": _length("Height of the rest", (-20, 80), ("1 in ± 0.02", "25 mm ± 0.5"), "0.5 mm",
            kinds=_BOLTED, purpose="Where the arrow leaves the bow, high or low.",
            measure="From the shelf up to the middle of the arrow on the rest."),
    },
)
_SIGHT = Table(
    title="Sight", faults_at="ahead",
    about="Hole, notch, how far ahead, windage.",
    keys={
        "hole": Key("Hole it is bolted in", limits=(1, 40), examples=("2",),
            purpose="Counted from the lowest, 1 the first. Another hole shifts every mark."),
        "notch": Key("Notch of the extension", limits=(1, 60), examples=("4",),
            purpose="Counted from the riser, 1 the first. Another notch stretches every mark."),
        "ahead": _length("Pin before the riser", (0, 500), ("9 in ± 0.02", "229 mm ± 0.5"),
            "0.5 mm", purpose="How far the marks lie apart.",
            measure="From the riser's face, level, to the pin."),
        "windage": _length("Windage", (-50, 100), ("0.12 in ± 0.004", "3 mm ± 0.1"), "0.1 mm",
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
