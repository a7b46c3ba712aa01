"""Sixty and more wrong uses of the front door: each says place, value and mend."""

import pytest
import wrong_uses

from tapewright.ground.errors import TapewrightError

SAID = {
    "part of the check list that is none": (
        "rig.damaged[0]: 'bows' is none of its words. Give one of 'bow', 'shafts', 'rest', "
        "'centre_shot', 'nock', 'timing', 'peep', 'screws'."
    ),
    "tick that is none": (
        "rig.rules[0]: 'two_pins' is none of its words. Give one of 'paper_only', 'no_notes', "
        "'one_pin', 'no_electronics'."
    ),
    "bad shot in words": (
        "observations[0].group.impacts[0].called_bad: 'no' is neither True nor False. Give one "
        "of the two."
    ),
    "day the other way round": (
        "observations[0].date: '14.5.2026' is no day. Write it as \"2026-05-14\", or leave it out."
    ),
    "scale that stands still": (
        "bow.scale.reading_per_tangent_m: 0 would give every distance one mark. Give K in "
        "metres, such as 1.34."
    ),
    "doubt below zero": (
        "Belief.sd: -1 is not above 0. Give one standard deviation, or leave it out when "
        "nobody said."
    ),
    "doubt of nothing": (
        "Belief.sd: 0 is not above 0. Give one standard deviation, or leave it out when "
        "nobody said."
    ),
    "value that is not there": (
        "Belief.value: nan is not finite. Give it in SI units, such as Belief(0.0272, 0.0001)."
    ),
    "value with its unit": (
        "Belief.value: '84.7 m/s' is no number. Give it in SI units, such as Belief(0.0272, "
        "0.0001)."
    ),
    "truth for a number": (
        "Belief.value: True is no number. Give it in SI units, such as Belief(0.0272, 0.0001)."
    ),
    "value that no float holds": (
        "Belief.value: inf is not finite. Give it in SI units, such as Belief(0.0272, 0.0001)."
    ),
    "one damaged part, no tuple": (
        "Rig.damaged: 'shafts' is no tuple of str. Give parts of the check list, such as "
        '("shafts", "nock").'
    ),
    "day that is no text": (
        'Observation.date: a date is no text. Give a text, such as "2026-05-14".'
    ),
    "number of an arrow, bare": 'Impact.arrow: 7 is no text. Give a text, such as "7".',
    "frame with a number that no float holds": (
        "frame, row 0, column up_cm: inf is no number that can be. Give NaN for what is not known."
    ),
    "frame whose index is called like a column": (
        "frame: a level of its index is called like another level or a column. Give them "
        "different names, or leave one out."
    ),
    "frame with a rig and its notes": (
        "rig: a tuple is no Rig. Give Rig(...), or rig, notes = load_rig_sheet(path)."
    ),
    "slopes that do not go with distances": (
        "distance_m: shapes () and (3,) and (2,) do not go together. Give one row of "
        "distances; draws stand along the first axis, as bows() has them."
    ),
    "bow without a scale": "bow.scale: 1.34 is no Scale. Give Scale(0.004, 1.34, 0.838).",
    "bow with a scale in words": (
        "bow.scale.zero_reading_m: '4 mm' is no array of numbers. Give it in metres, such as "
        "0.0461."
    ),
    "law for a shape": (
        "bow.shape: a TransitionDrag is no DragShape. Leave it out, or take "
        "answer.posterior.bows() of a rig with Arrow(drag_law=...)."
    ),
    "mass without a doubt's record": (
        "Arrow.mass_kg: 0.0272 is no Belief. Give it in kilograms, such as Belief(0.0272, "
        "its standard deviation)."
    ),
    "mass below zero": (
        "Arrow.mass_kg: -0.0272 is outside 0.001 to 0.2 kilograms. Give it in kilograms, "
        "such as Belief(0.0272, its standard deviation)."
    ),
    "mass in grams": (
        "Arrow.mass_kg: 27.2 is outside 0.001 to 0.2 kilograms. Give it in kilograms, such "
        "as Belief(0.0272, its standard deviation)."
    ),
    "mass left out": (
        "Arrow.mass_kg: None is no Belief. Give it in kilograms, such as Belief(0.0272, its "
        "standard deviation)."
    ),
    "shaft in millimetres": (
        "Arrow.shaft_diameter_m: 6 is outside 0.001 to 0.03 metres. Give it in metres, such "
        "as 0.006."
    ),
    "point of no kind": (
        "Arrow.point: 'blunt' is none of its words. Give one of 'field', 'broadhead'."
    ),
    "law that is a function": (
        "Arrow.drag_law: a builtin_function_or_method is no drag law. "
        "Give TransitionDrag(...) or TabulatedDrag(...)."
    ),
    "speed in feet a second": (
        "Bow.launch_speed_mps: 278 is outside 5 to 200 metres a second. Give it in metres a "
        "second, such as Belief(84.7, its standard deviation)."
    ),
    "draw weight in words": (
        "Bow.draw_weight_n: '60 lbf' is no number. Give it in newtons, such as 267.0."
    ),
    "one chronograph, no tuple": (
        "Bow.chronograph: a Chronograph is no tuple of Chronograph. Give "
        "Chronograph(Belief(84.7, 0.9), at_m=0.91), one for each reading."
    ),
    "kind of no bow": (
        "Bow.kind: 'crossbow' is none of its words. Give one of None, 'compound', 'recurve', "
        "'longbow'."
    ),
    "peep in inches": (
        "Sight.peep_height_m: 4.6 is outside 0.001 to 0.5 metres. Give it in metres, such as "
        "Belief(0.117, its standard deviation)."
    ),
    "numbers that run up": (
        "Sight.farther: 'up' is none of its words. Give one of 'increases', 'decreases'."
    ),
    "pins as bare numbers": (
        "Sight.pins_below_first_m[0]: 0.009 is no Belief. Give Belief(0.009, 0.0002) for "
        "each pin below the first, in metres."
    ),
    "travel from far to near": (
        "Sight.travel_ends_m: 0.08 is not below -0.002. Give two readings in metres, such as "
        "(0.0, 0.08), the smaller first."
    ),
    "dispersion in milliradians": (
        "Archer.dispersion_rad: 0.6 is outside 1e-06 to 0.2 radians. Give it in radians, "
        "such as Belief(0.0006, its standard deviation)."
    ),
    "tolerance in inches": (
        "Archer.tolerance_m: 3 is outside 0.0001 to 2 metres. Give it in metres, such as 0.0762."
    ),
    "reading error in millimetres": (
        "Archer.reading_sd_m: 0.1 is outside 1e-09 to 0.05 metres. Give it in metres, such "
        "as 0.0001."
    ),
    "distances of no source": (
        "Archer.distances: 'gps' is none of its words. Give one of '', 'tape', 'range "
        "finder', 'pegs', 'paces'."
    ),
    "belief without doubt": (
        "Beliefs.wobble_rad: it says no doubt. Give Belief(0.0002, its standard deviation)."
    ),
    "arrow in the bow's place": "Rig.bow: an Arrow is no Bow. Give Bow(...).",
    "hand of no side": "Rig.hand: 'Right' is none of its words. Give one of 'right', 'left'.",
    "air in degrees": (
        "Air.temperature_k: 15 is outside 150 to 1000 kelvins. Give it in kelvins, such as 288.15."
    ),
    "air in hectopascals": (
        "Air.pressure_pa: 1013.25 is outside 10000 to 200000 pascals. Give it in pascals, "
        "such as 101325.0."
    ),
    "table that falls": "TabulatedDrag.reynolds: they do not grow. Give the smallest first.",
    "table of two lengths": (
        "TabulatedDrag.reynolds: 3 numbers for 2 coefficients. Give two or more, a "
        "coefficient for each."
    ),
    "impact not measured, as nan": (
        "Impact.right_m: nan is not finite. Give None for what is not known."
    ),
    "impact in millimetres": (
        "Impact.right_m: 38 is outside -8 to 8 metres. Give it in metres, such as 0.0381."
    ),
    "half an arrow": (
        "Impact.arrows: 2.5 is not a whole number from 1 to 10000. Give a count such as 1."
    ),
    "impacts as an array": (
        "Group.impacts: a ndarray is no tuple of Impact. Give Impact(right_m, up_m) for each arrow."
    ),
    "pair for an impact": (
        "Group.impacts[0]: a tuple is no Impact. Give Impact(right_m, up_m) for each arrow."
    ),
    "reading in millimetres": (
        "Observation.reading_m: 46.1 is outside -1 to 1 metres. Give it in metres, such as 0.0461."
    ),
    "distance of nothing": (
        "Observation.distance_m: 0 is outside 0.5 to 500 metres. Give it in metres, such as 54.864."
    ),
    "slope in degrees": (
        "Observation.slope_rad: 12 is outside -1.3 to 1.3 radians. Give it in radians, such as 0.2."
    ),
    "pin from nought": (
        "Observation.pin: 0 is not a whole number from 1 to 20. Give a count such as 1."
    ),
    "array for a distance": (
        "Observation.distance_m: a ndarray is no number. Give it in metres, such as 54.864."
    ),
    "sheet that is not there": ("nowhere.toml: there is no such file. Check its name and folder."),
    "sheet as its text": (
        "file: this is a text of several lines, not the path of a file. Give its path, or "
        "io.StringIO(text)."
    ),
    "sheet from a number": (
        "file: an int is no file. Give the path of a file, or a file opened for reading."
    ),
    "shots from a frame": (
        "shots: a DataFrame is no file. Give its columns to observations_from_frame."
    ),
    "shots from a closed file": (
        "file: it cannot be read: i/o operation on closed file. Open it for reading, and "
        "close it later."
    ),
    "frame without a unit": (
        'frame, columns, column "distance": "distance" has no unit. Write distance_yd, '
        "distance_m or distance_ft."
    ),
    "frame with a unit of another kind": (
        'frame, columns, column "reading_kg": "reading_kg" is a mass, where a length is '
        "wanted. Write reading_mm, reading_cm or reading_in."
    ),
    "unit for a column that has one": (
        'frame, units of "distance_m": the column\'s name says its unit already, or its '
        "values have none. Leave it out of units."
    ),
    "unit for no column": (
        'frame, units of "slope": there is no such column. There are distance_m, reading_mm, '
        "right_cm, up_cm."
    ),
    "frame with numbers and their unit": (
        'frame, row 0, column reading_mm: "46.1 mm" carries "mm", where a plain number is '
        "wanted; likewise row 1. Write a number such as 31.2, without a unit: the header "
        "says mm."
    ),
    "frame of quantities": (
        "frame, row 0, column reading_mm: a Quantity is no number and no text. Give plain "
        "numbers; the column's name says their unit."
    ),
    "frame without readings": (
        "frame, columns: there is no column for the reading. Write a header such as "
        "group,distance_yd,reading_mm,right_in,up_in."
    ),
    "frame with a column nobody knows": (
        'frame, columns, column "humidity": no column has that name. '
        "Known are distance, reading, right, up, …"
    ),
    "frame of two lengths": (
        "frame: its columns have different lengths: distance_m 2, reading_mm 2, right_cm 2, "
        "up_cm 1. Give each as many rows, NaN for what was not measured."
    ),
    "frame with infinity": (
        "frame, row 1, column up_cm: -inf is no number that can be. Give NaN for what is not known."
    ),
    "frame with metres for centimetres": (
        "frame, row 1, column up_cm: 900 cm is 9 m, above the limit of 3 m. Check number and "
        "unit; -3 to 3 m is right."
    ),
    "frame that is an array": (
        "frame: a ndarray has no columns. Give columns of a data frame, or a dict of lists; "
        "a file goes through load_shots."
    ),
    "frame whose columns have numbers": (
        'frame: a column is called "0", which is no text. Name each column, such as distance_m.'
    ),
    "frame with a group of two distances": (
        'frame, row 1, column distance: group "a" has another distance here than on row 0. '
        "Make the two agree, or give the rows that differ another group name."
    ),
    "frame that runs the wrong way": (
        "frame, rows 0 and 1, columns distance and reading: readings run against farther = "
        '"increases" in the rig sheet. If the numbers run the other way, set farther = '
        '"decreases"; else correct the rows.'
    ),
    "path for a rig": (
        "rig: 'heron.toml' is the path of a file. Give Rig(...), or rig, notes = "
        "load_rig_sheet(path)."
    ),
    "rig with its notes": (
        "rig: it is a tuple, as load_rig_sheet gives. Give Rig(...), or rig, notes = "
        "load_rig_sheet(path)."
    ),
    "groups with their notes": (
        "observations: it is groups and notes together. Give the groups alone: shots, notes "
        "= load_shots(path)."
    ),
    "frame for groups": (
        "observations: a DataFrame is no tuple of Observation. Give shots, notes = "
        "observations_from_frame(frame)."
    ),
    "nothing for groups": (
        "observations: None is no tuple of Observation. Give a tuple of Observation, such as "
        "shots, notes = load_shots(path); () for none."
    ),
    "group without an arrow": (
        "observations[0]: its group has no arrow. Give Group(name, impacts) with one or more."
    ),
    "pin that is not there": (
        "observations[0]: pin 3 is aimed with, and the rig has 2. Add it to "
        "Sight.pins_below_first_m."
    ),
    "distances in words": (
        "distance_m: a list is no array of plain numbers. Give it in metres, such as [18.0, "
        "54.864]."
    ),
    "distance behind the archer": (
        "distance_m[1]: -20 is outside 2 to 500 metres. Give it in metres, such as [18.0, 54.864]."
    ),
    "distance that is not there": (
        "distance_m[1]: nan is not finite. Give it in metres, such as [18.0, 54.864]."
    ),
    "square of distances": (
        "distance_m: it has 2 axes. Give one row of distances, such as [18.0, 54.864]."
    ),
    "per cent for a chance": (
        "probability: 90 is outside 0.01 to 0.999. Give it bare, such as 0.9 for 90 %."
    ),
    "answer for a posterior": "posterior: an Answer is no Posterior. Give answer.posterior.",
    "third pin of two": "pin: 3 is not a whole number from 1 to 2. Give a count such as 1.",
    "generator for a seed": (
        "seed: a Generator is not a whole number from 0 to 4294967295. Give a count such as 0."
    ),
    "grid that falls": (
        "trust_grid_m[1]: 20 does not lie beyond 30. Give them growing, each once: np.unique(...)."
    ),
    "tolerance of nothing": (
        "tolerance_m: 0 is outside 0.0001 to 2 metres. Give it in metres, such as 0.0762."
    ),
    "posterior for a bow": (
        "bow: a Posterior is no SightedBow. Give answer.posterior.bows(), or SightedBow(...)."
    ),
    "bow in feet a second": (
        "bow.speed_mps: 278 is outside 5 to 200 metres a second. Give it in metres a second, "
        "such as 84.7."
    ),
    "aim that is a slope": "aim: 0.2 is no Aim. Give Aim(slope_rad=0.2), or leave it out.",
    "aim in degrees": (
        "aim.slope_rad: 12 is outside -1.3 to 1.3 radians. Give it in radians, such as 0.2."
    ),
    "dialled in millimetres": (
        "reading_m: 46.1 is outside -1 to 1 metres. Give it in metres, such as 0.0461."
    ),
    "shapes that do not go together": (
        "distance_m: shapes () and (2,) and (3,) do not go together. Give one row of "
        "distances; draws stand along the first axis, as bows() has them."
    ),
    "distance out of reach": (
        "No launch angle carries this arrow to 200.0 m. Ask for a shorter distance, or check "
        "arrow speed and mass."
    ),
    "frame of no library": (
        "marks_frame, into: a str makes no frame. Give what makes a frame of a dict of "
        "columns, such as polars.DataFrame."
    ),
    "picture of no kind": (
        "plot, what: 'tape' is none of its words. Give one of 'marks', 'flight', 'slopes', "
        "'budget'."
    ),
    "picture on nothing": (
        "plot, axes: a str cannot be drawn on. Give matplotlib's Axes, or leave it out for a "
        "figure of its own."
    ),
}


@pytest.mark.parametrize("use", wrong_uses.WRONG)
def test_what_cannot_be_meant_is_told_with_place_value_and_mend(use, bench):
    if use == "name that is not there":
        with pytest.raises(AttributeError, match="has no 'Tapes'; it has Aim, Air, Answer"):
            wrong_uses.WRONG[use](bench)
        return
    with pytest.raises(TapewrightError) as told:
        wrong_uses.WRONG[use](bench)
    said = SAID[use]
    told_all = str(told.value)
    assert told_all == said or (said.endswith("…") and told_all.startswith(said[:-1]))


def test_sixty_uses_and_more_are_tried():
    assert len(wrong_uses.WRONG) >= 60
    assert len(set(SAID.values())) >= 60
