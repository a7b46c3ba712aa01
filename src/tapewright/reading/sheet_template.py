"""Sheet template: a sheet to fill in, for a person who has never measured a bow.

Holds:  the commented sheet, in inches or in millimetres; what a rig may be called.
Never:  reading it back (sheet.py).
Source: how to measure is common practice, no source; draw length by the trade standard.
"""

import json
from typing import Literal

from tapewright.ground.errors import BadRigSheet
from tapewright.words.unit_names import quoted


def clean_name(name: str) -> str:
    """Tidy the name of a rig: single spaces, nothing that cannot be printed."""
    tidy = " ".join(name.split())
    if not tidy:
        raise BadRigSheet("name", "the name is empty", 'Write a name such as "Heron"')
    if len(tidy) > 60:
        wrong = f"the name has {len(tidy)} letters"
        raise BadRigSheet("name", wrong, 'Write at most 60, such as "Heron"')
    if not all(letter.isprintable() or letter in "\u200c\u200d" for letter in tidy):
        wrong = f"the name {quoted(tidy)} holds a sign that cannot be printed"
        raise BadRigSheet("name", wrong, 'Use letters, digits and spaces, such as "Heron"')
    return tidy


def new_rig_sheet(name: str, hand: Literal["right", "left"], metric: bool) -> str:  # noqa: FBT001
    """Commented sheet to be filled in."""
    amounts = {key: both[metric] for key, both in _AMOUNTS.items()}
    title = json.dumps(clean_name(name), ensure_ascii=False)
    return _SHEET.format(name=title, hand=hand, **amounts)


# key → example in inches, pounds and grains; the same in metric units
_AMOUNTS = {
    "weight": ("60 lbf", "267 N"),
    "draw": ("29 in", "737 mm"),
    "brace": ("6.5 in", "165 mm"),
    "speed": ("278 ft/s ± 3", "84.7 m/s ± 1"),
    "least": ("350 gr", "22.7 g"),
    "rest": ("0.2 in", "5 mm"),
    "blade": ("1.1 in", "29 mm"),
    "rated": ("330 ft/s ± 2 %", "100.6 m/s ± 2 %"),
    "at": ("3 ft", "0.9 m"),
    "other": ("400 gr", "26 g"),
    "mass": ("420 gr ± 40", "27.2 g ± 2.6"),
    "length": ("28.5 in", "724 mm"),
    "vane": ("0.45 in", "11.4 mm"),
    "peep": ("4.6 in ± 0.15", "117 mm ± 4"),
    "radius": ("33 in ± 0.5", "838 mm ± 12"),
    "tolerance": ("3 in", "75 mm"),
    "distance": ("0.25 yd", "0.25 m"),
    "temperature": ("59 °F", "15 °C"),
    "altitude": ("1000 ft", "300 m"),
}

