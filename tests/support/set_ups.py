"""Set-ups: rig sheets that must not be shot, and odd ones that may, all made from the sample.

Holds:  twenty of each, with what must be told of them.
Never:  tests.
"""

from importlib.resources import files

HERON = (files("tapewright.faces") / "sample" / "heron.toml").read_text(encoding="utf-8")
SHOTS = (files("tapewright.faces") / "sample" / "heron-shots.csv").read_text(encoding="utf-8")


def sheet(*edits):
    """The sample's sheet with some lines changed; every edit must find its line."""
    text = HERON
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


MASS, WEIGHT, SPEED = '"420 gr ± 2"', 'draw_weight = "60 lbf"', '"278 ft/s ± 3"'
LENGTH, DRAW, REST = 'length = "28.5 in"', 'draw_length = "29 in"', 'rest = "5 mm"'
POINT, HOUSING, PEEP = 'point = "field"', '"23 mm"', '"4.6 in ± 0.15"'
END = 'humidity = "50 %"'


def _checks(*lines):
    return (END, "\n".join([END, "[checks]", *lines]))


# Why it must not be shot, as stops name it → the sheet.
STOPPED = {
    "light: 250 gr at 60 lbf": ("light arrow", sheet((MASS, '"250 gr"'))),
    "light: 299 gr at 60 lbf": ("light arrow", sheet((MASS, '"299 gr ± 2"'))),
    "light: 420 gr at 85 lbf": ("light arrow", sheet((WEIGHT, 'draw_weight = "85 lbf"'))),
    "light: the maker asks for 421 gr": (
        "light arrow",
        sheet((WEIGHT, f'{WEIGHT}\nleast_arrow_mass = "421 gr"')),
    ),
    "light: the maker asks, nobody weighed the bow": (
        "light arrow",
        sheet((WEIGHT, 'least_arrow_mass = "400 gr"'), (MASS, '"380 gr"')),
    ),
    "fast: 370 ft/s with 250 gr, no draw weight": (
        "fast arrow",
        sheet((f"{WEIGHT}\n", ""), (MASS, '"250 gr"'), (SPEED, '"370 ft/s"')),
    ),
    "fast: 400 ft/s with 420 gr": ("fast arrow", sheet((SPEED, '"400 ft/s"'))),
    "fast: a chronograph's 390 ft/s": (
        "fast arrow",
        sheet((REST, f'{REST}\n[[bow.chronograph]]\nspeed = "390 ft/s"\nat = "1 yd"')),
    ),
    "short: 27.3 in at 29 in": ("short arrow", sheet((LENGTH, 'length = "27.3 in"'))),
    "short: 27.3 in at 29 in, broadhead": (
        "short arrow",
        sheet((LENGTH, 'length = "27.3 in"'), (POINT, 'point = "broadhead"')),
    ),
    "short: blades 19 mm before the rest": (
        "short arrow",
        sheet(
            (LENGTH, 'length = "28.2 in"'),
            (POINT, 'point = "broadhead"\nblade_diameter = "29 mm"'),
        ),
    ),
    "short: drawn to 30 in": ("short arrow", sheet((DRAW, 'draw_length = "30 in"'))),
    "short: the rest far out": ("short arrow", sheet((REST, 'rest = "25 mm"'))),
    "short: behind the grip, no rest said": (
        "short arrow",
        sheet((LENGTH, 'length = "27 in"'), (f"{REST}\n", "")),
    ),
    "housing: 95 mm under the pin": ("housing", sheet((HOUSING, '"95 mm"'))),
    "housing: a low peep": ("housing", sheet((PEEP, '"1.8 in ± 0.05"'))),
    "blades: 60 mm wide": (
        "blades",
        sheet((HOUSING, '"78 mm"'), (POINT, 'point = "broadhead"\nblade_diameter = "60 mm"')),
    ),
    "damaged: bow": ("damaged", sheet(_checks('bow = "damaged"'))),
    "damaged: shafts": ("damaged", sheet(_checks('bow = "sound"', 'shafts = "damaged"'))),
    "damaged: peep and screws": (
        "damaged",
        sheet(_checks('peep = "damaged"', 'screws = "damaged"')),
    ),
}

# What is odd → the sheet, and a word of its caution.
ODD = {
    "just heavy enough": ("hardly more", sheet((MASS, '"300 gr ± 2"'))),
    "heavy enough, badly weighed": ("hardly more", sheet((MASS, '"302 gr ± 5"'))),
    "just what the maker asks": (
        "hardly more",
        sheet((WEIGHT, f'{WEIGHT}\nleast_arrow_mass = "419 gr"')),
    ),
    "a short shaft": ("before the rest", sheet((LENGTH, 'length = "28 in"'))),
    "over the hand": (
        "over the hand",
        sheet((LENGTH, 'length = "27 in"'), (REST, 'rest = "-30 mm"')),
    ),
    "a high peep": ("unusual", sheet((PEEP, '"7.2 in"'))),
    "a low peep": ("unusual", sheet((PEEP, '"2.4 in"'))),
    "a near pin": ("unusual", sheet(('"33 in ± 0.5"', '"19 in"'))),
    "a far pin": ("unusual", sheet(('"33 in ± 0.5"', '"46 in"'))),
    "a slow bow": ("unusual", sheet((SPEED, '"129 ft/s"'))),
    "little drag": ("unusual", sheet((POINT, f'{POINT}\ndrag_coefficient = "0.9"'))),
    "much drag": ("unusual", sheet((POINT, f'{POINT}\ndrag_coefficient = "4.1"'))),
    "a doubt not used": ("± is not used", sheet((WEIGHT, 'draw_weight = "60 lbf ± 1"'))),
    "a rating without speed": (
        "not used without rated_speed",
        sheet((REST, f'{REST}\nrated_arrow_mass = "350 gr"')),
    ),
    "a chronograph nobody placed": (
        "at is not said",
        sheet((REST, f'{REST}\n[[bow.chronograph]]\nspeed = "276 ft/s"')),
    ),
    "an arm without length": (
        "arm_length",
        sheet((HOUSING, '"23 mm"\narm_level_reading = "3 mm"')),
    ),
    "a margin to nothing": (
        "housing_below_pin",
        sheet(('housing_below_pin = "23 mm"', 'arrow_margin = "6 mm"')),
    ),
    "a report's pressure": ("sea_level_pressure", sheet((END, 'altitude = "1500 m"'))),
    "no air": ("no air is said", HERON[: HERON.index("[air]")]),
    "blades inside the shaft": (
        "smaller circle",
        sheet(
            ('"6.0 mm"', '"9.5 mm"'),
            (POINT, 'point = "broadhead"\nblade_diameter = "9 mm"'),
        ),
    ),
}
