"""Sheet words: what each line of a rig sheet is called, is for, and how it is measured.

Holds:  words of every key of the sheet; the groups in which a form asks them; faults in the
        form's own words.
Never:  keys, limits, what is right (reading/sheet_keys.py); computations.
Source: how to measure is common practice, no source; draw length by the trade standard. What is
        taken for a line left open is the prior's and the archer record's; a test compares them.
"""

import re
from dataclasses import dataclass

from tapewright.words.stops import CHECKS


@dataclass(frozen=True, slots=True)
class Words:
    """What people read of one key."""

    label: str  # its name
    purpose: str  # what the number is for
    measure: str = ""  # how to measure it; empty: that is plain
    left_open: str = ""  # what is taken when it is left open; empty: nothing is
    drawing: str = ""  # name of a line drawing; empty: none
    metric: str = ""  # an example in metric units; empty: the same as the other
    choices: tuple[tuple[str, str], ...] = ()  # what each choice means; empty: it is typed


@dataclass(frozen=True, slots=True)
class Group:
    """Lines that are asked together."""

    title: str  # for people
    about: str
    keys: tuple[str, ...]  # its lines, in order; a table's name stands for all its keys


FOUND = (("", "not looked at yet"), ("sound", "sound"), ("damaged", "damaged: stop"))
_WEIGHT = "Pull through the whole draw with a bow scale and note the largest number."
_RANGE = "Only on a range, an arrow nocked and pointed at a butt: at full draw "
_RATED = "As the maker states it beside the rated speed."

