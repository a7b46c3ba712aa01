"""Rig sheet fields: the rig sheet, declared once: every table and every key.

From here come the reader, the commented sheet, the form in the browser, the reference in the docs
and what is said of keys left open. A new key is one new entry. The file is as long as the sheet.

Holds:  kind, limits, examples, words and measuring of every key, and the attribute it fills.
Never:  how a value is read (sheet_values.py), what several keys say together (sheet_cautions.py).
Source: limits, usual values and how to measure are common practice, no source: wide enough for any
        bow shot by hand; draw length by the trade standard. What is taken for a key left open is
        the prior's and the archer record's; a test compares them.
"""

from tapewright.reading.sheet_schema import Declared, Key, Table
from tapewright.words.check_list import CHECKS, COMPOUNDS_OWN, checks_of
from tapewright.words.rules import TICKS

_RANGE = "Only on a range, an arrow nocked and pointed at a butt with a safe stop behind it: "
_TOO_LIGHT = (
    "A lighter one strains the bow like a shot without an arrow. The draw weight asks for {} "
    "grains a pound at least; the greater of the two counts."
)
_RATED = "As the maker states it beside the rated speed."
_BY_DRAW = "what draw weight and draw length tell"
_OWN_DRAW = (
    "At your own full draw, with a bow scale; let the string down slowly, never let go of it "
    "without an arrow. The number on the limb is for a draw of 28 in; an inch more or less makes "
    "about 2 lbf."
)
_KIND = (
    "What the house values of your shop or club call such {}, if they know them: what they say "
    "then stands in for lines left open."
)
_LEAFLET = "It stands in the maker's leaflet or on the limb."
COMPOUND, NO_PEEP = ("compound",), ("recurve", "longbow")
KINDS = (
    ("", "not said: taken as a compound"),
    ("compound", "compound: cams or wheels"),
    ("recurve", "recurve: tips curve forward"),
    ("longbow", "longbow: straight limbs"),
)
FOUND = (("", "not looked at yet"), ("sound", "sound"), ("damaged", "damaged: stop"))

# Each entry in few lines, to be read at a glance.
# fmt: off
_TOP = Table(
    title="Name",
    intro="Rig sheet: one bow, arrow, sight and archer, as set up today.\nLines that begin with # "
    "are not read. Measure, write your number, and take the # away. Every number carries its unit. "
    '"± 3" behind it says how sure you are: the truth lies within it two times in three. "± 2 %" '
    "works as well. What you leave out is learnt from the arrows, or taken as told.",
    keys={
        "name": Key("Name of the rig", examples=("Heron",), needed=True,
            purpose="Any name you will know it by, such as Heron."),
        "hand": Key("Hand that draws the string",
            choices=(("right", "right: I draw with the right hand"),
                     ("left", "left: I draw with the left hand")),
            purpose="Turns left and right where they matter."),
    },
)