_SHEET = """\
# Rig sheet: one bow, arrow, sight and archer, as set up today.
# Lines that begin with # are not read. Measure, write your number, and take the # away.
# Every number carries its unit. "± 3" behind it says how sure you are: the truth lies within
# it two times in three. "± 2 %" works as well. What you leave out is learnt from the arrows.
schema = 1
name = {name}
hand = "{hand}"   # the hand that draws the string: "right" or "left"

[bow]
# Needed before the first plan: draw_weight (or least_arrow_mass), draw_length and rest below, and
# the length of the arrow. Without them nobody can judge whether the set-up may be shot.
# Full draw only on a range, with an arrow nocked and pointed at a butt with a safe stop behind it.
# Peak draw weight: pull through the whole draw with a bow scale and note the largest number.
#draw_weight = "{weight}"
# The lightest arrow that the bow's maker allows, if the leaflet or the limb tells it.
#least_arrow_mass = "{least}"
# Draw length: at full draw from the string's nock point to the grip's deepest place, plus 1¾ in
# (44 mm). Have a second person mark the arrow, on the range; never let go of a string without an
# arrow on it.
#draw_length = "{draw}"
# Rest: how far the place on which the arrow lies stands before the grip's deepest place, toward
# the target; behind it less than 0, as "-15 mm". "shelf" when it lies on the bow's own shelf.
#rest = "{rest}"
# Brace height: string at rest to the grip's deepest place, at right angles to the string.
#brace_height = "{brace}"
# Arrow speed as it leaves the string, if you know it.
#launch_speed = "{speed}"
# No speed known? The maker's rated speed will do (taken at 70 lbf, 30 in and 350 gr).
#rated_speed = "{rated}"

# Chronograph: one block per reading; at = from the grip to the gate where it is read.
#[[bow.chronograph]]
#speed = "{speed}"
#at = "{at}"
#arrow_mass = "{other}"   # only if it was another arrow than the one below

[arrow]
# Mass of a whole arrow with its point: weigh three on a kitchen or grain scale, take the mean.
# The number below is a guess until you weigh yours.
mass = "{mass}"
# Outside diameter of the shaft: calliper, or the maker's table.
shaft_diameter = "6.0 mm"
# Length from the floor of the nock's groove to the end of the shaft, without the point.
#length = "{length}"
# "field" or "broadhead"
point = "field"
# Broadhead only: the circle that its blades cut as it flies, tip to tip; "none" for blades that
# are folded in until they hit.
#blade_diameter = "{blade}"
# Height of a vane above the shaft: ruler against the shaft.
#vane_height = "{vane}"

[sight]
# Peep height: at full draw (on the range, an arrow nocked and pointed at a butt), from the middle
# of the peep (your eye) down to the middle of the arrow, at right angles to the arrow. A photo
# from the side with a ruler in it helps.
#peep_height = "{peep}"
# Sight radius: at full draw, likewise, from the peep to the pin.
#sight_radius = "{radius}"
# How far the number on the scale moves (mm) when the pin moves 1 mm; leave out if unsure.
#reading_per_travel = "1.60 ± 0.05"
# Do the numbers on the scale get larger or smaller for farther targets?
farther = "increases"   # or "decreases"
# Further pins: how far each sits below the first, top one first.
#pins_below_first = ["9 mm", "17 mm"]
# From the (first) pin down to the lower edge of the housing, and the air you want over a vane.
#housing_below_pin = "23 mm"
#arrow_margin = "6 mm"
# Better: with the bow at rest lay an arrow on it, vanes under the sight, and lift it as far as the
# rest lets it rise. Turn the sight down until the housing just clears it; write that reading.
#clearance_reading = "78 mm"
# Readings at the two ends of the sight's travel.
#travel_ends = ["0 mm", "85 mm"]
# Turn ten clicks, read how far the scale (or, sideways, the pin) moved, divide by ten.
#elevation_click = "0.10 mm"
#windage_click = "0.10 mm"

[archer]
# The miss that is still good to you, as a radius.
tolerance = "{tolerance}"
# How well you know distances, if better or worse than half a per cent.
#distance_error = "{distance}"
# How well you can read the pointer on the scale.
#reading_error = "0.1 mm"

[air]
# Where you shoot. Altitude alone will do in place of a barometer. If you read a barometer at the
# line, write pressure; a weather report's figure is sea_level_pressure and needs the altitude.
temperature = "{temperature}"
altitude = "{altitude}"
#pressure = "980 hPa"
#sea_level_pressure = "1013 hPa"
#humidity = "50 %"

[checks]
# The check list before the first arrow: look at each, then write "sound" or "damaged" and take
# the # away. One that is damaged stops the rig until it is mended and ticked sound.
# Press work, cams and peep belong to a qualified technician; the rest you can look at yourself.
# Limbs, cams, string and cables: no crack, splinter, dent, broken strand or loose serving.
#bow = "sound"
# Shafts: bend each gently beside your ear; a crack, loose point or split nock ends its life.
#shafts = "sound"
# Rest: nothing loose; the arrow stays on it through the whole draw.
#rest = "sound"
# Centre shot: seen from behind, string, arrow and pin stand in one line.
#centre_shot = "sound"
# Nock: snaps on, lets go with a light tap, and sits at the same height each time.
#nock = "sound"
# Timing: both cams reach their stops together (a technician's work). No cams: sound.
#timing = "sound"
# Peep: stands straight to the eye at full draw and cannot slip. No peep: sound.
#peep = "sound"
# Screws: limb bolts, sight, rest, quiver and stabilizer are tight.
#screws = "sound"
"""