WORDS: dict[str, Words] = {
    "name": Words("Name of the rig", "Any name you will know it by, such as Heron."),
    "hand": Words(
        "Hand that draws the string",
        "Turns left and right where they matter.",
        choices=(
            ("right", "right: I draw with the right hand"),
            ("left", "left: I draw with the left hand"),
        ),
    ),
    "bow.draw_weight": Words(
        "Draw weight",
        "Tells how fast the bow is when no speed was measured, and whether the arrow is too light.",
        _WEIGHT,
        metric="267 N",
    ),
    "bow.draw_length": Words(
        "Draw length",
        "Carries a rated speed over to your draw.",
        _RANGE + "from the nock point to the deepest place of the grip, plus 1¾ in (44 mm). "
        "A second person marks the arrow. Never let go of a string without an arrow on it.",
        "29 in (737 mm)",
        "draw-length",
        "737 mm",
    ),
    "bow.brace_height": Words(
        "Brace height",
        "With the draw length it tells how long the string pushes.",
        "Bow at rest: from the string to the deepest place of the grip, at right angles to the "
        "string.",
        "6.5 in (165 mm)",
        "draw-length",
        "165 mm",
    ),
    "bow.launch_speed": Words(
        "Arrow speed",
        "The speed of this arrow from this bow, as it leaves the string.",
        "From a chronograph. A speed read further away belongs under chronograph readings.",
        "what rated speed or draw weight tell",
        metric="84.7 m/s ± 1",
    ),
    "bow.rated_speed": Words(
        "Rated speed",
        "The maker's figure, when no speed was measured. Your own bow may differ by a few per "
        "cent, so the bands start wider.",
        "It stands in the maker's leaflet or on the limb.",
        "315 ft/s (96 m/s), give or take 15",
        metric="100.6 m/s ± 2 %",
    ),
    "bow.rated_draw_weight": Words(
        "Draw weight of the rating", _RATED, "", "70 lbf (311 N)", metric="311 N"
    ),
    "bow.rated_draw_length": Words(
        "Draw length of the rating", _RATED, "", "30 in (762 mm)", metric="762 mm"
    ),
    "bow.rated_arrow_mass": Words(
        "Arrow mass of the rating", _RATED, "", "350 gr (22.7 g)", metric="22.7 g"
    ),
    "bow.least_arrow_mass": Words(
        "Lightest arrow the maker allows",
        "A lighter one strains the bow like a shot without an arrow. The draw weight asks for 5 "
        "grains a pound at least; the greater of the two counts.",
        "It stands in the maker's leaflet or on the limb.",
        "5 grains a pound of draw weight",
        metric="22.7 g",
    ),
    "bow.rest": Words(
        "Rest before the grip",
        "With draw and arrow length it tells whether the shaft stays on the rest. Needed before "
        "the first plan.",
        "Bow at rest: from the deepest place of the grip to where the arrow lies, toward the "
        "target; behind the grip less than 0, as -15 mm. Write shelf when the arrow lies on the "
        "bow's own shelf.",
        metric="5 mm",
    ),
    "bow.chronograph.speed": Words(
        "Speed read",
        "One reading a row; several readings together tell more than one.",
        metric="84 m/s ± 1",
    ),
    "bow.chronograph.at": Words(
        "Read at",
        "How far from your grip the gate stands.",
        "",
        "3 ft (0.91 m)",
        metric="0.9 m",
    ),
    "bow.chronograph.arrow_mass": Words(
        "Mass of that arrow", "Only if it was another arrow.", "", "this rig's arrow", metric="26 g"
    ),
    "arrow.mass": Words(
        "Arrow mass",
        "A heavy arrow flies slower and keeps its speed better.",
        "Weigh three whole arrows, points in, on a kitchen or grain scale and take the mean.",
        metric="27.2 g ± 0.1",
    ),
    "arrow.shaft_diameter": Words(
        "Shaft diameter",
        "The air takes hold of the shaft's width.",
        "Calliper across the bare shaft, or the maker's table.",
    ),
    "arrow.length": Words(
        "Arrow length",
        "Tells where the arrow leaves the string, and whether the shaft is too short.",
        "From the floor of the nock's groove to the end of the shaft, without the point.",
        "28.5 in (724 mm)",
        metric="724 mm",
    ),
    "arrow.point": Words(
        "Point",
        "A broadhead has more drag, and its marks differ.",
        choices=(("field", "field point"), ("broadhead", "broadhead")),
    ),
    "arrow.vane_height": Words(
        "Vane height",
        "A vane that touches the sight's housing throws the arrow off; this tells where that "
        "begins.",
        "Ruler against the shaft: from its surface to the top of the vane.",
        drawing="vane-height",
        metric="11.4 mm",
    ),
    "arrow.drag_coefficient": Words(
        "Drag coefficient",
        "Only if you know it, on the shaft's cross-section. Arrows at far targets tell it better.",
        "",
        "2.1, or 2.6 with a broadhead; your arrows correct it",
        metric="2.1 ± 30 %",
    ),
    "arrow.blade_diameter": Words(
        "Blades, tip to tip",
        "Of a broadhead as it flies: blades pass under the sight's housing, and must stay clear of "
        "your hand. Needed before the first plan with a broadhead.",
        "Across the blades, as they stand in flight. Write none when they are folded in until they "
        "hit.",
        metric="29 mm",
    ),
    "sight.peep_height": Words(
        "Peep height",
        "How far your eye is above the arrow. With the speed it shapes the whole tape.",
        _RANGE + "from the middle of the peep down to the middle of the arrow, at right "
        "angles to the arrow. A photograph from the side with a ruler in it helps.",
        "4.5 in (114 mm), give or take 0.4 in",
        "peep-height",
        "117 mm ± 4",
    ),
    "sight.sight_radius": Words(
        "Sight radius",
        "How far the pin is from your eye: the farther, the more the pin moves for the same shot.",
        _RANGE + "from the peep to the pin.",
        "33 in (838 mm), give or take 1.5 in",
        "sight-radius",
        "838 mm ± 12",
    ),
    "sight.reading_per_travel": Words(
        "Reading per travel",
        "Many sights gear the pointer up: the number moves more than the pin.",
        "Move the pin 10 mm with a calliper and see how many mm the pointer moved; divide by ten. "
        "If unsure leave it open.",
        "learnt from the arrows",
        "reading-per-travel",
        "1.60 ± 0.05",
    ),
    "sight.farther": Words(
        "Numbers for farther targets",
        "Which way the dial runs.",
        choices=(
            ("increases", "get larger farther out"),
            ("decreases", "get smaller farther out"),
        ),
    ),
    "sight.pins_below_first": Words(
        "Pins below the first",
        "Sights with several pins: each from the first, the top one first.",
        "Calliper from the middle of the first pin to the middle of the other.",
        "one pin",
    ),
    "sight.housing_below_pin": Words(
        "Housing below the pin",
        "Far out the housing sinks toward the arrow. This tells where they would meet.",
        "From the (first) pin down to the lower edge of the housing.",
        drawing="housing-below-pin",
    ),
    "sight.clearance_reading": Words(
        "Reading where the housing just clears",
        "Better than the line above: the limit itself, measured.",
        "Bow at rest, an arrow on it with its vanes under the sight, lifted as far as the rest "
        "lets it. Turn the sight down until the housing just clears, and read the number.",
    ),
    "sight.travel_ends": Words(
        "Ends of the travel",
        "The numbers at both ends; beyond them there are no marks.",
        "Turn to the stop at each end and read.",
    ),
    "sight.arrow_margin": Words(
        "Air over the vane",
        "How much room you want between vane and housing.",
        "",
        "6 mm",
    ),
    "sight.elevation_click": Words(
        "One click up or down",
        "Tells corrections in clicks.",
        "Turn ten clicks, see how many mm the number moved, divide by ten.",
    ),
    "sight.windage_click": Words(
        "One click left or right",
        "Tells corrections in clicks.",
        "Turn ten clicks, see how many mm the pin moved sideways, divide by ten.",
    ),
    "sight.arm_length": Words(
        "Length of a pivoting arm",
        "Only for sights whose pin swings on an arm.",
        "From the pivot to the pin.",
        "the pin runs straight",
    ),
    "sight.arm_level_reading": Words(
        "Reading with the arm level",
        "Only with a pivoting arm.",
        "Set the arm parallel to the arrow and read the number.",
        "0",
    ),
    "archer.dispersion": Words(
        "Dispersion",
        "How far your arrows spread, as an angle: one deviation, up or sideways.",
        "Leave it open: the groups tell it.",
        "learnt from the arrows",
    ),
    "archer.tolerance": Words(
        "Tolerance",
        "The miss that is still good to you, as a radius. Trusted distance hangs on it.",
        "",
        "3 in (76 mm)",
        metric="75 mm",
    ),
    "archer.distance_error": Words(
        "Error of distances",
        "How well you know how far the butts stand.",
        "",
        "half a per cent, at least 0.25 yd (0.23 m)",
        metric="0.25 m",
    ),
    "archer.reading_error": Words(
        "Error of readings",
        "How well you can set and read the pointer.",
        "",
        "0.1 mm",
    ),
    "air.temperature": Words(
        "Temperature",
        "Where you shoot. Cold air is thicker.",
        "",
        "15 °C (59 °F), colder high up",
    ),
    "air.pressure": Words(
        "Pressure at the line",
        "Only as a barometer shows it on the spot.",
        "",
        "what is usual at the altitude",
    ),
    "air.sea_level_pressure": Words(
        "Pressure of a weather report",
        "Reduced to sea level, as reports give it; needs the altitude.",
    ),
    "air.altitude": Words(
        "Altitude", "Alone it does in place of a barometer.", "", "sea level", metric="300 m"
    ),
    "air.humidity": Words("Humidity", "Matters little.", "", "50 %"),
} | {
    f"checks.{part}": Words(f"{what[0].upper()}{what[1:]}", f"{how}. Who: {who}.", choices=FOUND)
    for part, (what, how, who) in CHECKS.items()
}