_BOW = Table(
    title="Bow", faults_at="launch_speed",
    about="Kind, weight, draw and speed.",
    intro="Needed before the first plan: draw_weight (or least_arrow_mass), draw_length and rest "
    "below, and the length of the arrow. Without them nobody can judge whether the set-up may be "
    "shot. Full draw only on a range, with an arrow nocked and pointed at a butt with a safe stop "
    "behind it.",
    keys={
        "kind": Key("Kind of bow", choices=KINDS, left_open="a compound",
            purpose="Answered first: usual speed, spread and eye height depend on it, and how "
            "light an arrow may be."),
        "draw_weight": Key("Draw weight", unit="lbf", limits=(10, 120),
            examples=("60 lbf", "267 N"),
            purpose="Tells how fast the bow is when no speed was measured, and whether the arrow "
            "is too light.",
            measure="The peak: pull through the whole draw with a bow scale and note the largest "
            "number.",
            of_kind={kind: {"examples": examples, "measure": _OWN_DRAW}
                     for kind, examples in (("recurve", ("40 lbf", "178 N")),
                                            ("longbow", ("45 lbf", "200 N")))}),
        "draw_length": Key("Draw length", unit="in", limits=(15, 36), examples=("29 in", "737 mm"),
            left_open="29 in (737 mm); 28 in of a recurve or longbow", drawing="draw-length",
            purpose="Tells how fast the bow is when no speed was measured, and whether the shaft "
            "is too short.",
            measure=_RANGE + "at full draw from the string's nock point to the deepest place of "
            "the grip, plus 1¾ in (44 mm). A second person marks the arrow. Never let go of a "
            "string without an arrow on it.",
            of_kind={kind: {"left_open": "28 in (711 mm)", "examples": ("28 in", "711 mm")}
                     for kind in NO_PEEP}),
        "brace_height": Key("Brace height", unit="in", limits=(3, 12),
            examples=("6.5 in", "165 mm"), drawing="draw-length",
            left_open="6.5 in (165 mm); 8.6 in of a recurve, 6.75 in of a longbow",
            purpose="With the draw length it tells how long the string pushes.",
            measure="Bow at rest: from the string to the deepest place of the grip, at right "
            "angles to the string.",
            of_kind={"recurve": {"left_open": "8.6 in (218 mm)", "examples": ("8.6 in", "218 mm")},
                     "longbow": {"left_open": "6.75 in (171 mm)",
                                 "examples": ("6.75 in", "171 mm")}}),
        "nock_height": Key("Height of the nocking point", fills="", unit="in", limits=(-1, 2),
            usual=(-0.25, 0.75), examples=("0.25 in", "6.4 mm"),
            purpose="No mark is computed from it. It is kept so that a new string can be set up as "
            "the old one was, and two sheets can be told apart; with a nocking point that moved, "
            "marks move too.",
            measure="Bow at rest: from the line through the rest, at right angles to the string, "
            "up to the middle of the nock; below that line less than 0. A bow square clipped to "
            "the string shows it."),
        "launch_speed": Key("Arrow speed", unit="ft/s", limits=(60, 500), usual=(130, 380),
            doubt=True, examples=("278 ft/s ± 3", "84.7 m/s ± 1"),
            left_open="what rated speed or draw weight tell",
            purpose="The speed of this arrow from this bow, as it leaves the string.",
            measure="From a chronograph. A speed read further away belongs under chronograph "
            "readings.",
            of_kind={"recurve": {"usual": (100, 240), "left_open": _BY_DRAW,
                                 "examples": ("190 ft/s ± 3", "57.9 m/s ± 1")},
                     "longbow": {"usual": (90, 210), "left_open": _BY_DRAW,
                                 "examples": ("155 ft/s ± 3", "47.2 m/s ± 1")}}),
        "rated_speed": Key("Rated speed", fills="rating.speed_mps", unit="ft/s", limits=(60, 500),
            usual=(130, 380), doubt=True, examples=("330 ft/s ± 2 %", "100.6 m/s ± 2 %"),
            left_open="315 ft/s (96 m/s), give or take 15", kinds=COMPOUND,
            purpose="The maker's figure, when no speed was measured. Your own bow may differ by a "
            "few per cent, so the bands start wider.",
            measure=_LEAFLET),
        "rated_draw_weight": Key("Draw weight of the rating", fills="rating.draw_weight_n",
            unit="lbf", limits=(10, 120), examples=("70 lbf", "311 N"), left_open="70 lbf (311 N)",
            taken="70 lbf", kinds=COMPOUND,
            purpose=_RATED),
        "rated_draw_length": Key("Draw length of the rating", fills="rating.draw_length_m",
            unit="in", limits=(15, 36), examples=("30 in", "762 mm"), left_open="30 in (762 mm)",
            taken="30 in", kinds=COMPOUND,
            purpose=_RATED),
        "rated_arrow_mass": Key("Arrow mass of the rating", fills="rating.arrow_mass_kg", unit="gr",
            limits=(100, 1500), examples=("350 gr", "22.7 g"), left_open="350 gr (22.7 g)",
            taken="350 gr", kinds=COMPOUND,
            purpose=_RATED),
        "least_arrow_mass": Key("Lightest arrow the maker allows", unit="gr", limits=(100, 1500),
            examples=("350 gr", "22.7 g"),
            left_open="5 grains a pound of draw weight; 6 for a recurve, 8 for a longbow",
            purpose=_TOO_LIGHT.format("5 (6 for a recurve, 8 for a longbow)"),
            measure=_LEAFLET,
            of_kind={"recurve": {"left_open": "6 grains a pound of draw weight",
                                 "examples": ("240 gr", "15.6 g"),
                                 "purpose": _TOO_LIGHT.format(6)},
                     "longbow": {"left_open": "8 grains a pound of draw weight",
                                 "examples": ("360 gr", "23.3 g"),
                                 "purpose": _TOO_LIGHT.format(8)}}),
        "least_temperature": Key("Coldest air the maker allows", unit="°C", limits=(-50, 30),
            examples=("-4 °F", "-20 °C"), left_open="no stop for cold",
            purpose="In colder air limbs may break: nothing is planned or told for it.",
            measure=_LEAFLET),
        "rest": Key("Rest before the grip", fills="rest_ahead_m", unit="mm", limits=(-150, 150),
            examples=("0.2 in", "5 mm"), none_words=("shelf", "off the shelf", "none"),
            purpose="With draw and arrow length it tells whether the shaft stays on the rest. "
            "Needed before the first plan.",
            measure="Bow at rest: from the deepest place of the grip to where the arrow lies, "
            "toward the target; behind the grip less than 0, as -15 mm. Write shelf when the arrow "
            "lies on the bow's own shelf."),
    },
)

