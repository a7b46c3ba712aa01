"""House fields: what a shop or a club may write of its usual values, declared once.

From here come the reader, the commented file, the form in the browser and the docs' reference.

Holds:  every table and key of house.toml: limits, examples, words and measuring.
Never:  how a value is read (house_values.py), where it stands in for a silent sheet (calibration).
Source: limits and how to measure are common practice, no source; as in rig_sheet_fields.py.
"""

from tapewright.reading.rig_sheet_fields import KEYS
from tapewright.reading.sheet_schema import Declared, Key, Table

MOST = 100  # rows of a table
_DRAG, _TRAVEL = KEYS["arrow.drag_coefficient"], KEYS["sight.reading_per_travel"]
_DISPERSION = KEYS["archer.dispersion"]
_PLUS_MINUS = " With its ±: one number for many arrows is never exact."

# fmt: off
_TOP = Table(
    title="House values",
    intro="House values: what a shop or a club knows of what it sells and of who shoots there. "
    "They stand in where a rig sheet is silent, and are named wherever they are used; what a sheet "
    "states is never replaced. Lines that begin with # are not read. Every number needs its ±: "
    "the truth lies within it two times in three, counted over all that goes by the name. A block "
    "without a name of its kind serves every sheet that names none; one with a name serves sheets "
    "that name it, word for word, capitals aside.",
    keys={
        "name": Key("Whose values", examples=("Reed Lane Archers",), needed=True, begun=True,
            purpose="Your shop or club: whoever uses a value reads whose it is."),
    },
)
_ARROW = Table(
    title="Arrows", most=MOST, row="kind of arrow", faults_at="drag_coefficient",
    about="Drag of the kinds of arrow that you know from many bows.",
    intro="Drag: one block for each kind of arrow, found from arrows at far targets (the unknown "
    '"drag coefficient" in what tapewright fit says). Give it a name: a drag of another kind of '
    "arrow promises more than it knows.",
    keys={
        "kind": Key("Kind of arrow", examples=("thin carbon",),
            purpose="The name that rig sheets give, under Arrow: kind."),
        "drag_coefficient": Key("Drag, field point", limits=_DRAG.limits, usual=_DRAG.usual,
            doubt=True, examples=("2.05 ± 0.10",),
            purpose="On the shaft's cross-section." + _PLUS_MINUS),
        "broadhead_drag_coefficient": Key("Drag, broadhead", limits=_DRAG.limits,
            usual=_DRAG.usual, doubt=True, examples=("2.70 ± 0.20",),
            purpose="The same with a broadhead." + _PLUS_MINUS),
    },
)
_CHRONOGRAPH = Table(
    title="Chronographs", most=MOST, row="chronograph", faults_at="reads",
    about="What yours reads where the truth is known.",
    intro="Chronograph: one block for each instrument whose error you know.",
    keys={
        "instrument": Key("Chronograph", examples=("counter",),
            purpose="The name that rig sheets give beside a reading, under Chronograph: "
            "instrument. Without a name it serves every reading that names none."),
        "reads": Key("Reads, of the true speed", unit="%", limits=(80, 120), usual=(95, 105),
            doubt=True, needed=True, examples=("101.2 % ± 0.4",),
            purpose="101.2 % reads 1.2 % too high. The readings on a sheet stay as they were read; "
            "what they mean is corrected, and one doubt is shared by all of them.",
            measure="Shoot the same arrow through it and through one that was compared with a "
            "known speed, or compare with speeds that calibrated tapes found. Five bows or more."),
    },
)
_SIGHT = Table(
    title="Sights", most=MOST, row="kind of sight", faults_at="reading_per_travel",
    about="Reading per travel of the sights you sell: what buys most.",
    intro="Reading per travel: one block for each sight you sell. It is the same for all of them, "
    "so you measure it once, and no customer has to. Nothing else on a sheet saves as many arrows.",
    keys={
        "kind": Key("Kind of sight", examples=("counter slider",),
            purpose="The name that rig sheets give, under Sight: kind."),
        "reading_per_travel": Key("Reading per travel", limits=_TRAVEL.limits, doubt=True,
            needed=True, examples=("1.573 ± 0.010",), drawing=_TRAVEL.drawing,
            purpose="Aim at ±1 %. Measure three of a kind, to see how far they differ.",
            measure=_TRAVEL.measure.replace(" If unsure leave it open.", "")),
    },
)
_ARCHER = Table(
    title="Archers", most=MOST, row="kind of archer", faults_at="dispersion",
    about="How far the arrows of your archers spread.",
    intro="Dispersion: one block for each kind of archer. It decides how much few arrows count; "
    "their own groups soon say it better.",
    keys={
        "kind": Key("Kind of archer", examples=("first year",),
            purpose="The name that rig sheets give, under Archer: kind."),
        "dispersion": Key("Dispersion", unit=_DISPERSION.unit, limits=_DISPERSION.limits,
            doubt=True, needed=True, examples=("0.9 mrad ± 0.3",),
            purpose=_DISPERSION.purpose + _PLUS_MINUS,
            measure="The middle of what tapewright fit says of many of them; ± how far they "
            "differ."),
    },
)
# fmt: on

HOUSE = Declared(
    "a file of house values",
    {
        "": _TOP,
        "sight": _SIGHT,
        "arrow": _ARROW,
        "chronograph": _CHRONOGRAPH,
        "archer": _ARCHER,
    },
)