FIRST = Group(
    "To begin",
    "Enough for a first tape with honest, wide bands. Of the three speeds give what you have.",
    ("name", "hand", "arrow.mass", "arrow.shaft_diameter", "arrow.length", "bow.draw_weight",
     "bow.draw_length", "bow.rest", "bow.launch_speed", "bow.rated_speed", "sight.peep_height",
     "sight.sight_radius"),
)  # fmt: skip
GROUPS = (
    Group("Name", "", ("name", "hand")),
    Group("Bow", "Weight, draw and speed.", ("bow",)),
    Group("Chronograph", "Speeds read, if you read any.", ("bow.chronograph",)),
    Group("Arrow", "As you shoot it, point in.", ("arrow",)),
    Group("Sight", "Peep, pin, scale and what stops them.", ("sight",)),
    Group("Archer", "What is good enough, and how well you measure.", ("archer",)),
    Group("Air", "Where you shoot most.", ("air",)),
    Group(
        "Check list before the first arrow",
        "Look at each. One that is damaged stops the rig until it is mended and ticked sound.",
        ("checks",),
    ),
)

# A fault of a whole table stands beside this line of it.
TABLE_LINES = {"bow": "bow.launch_speed", "air": "air.temperature", "arrow": "arrow.mass"}
_ASSIGNED = re.compile(r'\b([a-z_]+) = ("[^"]*"|\[[^\]]*\])')
_LABELS = {key.rpartition(".")[2]: words.label for key, words in WORDS.items()}
_KEYS = re.compile(rf"\b({'|'.join(key for key in _LABELS if '_' in key)})\b")


def row_label(key: str, row: int) -> str:
    """Label of one row of a list, counted from 0."""
    if key == "sight.pins_below_first":
        return f"Pin {row + 2} below the first"
    return ("One end of the travel", "The other end of the travel")[row]


def form_words(text: str) -> str:
    """Sentence about a sheet's text in the words of the form: labels in place of keys."""

    def assigned(found: re.Match[str]) -> str:
        value = found[2].strip("[]").replace('"', "")
        return f"“{_LABELS.get(found[1], found[1])}”: {value}"

    text = _ASSIGNED.sub(assigned, text)
    text = _KEYS.sub(lambda found: f"“{_LABELS[found[1]]}”", text)
    return re.sub(r"\[+([a-z.]+)\]+", r"\1", text)