_CHRONOGRAPH = Table(
    title="Chronograph", most=100,
    about="Speeds read, if you read any.",
    intro="Chronograph: one block for each reading.",
    keys={
        "speed": Key("Speed read", unit="ft/s", limits=(60, 500), usual=(130, 380), doubt=True,
            examples=("278 ft/s ± 3", "84.7 m/s ± 1"), needed=True,
            purpose="One reading a row; several readings together tell more than one.",
            of_kind={"recurve": {"usual": (100, 240),
                                 "examples": ("190 ft/s ± 3", "57.9 m/s ± 1")},
                     "longbow": {"usual": (90, 210),
                                 "examples": ("155 ft/s ± 3", "47.2 m/s ± 1")}}),
        "at": Key("Read at", unit="m", limits=(0, 30), examples=("1 yd", "0.9 m"),
            left_open="3 ft (0.91 m)", taken="3 ft",
            purpose="How far from your grip the gate stands."),
        "arrow_mass": Key("Mass of that arrow", unit="gr", limits=(100, 1500),
            examples=("400 gr", "26 g"), left_open="this rig's arrow",
            purpose="Only if it was another arrow."),
        "instrument": Key("Chronograph", examples=("counter",),
            purpose="Which one it was read with, as the house values of your shop or club call it: "
            "its error is then undone."),
    },
)

_ARROW = Table(
    title="Arrow", faults_at="mass",
    about="As you shoot it, point in.",
    keys={
        "mass": Key("Arrow mass", unit="gr", limits=(100, 1500), doubt=True,
            examples=("420 gr ± 2", "27.2 g ± 0.1"), guess=("420 gr ± 40", "27.2 g ± 2.6"),
            needed=True, begun=True,
            purpose="A heavy arrow flies slower and keeps its speed better.",
            measure="Weigh three whole arrows, points in, on a kitchen or grain scale and take the "
            "mean.",
            of_kind={"recurve": {"examples": ("330 gr ± 2", "21.4 g ± 0.1"),
                                 "guess": ("330 gr ± 40", "21.4 g ± 2.6")},
                     "longbow": {"examples": ("450 gr ± 2", "29.2 g ± 0.1"),
                                 "guess": ("450 gr ± 50", "29.2 g ± 3.2")}}),
        "shaft_diameter": Key("Shaft diameter", unit="mm", limits=(3, 12), examples=("6.0 mm",),
            needed=True, begun=True,
            purpose="The air takes hold of the shaft's width.",
            measure="Calliper across the bare shaft, or the maker's table.",
            of_kind={"longbow": {"examples": ("8.0 mm", "8.0 mm")}}),
        "length": Key("Arrow length", unit="in", limits=(15, 36), examples=("28.5 in", "724 mm"),
            left_open="28.5 in (724 mm)",
            purpose="Tells where the arrow leaves the string, and whether the shaft is too short.",
            measure="From the floor of the nock's groove to the end of the shaft, without the "
            "point."),
        "point": Key("Point", choices=(("field", "field point"), ("broadhead", "broadhead")),
            begun=True,
            purpose="A broadhead has more drag, and its marks differ."),
        "vane_height": Key("Vane height", unit="in", limits=(0.05, 2),
            examples=("0.45 in", "11.4 mm"), drawing="vane-height",
            purpose="A vane that touches the sight's housing throws the arrow off; this tells "
            "where that begins.",
            measure="Ruler against the shaft: from its surface to the top of the vane."),
        "drag_coefficient": Key("Drag coefficient", limits=(0.3, 10), usual=(1, 4), doubt=True,
            examples=("2.1 ± 30 %",),
            left_open="2.1, or 2.6 with a broadhead; your arrows correct it",
            purpose="Only if you know it, on the shaft's cross-section. Arrows at far targets tell "
            "it better."),
        "blade_diameter": Key("Blades, tip to tip", unit="mm", limits=(8, 100),
            examples=("1.15 in", "29 mm"), none_words=("none",),
            purpose="Of a broadhead as it flies: blades pass under the sight's housing, and must "
            "stay clear of your hand. Needed before the first plan with a broadhead.",
            measure="Across the blades, as they stand in flight. Write none when they are folded "
            "in until they hit."),
        "kind": Key("Kind of arrow", examples=("thin carbon",),
            purpose=_KIND.format("arrows")),
    },
)

