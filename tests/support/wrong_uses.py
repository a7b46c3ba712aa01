"""Wrong uses: what people do to the front door that cannot be meant.

Holds:  a name and a call for each, of rig, shots and answer of the sample.
Never:  what is said (test_wrong_uses.py).
"""

import io
from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd

import tapewright.api as tw

ARROW = {"mass_kg": tw.Belief(0.0272, 0.0001), "shaft_diameter_m": 0.006}
HIT = tw.Impact(0.01, -0.02)
GROUP = tw.Group("far", (HIT,))
FRAME = {
    "distance_m": [50.0, 50.0],
    "reading_mm": [46.1, 46.1],
    "right_cm": [1, 2],
    "up_cm": [0, -3],
}
BOW = tw.SightedBow(84.7, 0.0018, 0.117, 1.2, tw.Scale(0.004, 1.34, 0.838))


def shot(**more):
    """An observation, some of it otherwise."""
    return tw.Observation(**({"group": GROUP, "distance_m": 50.0, "reading_m": 0.046} | more))


def frame(**more):
    """The frame's columns, some of them otherwise; None takes one away."""
    return {name: column for name, column in (FRAME | more).items() if column is not None}


def read(columns, **more):
    """Columns read."""
    return tw.observations_from_frame(columns, **more)


class Quantity:
    """A number with its unit, as some libraries have it."""

    magnitude, units = 46.1, "mm"