_SIGHT = Table(
    title="Sight",
    about="Eye, pin, scale and what stops them.",
    keys={
        "peep_height": Key("Peep height", unit="in", limits=(0.5, 12), usual=(2.5, 7), doubt=True,
            examples=("4.6 in ± 0.15", "117 mm ± 4"),
            left_open="4.5 in (114 mm), give or take 0.4 in", drawing="peep-height",
            purpose="How far your eye is above the arrow. With the speed it shapes the whole tape.",
            measure=_RANGE + "at full draw from the middle of the peep (your eye) down to the "
            "middle of the arrow, at right angles to the arrow. A photograph from the side with a "
            "ruler in it helps. Of a bow without a peep the eye's height above the arrow is told "
            "in its place.",
            kinds=COMPOUND),
        "eye_height": Key("Eye above the arrow", fills="peep_height_m", unit="in",
            limits=(0.5, 12), usual=(2, 7), doubt=True,
            examples=("4.6 in ± 0.2", "117 mm ± 5"), drawing="eye-height",
            left_open="4.6 in (117 mm) of a recurve, give or take 0.7 in; 4.2 in of a longbow",
            purpose="How far your eye is above the arrow, by your anchor. With the speed it shapes "
            "the whole tape.",
            measure=_RANGE + "at full draw, at your usual anchor, from the pupil of the eye that "
            "aims down to the middle of the arrow, at right angles to the arrow. A photograph from "
            "the side with a ruler in it helps. Of a bow with a peep it is peep_height.",
            kinds=NO_PEEP,
            of_kind={"recurve": {"left_open": "4.6 in (117 mm), give or take 0.7 in"},
                     "longbow": {"left_open": "4.2 in (107 mm), give or take 0.9 in"}}),
        "sight_radius": Key("Sight radius", unit="in", limits=(10, 60), usual=(20, 45), doubt=True,
            examples=("33 in ± 0.5", "838 mm ± 13"),
            drawing="sight-radius",
            left_open="33 in (838 mm), give or take 1.5 in; 35 in of a recurve, 28.5 in of a "
            "longbow",
            purpose="How far the pin is from your eye: the farther, the more the pin moves for the "
            "same shot.",
            measure=_RANGE + "at full draw from your eye, or the peep, to the pin.",
            of_kind={"recurve": {"left_open": "35 in (889 mm), give or take 2 in",
                                 "examples": ("35 in ± 0.5", "889 mm ± 13")},
                     "longbow": {"left_open": "28.5 in (724 mm), give or take 1.5 in",
                                 "examples": ("28.5 in ± 0.5", "724 mm ± 13")}}),
        "reading_per_travel": Key("Reading per travel", limits=(0.05, 50), doubt=True,
            examples=("1.60 ± 0.05",), left_open="learnt from the arrows",
            drawing="reading-per-travel",
            purpose="Many sights gear the pointer up: the number moves more than the pin. Measured "
            "to ±1 % it saves more arrows than any other line, and needs no bow drawn; with the "
            "sight radius it tells twice as much.",
            measure="At home, the bow at rest: turn the dial by a known number of its scale, 30 mm "
            "or more and always the same way, measure with a calliper how far the pin travelled, "
            "and divide the number by the travel. Do it three times: 0.2 mm on 30 are under 1 %. "
            "If unsure leave it open."),
        "farther": Key("Numbers for farther targets", begun=True,
            choices=(("increases", "get larger farther out"),
                     ("decreases", "get smaller farther out")),
            purpose="Which way the dial runs: do the numbers on the scale get larger or smaller "
            "for farther targets?"),
        "pins_below_first": Key("Pins below the first", unit="mm", limits=(0.5, 150), doubt=True,
            examples=("9 mm",), left_open="one pin", many=(1, 10), listed=("9 mm", "17 mm"),
            row_labels="Pin {} below the first",
            purpose="Sights with several pins: each from the first, the top one first.",
            measure="Calliper from the middle of the first pin to the middle of the other."),
        "housing_below_pin": Key("Housing below the pin", unit="mm", limits=(1, 150),
            examples=("23 mm",), drawing="housing-below-pin",
            purpose="Far out the housing sinks toward the arrow. This tells where they would meet.",
            measure="From the (first) pin down to the lower edge of the housing."),
        "clearance_reading": Key("Reading where the housing just clears", unit="mm",
            limits=(-500, 500), examples=("78 mm",),
            purpose="Better than the line above: the limit itself, measured.",
            measure="Bow at rest, an arrow laid on it with its vanes under the sight, lifted as "
            "far as the rest lets it. Turn the sight down until the housing just clears, and read "
            "the number."),
        "travel_ends": Key("Ends of the travel", unit="mm", limits=(-500, 500), examples=("85 mm",),
            many=(2, 2), listed=("0 mm", "85 mm"),
            row_labels="One end of the travel|The other end of the travel",
            purpose="The numbers at both ends; beyond them there are no marks.",
            measure="Turn to the stop at each end and read."),
        "arrow_margin": Key("Air over the vane", unit="mm", limits=(0, 50), examples=("6 mm",),
            left_open="6 mm",
            purpose="How much room you want between vane and housing."),
        "elevation_click": Key("One click up or down", unit="mm", limits=(0.001, 5),
            examples=("0.10 mm",),
            purpose="Tells corrections in clicks.",
            measure="Turn ten clicks, see how many mm the number moved, divide by ten."),
        "windage_click": Key("One click left or right", unit="mm", limits=(0.001, 5),
            examples=("0.10 mm",),
            purpose="Tells corrections in clicks.",
            measure="Turn ten clicks, see how many mm the pin moved sideways, divide by ten."),
        "arm_length": Key("Length of a pivoting arm", unit="mm", limits=(20, 500),
            examples=("90 mm",), left_open="the pin runs straight",
            purpose="Only for sights whose pin swings on an arm.",
            measure="From the pivot to the pin."),
        "arm_level_reading": Key("Reading with the arm level", unit="mm", limits=(-500, 500),
            examples=("32 mm",), left_open="0",
            purpose="Only with a pivoting arm.",
            measure="Set the arm parallel to the arrow and read the number."),
        "kind": Key("Kind of sight", examples=("counter slider",),
            purpose=_KIND.format("sights")),
    },
)

_ARCHER = Table(
    title="Archer",
    about="What is good enough, and how well you measure.",
    keys={
        "dispersion": Key("Dispersion", unit="mrad", limits=(0.05, 20), doubt=True,
            examples=("0.6 mrad",), left_open="learnt from the arrows",
            purpose="How far your arrows spread, as an angle: one deviation, up or sideways.",
            measure="Leave it open: the groups tell it.",
            of_kind={"recurve": {"examples": ("1.5 mrad", "1.5 mrad")},
                     "longbow": {"examples": ("3 mrad", "3 mrad")}}),
        "tolerance": Key("Tolerance", unit="in", limits=(0.2, 40), examples=("3 in", "75 mm"),
            left_open="3 in (76 mm)", begun=True,
            purpose="The miss that is still good to you, as a radius. Trusted distance hangs on "
            "it."),
        "farthest": Key("Farthest distance you shoot", unit="m", limits=(9, 150),
            examples=("60 yd", "55 m"),
            left_open="as far as bow and sight reach, 120 yd (or m) at most",
            purpose="Groups are asked for up to there and no farther: the nearer, the fewer. Only "
            "as far as you have a safe place for."),
        "distance_error": Key("Error of distances", fills="distance_sd_m", unit="m",
            limits=(0.001, 10), examples=("0.25 yd", "0.25 m"),
            left_open="half a per cent, at least 0.25 yd (0.23 m)",
            purpose="How well you know how far the butts stand."),
        "distances": Key("Distances the tape is for",
            choices=(("", "measured as those of your groups"),
                     ("tape", "taped"),
                     ("range finder", "by a range finder"),
                     ("pegs", "as pegs or signs say"),
                     ("paces", "paced")),
            left_open="the yards of your groups, whatever measured them",
            purpose="All distances of one source are off together: a range finder that shows "
            "1 % too little shows it everywhere. A tape for distances that were measured in "
            "another way than your groups has wider bands."),
        "reading_error": Key("Error of readings", fills="reading_sd_m", unit="mm",
            limits=(0.001, 10), examples=("0.1 mm",), left_open="0.1 mm",
            purpose="How well you can set and read the pointer."),
        "kind": Key("Kind of archer", examples=("first year",),
            purpose=_KIND.format("archers")),
    },
)