WRONG = {
    # numbers with their doubt
    "doubt below zero": lambda _: tw.Belief(1.0, -1),
    "doubt of nothing": lambda _: tw.Belief(84.7, 0.0),
    "value that is not there": lambda _: tw.Belief(float("nan"), 0.1),
    "value with its unit": lambda _: tw.Belief("84.7 m/s"),
    "truth for a number": lambda _: tw.Belief(value=True),
    "value that no float holds": lambda _: tw.Belief(10**400),
    # parts of a rig
    "mass without a doubt's record": lambda _: tw.Arrow(mass_kg=0.0272, shaft_diameter_m=0.006),
    "mass below zero": lambda _: tw.Arrow(mass_kg=tw.Belief(-0.0272), shaft_diameter_m=0.006),
    "mass in grams": lambda _: tw.Arrow(mass_kg=tw.Belief(27.2, 0.1), shaft_diameter_m=0.006),
    "mass left out": lambda _: tw.Arrow(mass_kg=None, shaft_diameter_m=0.006),
    "shaft in millimetres": lambda _: tw.Arrow(**ARROW | {"shaft_diameter_m": 6.0}),
    "point of no kind": lambda _: tw.Arrow(**ARROW, point="blunt"),
    "law that is a function": lambda _: tw.Arrow(**ARROW, drag_law=max),
    "speed in feet a second": lambda _: tw.Bow(launch_speed_mps=tw.Belief(278.0, 3.0)),
    "draw weight in words": lambda _: tw.Bow(draw_weight_n="60 lbf"),
    "one chronograph, no tuple": lambda _: tw.Bow(
        chronograph=tw.Chronograph(tw.Belief(84.1, 0.4), 0.91)
    ),
    "kind of no bow": lambda _: tw.Bow(kind="crossbow"),
    "peep in inches": lambda _: tw.Sight(peep_height_m=tw.Belief(4.6, 0.15)),
    "numbers that run up": lambda _: tw.Sight(farther="up"),
    "pins as bare numbers": lambda _: tw.Sight(pins_below_first_m=(0.009, 0.017)),
    "travel from far to near": lambda _: tw.Sight(travel_ends_m=(0.08, -0.002)),
    "dispersion in milliradians": lambda _: tw.Archer(dispersion_rad=tw.Belief(0.6, 0.1)),
    "tolerance in inches": lambda _: tw.Archer(tolerance_m=3.0),
    "reading error in millimetres": lambda _: tw.Archer(reading_sd_m=0.1),
    "distances of no source": lambda _: tw.Archer(distances="gps"),
    "belief without doubt": lambda _: tw.Beliefs(wobble_rad=tw.Belief(2e-4)),
    "arrow in the bow's place": lambda _: tw.Rig("Heron", tw.Arrow(**ARROW), tw.Arrow(**ARROW)),
    "hand of no side": lambda _: tw.Rig("Heron", tw.Arrow(**ARROW), hand="Right"),
    "air in degrees": lambda _: tw.Air(15.0, 101325.0),
    "air in hectopascals": lambda _: tw.Air(288.15, 1013.25),
    "table that falls": lambda _: tw.TabulatedDrag((4e4, 1e4), (2.6, 1.5)),
    "table of two lengths": lambda _: tw.TabulatedDrag((1e4, 2e4, 4e4), (1.5, 2.6)),
    "one damaged part, no tuple": lambda _: tw.Rig("Heron", tw.Arrow(**ARROW), damaged="shafts"),
    # groups
    "day that is no text": lambda _: shot(date=date(2026, 5, 14)),
    "number of an arrow, bare": lambda _: tw.Impact(0.01, 0.02, arrow=7),
    "impact not measured, as nan": lambda _: tw.Impact(float("nan"), 0.02),
    "impact in millimetres": lambda _: tw.Impact(38.0, -51.0),
    "half an arrow": lambda _: tw.Impact(0.01, 0.02, arrows=2.5),
    "impacts as an array": lambda _: tw.Group("far", np.array([[0.01, 0.02]])),
    "pair for an impact": lambda _: tw.Group("far", ((0.01, 0.02),)),
    "reading in millimetres": lambda _: shot(reading_m=46.1),
    "distance of nothing": lambda _: shot(distance_m=0.0),
    "slope in degrees": lambda _: shot(slope_rad=12.0),
    "pin from nought": lambda _: shot(pin=0),
    "array for a distance": lambda _: shot(distance_m=np.array([50.0])),
    # files and frames
    "sheet that is not there": lambda _: tw.load_rig_sheet("nowhere.toml"),
    "sheet as its text": lambda _: tw.load_rig_sheet('name = "Heron"\n[arrow]\n'),
    "sheet from a number": lambda _: tw.load_rig_sheet(7),
    "shots from a frame": lambda _: tw.load_shots(pd.DataFrame(FRAME)),
    "shots from a closed file": lambda _: tw.load_shots(closed()),
    "frame without a unit": lambda _: read(frame(distance_m=None, distance=[50, 50])),
    "frame with a unit of another kind": lambda _: read(
        frame(reading_mm=None, reading=[46.1, 46.1]), units={"reading": "kg"}
    ),
    "unit for a column that has one": lambda _: read(FRAME, units={"distance_m": "yd"}),
    "unit for no column": lambda _: read(FRAME, units={"slope": "deg"}),
    "frame with numbers and their unit": lambda _: read(frame(reading_mm=["46.1 mm", "46.1 mm"])),
    "frame of quantities": lambda _: read(frame(reading_mm=[Quantity(), Quantity()])),
    "frame without readings": lambda _: read(frame(reading_mm=None)),
    "frame with a column nobody knows": lambda _: read(frame(humidity=[0.5, 0.5])),
    "frame of two lengths": lambda _: read(frame(up_cm=[0.0])),
    "frame with infinity": lambda _: read(frame(up_cm=[0.0, float("-inf")])),
    "frame with metres for centimetres": lambda _: read(frame(up_cm=[0.0, 900.0])),
    "frame with a number that no float holds": lambda _: read(frame(up_cm=[10**400, 0])),
    "frame whose index is called like a column": lambda _: read(
        pd.DataFrame(FRAME).set_index("up_cm", drop=False)
    ),
    "frame with a rig and its notes": lambda on: read(FRAME, rig=(on.rig, ())),
    "frame that is an array": lambda _: read(np.ones((3, 4))),
    "frame whose columns have numbers": lambda _: read(pd.DataFrame(np.ones((3, 4)))),
    "frame with a group of two distances": lambda _: read(
        frame(group=["a", "a"], distance_m=[50.0, 60.0])
    ),
    "frame that runs the wrong way": lambda on: read(
        frame(distance_m=[30.0, 70.0], reading_mm=[80.0, 20.0]), rig=on.rig
    ),
    # questions
    "path for a rig": lambda on: tw.calibrate("heron.toml", on.shots, [20.0]),
    "rig with its notes": lambda on: tw.calibrate((on.rig, ()), on.shots, [20.0]),
    "groups with their notes": lambda on: tw.calibrate(on.rig, (on.shots, ()), [20.0]),
    "frame for groups": lambda on: tw.calibrate(on.rig, pd.DataFrame(FRAME), [20.0]),
    "nothing for groups": lambda on: tw.calibrate(on.rig, None, [20.0]),
    "group without an arrow": lambda on: tw.calibrate(
        on.rig, (shot(group=tw.Group("far", ())),), [20.0]
    ),
    "pin that is not there": lambda on: tw.calibrate(on.rig, (shot(pin=3),), [20.0]),
    "distances in words": lambda on: tw.calibrate(on.rig, on.shots, ["20 yd", "60 yd"]),
    "distance behind the archer": lambda on: tw.bands(on.answer.posterior, [20.0, -20.0]),
    "distance that is not there": lambda on: tw.bands(on.answer.posterior, [20.0, np.nan]),
    "square of distances": lambda on: tw.bands(on.answer.posterior, [[20.0, 30.0], [40.0, 50.0]]),
    "per cent for a chance": lambda on: tw.bands(on.answer.posterior, [20.0], probability=90),
    "answer for a posterior": lambda on: tw.bands(on.answer, [20.0]),
    "third pin of two": lambda on: tw.bands(on.answer.posterior, [20.0], pin=3),
    "generator for a seed": lambda on: tw.calibrate(
        on.rig, on.shots, [20.0], seed=np.random.default_rng(1)
    ),
    "part of the check list that is none": lambda on: tw.calibrate(
        replace(on.rig, damaged=("bows",)), on.shots, [20.0]
    ),
    "tick that is none": lambda on: tw.calibrate(
        replace(on.rig, rules=("two_pins",)), on.shots, [20.0]
    ),
    "bad shot in words": lambda on: tw.calibrate(
        on.rig, [shot(group=tw.Group("a", (tw.Impact(0.0, 0.0, called_bad="no"),)))], [20.0]
    ),
    "day the other way round": lambda on: tw.calibrate(on.rig, [shot(date="14.5.2026")], [20.0]),
    "scale that stands still": lambda _: tw.mark(
        replace(BOW, scale=tw.Scale(0.004, 0.0, 0.838)), 20.0
    ),
    "grid that falls": lambda on: tw.calibrate(on.rig, on.shots, [20.0], [30.0, 20.0]),
    "tolerance of nothing": lambda on: tw.trusted_distance(on.answer.posterior, 0.0, [20.0]),
    "posterior for a bow": lambda on: tw.mark(on.answer.posterior, 20.0),
    "bow in feet a second": lambda _: tw.mark(replace(BOW, speed_mps=278.0), 20.0),
    "aim that is a slope": lambda _: tw.mark(BOW, 20.0, 0.2),
    "aim in degrees": lambda _: tw.mark(BOW, 20.0, tw.Aim(slope_rad=12.0)),
    "dialled in millimetres": lambda _: tw.impact(BOW, 20.0, 46.1),
    "shapes that do not go together": lambda _: tw.impact(BOW, [20.0, 30.0], [0.01, 0.02, 0.03]),
    "slopes that do not go with distances": lambda _: tw.mark(
        BOW, [20.0, 30.0], tw.Aim(slope_rad=np.array([0.1, 0.2, 0.3]))
    ),
    "bow without a scale": lambda _: tw.mark(replace(BOW, scale=1.34), 20.0),
    "bow with a scale in words": lambda _: tw.mark(
        replace(BOW, scale=tw.Scale("4 mm", 1.34, 0.838)), 20.0
    ),
    "law for a shape": lambda _: tw.mark(replace(BOW, shape=tw.TransitionDrag(15_000.0)), 20.0),
    "distance out of reach": lambda _: tw.mark(replace(BOW, speed_mps=20.0), 200.0),
    "frame of no library": lambda on: on.answer.marks_frame("pandas"),
    "picture of no kind": lambda on: on.answer.plot(what="tape"),
    "picture on nothing": lambda on: on.answer.plot(axes="left"),
    "name that is not there": lambda _: tw.Tapes,
}


def closed():
    """A file that was closed."""
    file = io.StringIO("distance_yd,reading_mm\n")
    file.close()
    return file