_AIR = Table(
    title="Air", faults_at="temperature",
    about="Where you shoot most; left open, 15 °C at sea level.",
    intro="Altitude alone will do in place of a barometer. If you read a barometer at the line, "
    "write pressure; a weather report's figure is sea_level_pressure and needs the altitude.",
    keys={
        "temperature": Key("Temperature", unit="°C", limits=(-35, 50), examples=("59 °F", "15 °C"),
            left_open="15 °C (59 °F), colder high up", begun=True,
            purpose="Where you shoot. Cold air is thicker."),
        "pressure": Key("Pressure at the line", unit="hPa", limits=(500, 1100),
            examples=("28.9 inHg", "980 hPa"), left_open="what is usual at the altitude",
            purpose="Only as a barometer shows it on the spot."),
        "sea_level_pressure": Key("Pressure of a weather report", unit="hPa", limits=(850, 1100),
            examples=("29.9 inHg", "1013 hPa"),
            purpose="Reduced to sea level, as reports give it; needs the altitude."),
        "altitude": Key("Altitude", unit="m", limits=(-450, 5500), examples=("1000 ft", "300 m"),
            left_open="sea level", begun=True,
            purpose="Alone it does in place of a barometer."),
        "humidity": Key("Humidity", fills="relative_humidity", unit="%", limits=(0, 100),
            examples=("50 %",), left_open="50 %",
            purpose="Matters little."),
    },
)
# fmt: on

_CHECKS = Table(
    title="Check list before the first arrow",
    about="Look at each. One that is damaged stops the rig until it is mended and ticked sound.",
    intro='The check list before the first arrow: look at each, then write "sound" or "damaged" '
    "and take the # away. One that is damaged stops the rig until it is mended and ticked sound. "
    "Press work and a compound's cams and peep belong to a qualified technician; the rest you can "
    "look at yourself.",
    keys={
        part: Key(
            label=what[0].upper() + what[1:],
            purpose=f"{how}. Who: {who}.",
            fills="",
            choices=FOUND,
            examples=("sound",),
            kinds=COMPOUND if part in COMPOUNDS_OWN else (),
            of_kind={
                kind: {
                    "label": other[0][0].upper() + other[0][1:],
                    "purpose": f"{other[1]}. Who: {other[2]}.",
                }
                for kind in NO_PEEP
                if (other := checks_of(kind).get(part)) and other != (what, how, who)
            },
        )
        for part, (what, how, who) in CHECKS.items()
    },
)

_RULES = Table(
    title="Rules of a class",
    about="What a class allows: your own ticks.",
    intro="What the class allows in which you shoot with this rig: your own ticks, for no body's "
    "rules are known here. Ask the organiser. Prints keep to what is ticked.",
    keys={
        tick: Key(
            label=name[0].upper() + name[1:],
            purpose=asks,
            fills="",
            choices=(("", "not ticked"), ("yes", "ticked")),
            examples=("yes",),
        )
        for tick, (name, asks) in TICKS.items()
    },
)

# Table → what is declared of it, in the order of the sheet; the name of a key's own level is empty.
TABLES: dict[str, Table] = {
    "": _TOP,
    "bow": _BOW,
    "bow.chronograph": _CHRONOGRAPH,
    "arrow": _ARROW,
    "sight": _SIGHT,
    "archer": _ARCHER,
    "air": _AIR,
    "rules": _RULES,
    "checks": _CHECKS,
}
SHEET = Declared("a rig sheet", TABLES, aloof=("checks",))
KEYS = SHEET.keys
