"""Rigs: sheets and shots by chance, as text, with all that a sheet and a file may tell.

Arrows land about marks of a flight of our own, good to some centimetres: enough for answers that
are no refusals.  Among thirty are some that must not be shot and some that were never shot.

Holds:  one rig's files from a seed; the sample's companions: proof, change, tests, sets.
Never:  evidence: no number here is anybody's bow.
"""

import math
import random
from dataclasses import dataclass, field

GRAVITY = 9.81
UNIT_M = {"yd": 0.9144, "m": 1.0, "ft": 0.3048, "in": 0.0254, "cm": 0.01, "mm": 0.001}
KINDS = ("straight", "arm", "wheel")
FAR_YD = (10, 15, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80)
NO_SHOTS = "group,distance_yd,reading_mm,right_in,up_in\n"
SETS = """strip,distance_yd,position_mm
S1,20,0.0
S1,30,3.9
S1,40,9.2
S1,50,15.4
S1,60,22.4
S2,20,0.0
S2,30,4.5
S2,40,10.7
S2,50,18.0
S2,60,26.3
S3,20,0.0
S3,30,5.2
S3,40,12.5
S3,50,21.1
S3,60,30.9
"""
SIDES = """distance_yd,slope_deg,right_in,arrows
20,0,0.1,3
50,0,0.9,4
30,25,-0.7,3
30,-25,0.8,2
"""
TURNED = """group,distance_yd,clicks,up_in,windage_clicks,right_in
a,20,0,0.1,0,0.0
a,20,0,-0.2,0,0.2
b,20,30,3.9,0,0.1
b,20,30,4.2,0,-0.1
c,40,0,-0.1,0,0.1
c,40,30,8.3,20,5.5
"""


def season_text():
    """Twelve weeks of practice with four numbered arrows, the third of which hits to the left."""
    rows = ["group,distance_yd,reading_mm,right_in,up_in,date,arrow"]
    for week in range(12):
        for at, (yards, reading) in enumerate(((20, 16.1), (40, 30.06))):
            day = f"2031-{4 + week // 4:02d}-{1 + 7 * (week % 4) + at:02d}"
            for arrow in (1, 2, 3, 4):
                turn = 2.4 * (11 * week + 5 * at + arrow)
                right = yards * (0.02 * math.sin(turn) - 0.08 * (arrow == 3))
                up = yards * (0.02 * math.cos(1.7 * turn) - 0.003 * week)
                told = f"{right:.2f},{up:.2f},{day},{arrow}"
                rows.append(f"w{week}-{yards},{yards},{reading},{told}")
    return "\n".join(rows) + "\n"


@dataclass
class Rig:
    """One rig's files, and how its tape is read."""

    name: str
    files: dict[str, str] = field(default_factory=dict)
    kind: str = "straight"
    metric: bool = False
    stopped: bool = False


class Truth:
    """Where a sight must stand and arrows land, roughly."""

    def __init__(self, chance, kind, falls):
        self.speed_mps = chance.uniform(62.0, 98.0)
        self.drag_per_m = chance.uniform(0.0015, 0.003)
        self.peep_m = chance.uniform(0.095, 0.135)
        self.radius_m = chance.uniform(0.72, 0.92)
        self.ratio = {"straight": 1.0, "arm": 1.0, "wheel": 1.6}[kind] * chance.uniform(0.95, 1.05)
        self.side = -1.0 if falls else 1.0
        self.zero_m = chance.uniform(0.05, 0.07) if falls else chance.uniform(-0.14, -0.10)
        self.chance = chance

    def angle(self, distance_m, slope_deg=0.0):
        """Between line of sight and arrow. [rad]"""
        time_s = (math.exp(self.drag_per_m * distance_m) - 1.0) / (self.drag_per_m * self.speed_mps)
        drop_m = 0.5 * GRAVITY * time_s**2 * math.cos(math.radians(slope_deg))
        return (self.peep_m + drop_m) / distance_m

    def mark(self, distance_m, slope_deg=0.0, pin_m=0.0):
        """Reading along the scale. [m]"""
        way_m = self.radius_m * self.angle(distance_m, slope_deg) - pin_m
        return self.zero_m + self.side * self.ratio * way_m


def some(chance, share, **keys):
    """Lines of a sheet: each key with this chance."""
    return [f'{key} = "{text}"' for key, text in keys.items() if chance.random() < share]


def sheet(chance, name, truth, told):
    """A rig sheet with a part of all keys.

    Parameters
    ----------
    chance : Random
        Which keys.
    name : str
        Of the rig.
    truth : Truth
        What lies behind it.
    told : dict
        kind, falls, left, metric, pins_mm, stopped.
    """
    speed, peep = truth.speed_mps, truth.peep_m + chance.gauss(0.0, 0.003)
    metric, share = told["metric"], chance.choice((0.25, 0.5, 0.8))
    mass_gr = 235.0 if told["stopped"] == "light" else chance.uniform(360, 480)
    weight = 70 if told["stopped"] == "light" else chance.randint(38, 60)
    lines = ["schema = 1", f'name = "{name}"', f'hand = "{"left" if told["left"] else "right"}"']
    lines += ["[bow]"]
    lines += some(
        chance,
        0.9 if told["stopped"] == "light" else share,
        draw_weight=f"{weight / 2.2046:.1f} kgf" if metric else f"{weight} lbf",
    )
    if told["stopped"] == "light":
        lines += ['least_arrow_mass = "330 gr"']
    lines += some(
        chance,
        share,
        draw_length="71.5 cm" if metric else "28 1/4 in",
        brace_height="17 cm" if metric else "6.5 in",
        rest=chance.choice(("5 mm", "shelf", "-4 mm")),
    )
    if chance.random() < 0.7:
        shown = f"{speed:.1f} m/s ± 1" if metric else f"{speed / 0.3048:.0f} ft/s ± 3"
        lines += [f'launch_speed = "{shown}"']
    else:
        lines += [f'rated_speed = "{speed / 0.3048 + 45:.0f} ft/s ± 2 %"']
        lines += some(chance, share, rated_draw_weight="70 lbf", rated_draw_length="30 in")
        lines += some(chance, share, rated_arrow_mass="350 gr")
    if chance.random() < share / 2:
        lines += ["[[bow.chronograph]]", f'speed = "{speed - 0.5:.1f} m/s ± 0.9"']
        lines += some(chance, share, at="1 m" if metric else "1 yd")
    lines += ["[arrow]", f'mass = "{mass_gr:.0f} gr ± 2"']
    lines += [f'shaft_diameter = "{chance.choice((5.3, 5.9, 6.4, 7.1))} mm"']
    broad = chance.random() < 0.2
    lines += some(
        chance, share, length="28.75 in", vane_height="11 mm", drag_coefficient="2.1 ± 30 %"
    )
    lines += ['point = "broadhead"'] * broad
    lines += some(chance, share * broad, blade_diameter=chance.choice(("29 mm", "none")))
    lines += ["[sight]", *some(chance, share, peep_height=f"{1e3 * peep:.0f} mm ± 4")]
    lines += some(
        chance, share, sight_radius=f"{1e2 * truth.radius_m + chance.gauss(0, 1):.1f} cm ± 1.5"
    )
    lines += some(chance, share, reading_per_travel=f"{truth.ratio:.2f} ± 0.05")
    lines += [f'farther = "{"decreases" if told["falls"] else "increases"}"']
    if told["pins_mm"]:
        lines += [
            f"pins_below_first = {[f'{one} mm' for one in told['pins_mm']]}".replace("'", '"')
        ]
    lines += some(
        chance,
        share / 2,
        housing_below_pin="24 mm",
        elevation_click="0.12 mm",
        windage_click="0.07 mm",
        arrow_margin="5 mm",
    )
    if told["kind"] == "arm":
        lines += ['arm_length = "95 mm"', f'arm_level_reading = "{1e3 * truth.mark(25):.1f} mm"']
    lines += ["[archer]"]
    lines += some(
        chance,
        share / 2,
        dispersion="0.9 mrad",
        tolerance="8 cm" if metric else "3 in",
        distance_error="0.3 m",
        reading_error="0.15 mm",
    )
    lines += ["[air]", *some(chance, share, temperature="24 °C" if metric else "68 °F")]
    lines += chance.choice(
        ([], ['altitude = "640 m"'], ['pressure = "985 hPa"'],
         ['sea_level_pressure = "1020 hPa"', 'altitude = "310 m"'])
    )  # fmt: skip
    lines += some(chance, share / 2, humidity="35 %")
    checks = ("bow", "shafts", "rest", "centre_shot", "nock", "timing", "peep", "screws")
    ticked = {one: "sound" for one in checks if chance.random() < share}
    if told["stopped"] == "checks":
        ticked["shafts"] = "damaged"
    lines += ["[checks]", *(f'{key} = "{word}"' for key, word in ticked.items())]
    return "\n".join(lines) + "\n"


def shots(chance, truth, groups, pins_mm=(), *, proving=False):
    """A file of shots with columns and units by chance."""
    distance, reading = chance.choice(("yd", "m", "ft")), chance.choice(("mm", "cm", "in"))
    side = chance.choice(("in", "cm", "mm"))
    more = [one for one in MORE if chance.random() < 0.3]
    heads = [f"distance_{distance}", f"reading_{reading}", f"right_{side}", f"up_{side}"]
    heads = ["group"] * (chance.random() < 0.8 or proving) + heads
    heads += ["pin"] * bool(pins_mm) + [MORE[one] for one in more]
    rows = [heads]
    for number in range(1, groups + 1):
        far_m = chance.choice(FAR_YD[:: 3 if proving else 1]) * UNIT_M["yd"]
        slope = chance.choice((0, 0, 12, -18)) if "slope" in more else 0
        pin = chance.randint(1, 1 + len(pins_mm))
        pin_m = 0.0 if pin == 1 else 1e-3 * pins_mm[pin - 2]
        place_m = truth.mark(far_m, slope, pin_m) + chance.gauss(0.0, 2e-4)
        wind = chance.choice(("0", "6", "-9"))
        bare = not proving and not more and chance.random() < 0.15
        for _ in range(1 if bare else chance.randint(2, 5)):
            hit = [f"{chance.gauss(0, 9e-4) * far_m / UNIT_M[side]:.2f}" for _ in "xy"]
            row = [f"{far_m / UNIT_M[distance]:.2f}", f"{place_m / UNIT_M[reading]:.3f}"]
            row += ["", ""] if bare else hit
            row = ([f"g{number}"] if "group" in heads else []) + row
            row += [str(pin)] * bool(pins_mm)
            rows.append([*row, *(_cell(chance, one, slope, wind) for one in more)])
    mark = chance.choice((",", ",", ";", "\t"))
    swap = mark == ";" and chance.random() < 0.5
    written = ["# by chance", *(mark.join(one) for one in rows)]
    text = "\n".join(written) + "\n"
    return text.replace(".", ",") if swap else text


MORE = {
    "slope": "slope_deg", "temperature": "temperature_c", "pressure": "pressure_hpa",
    "altitude": "altitude_m", "crosswind": "crosswind_kmh", "note": "note",
}  # fmt: skip


def _cell(chance, column, slope, wind):
    """A cell of a column that not every file has."""
    return {
        "slope": str(slope),
        "temperature": "17.5",
        "pressure": "978",
        "altitude": "420",
        "crosswind": wind,
        "note": chance.choice(("", "", "", "gusty", "bad: plucked")),
    }[column]


def make_rig(number, seed):
    """The rig of a number: its sheet, shots, proof, changed sheet, shots since.

    Parameters
    ----------
    number : int
        Counts hands, kinds, directions and pins through, so that each comes with each.
    seed : int
        Of everything else.
    """
    chance = random.Random(f"{seed} {number}")  # noqa: S311 — to be repeated
    told = {
        "kind": KINDS[number % 3],
        "falls": number % 2 == 1,
        "left": number // 2 % 2 == 1,
        "metric": number // 3 % 2 == 1,
        "pins_mm": ((), (9,), (8, 15))[number // 2 % 3],
        "stopped": {4: "light", 9: "checks"}.get(number % 10, ""),
    }
    truth = Truth(chance, told["kind"], told["falls"])
    name = f"Rig {number:02}"
    text = sheet(chance, name, truth, told)
    groups = (number * 5 + 3) % 9
    made = Rig(name, kind=told["kind"], metric=told["metric"], stopped=bool(told["stopped"]))
    made.files = companions(text) | {
        "rig.toml": text,
        "shots.csv": shots(chance, truth, groups, told["pins_mm"]) if groups else NO_SHOTS,
        "proof.csv": shots(chance, truth, 5, proving=True),
        "since.csv": shots(chance, truth, 2),
    }  # fmt: skip
    return made


HOUSE = """name = "Reed Lane Archers"
[[arrow]]
drag_coefficient = "2.05 ± 0.10"
broadhead_drag_coefficient = "2.7 ± 0.2"
[[sight]]
kind = "counter slider"
reading_per_travel = "1.573 ± 0.010"
[[archer]]
dispersion = "0.9 mrad ± 0.3"
[[chronograph]]
instrument = "counter"
reads = "101.2 % ± 0.4"
"""
# A tape of two pins that was stuck on the sample's sight
TAPE = """{"schema": "tapewright.tape/1", "rig": "Heron", "fingerprint": "", "made": "2031-04-05", "unit": "yd", "white_mm": 1.6,
 "strips": [{"name": "start here", "pins": [
  {"distances": [20, 30, 40, 50, 60, 70], "readings_mm": [15.6, 21.43, 29.08, 37.27, 46.1, 55.18]},
  {"distances": [20, 30, 40, 50, 60, 70], "readings_mm": [0.956, 6.88, 14.44, 22.73, 31.5, 40.59]}]}],
 "stuck": {"strip": 1, "name": "on", "sticking_mm": 0.3}}
"""  # noqa: E501


SET_UP = """name = "Lapwing"
measured_on = "2031-04-05"
[limbs]
brace_height = "6.5 in ± 0.04"
tiller = "3 mm"
[string]
nock_height = "6 mm ± 0.5"
peep_height = "140 mm"
[sight]
hole = 2
"""
AGAIN = SET_UP.replace("6.5 in ± 0.04", "6.8 in").replace("04-05", "04-12")
BROAD = (
    "group,distance_yd,reading_mm,right_in,up_in,head\n"
    + "".join(f"s{yards},{yards},{reading},{0.01 * yards:.2f},{side},field\n"
              for yards, reading in ((20, 15.6), (40, 29.1), (60, 46.1))
              for side in (-0.4, 0.1, 0.3))
    + "".join(f"{head[0]}{yards},{yards},{reading},{side},{low * yards - side},{head}\n"
              for yards, reading in ((10, 15.6), (15, 14.0), (22, 16.5))
              for head, low in (("field", 0.0), ("broadhead", -0.05)) for side in (-0.2, 0.1, 0.2))
)  # fmt: skip


def companions(text):
    """What stands beside every sheet: the changed one, a set of strips, tests, house values."""
    lines = [
        'mass = "398 gr ± 2"' if line.startswith("mass =") else line for line in text.splitlines()
    ]
    files = {"new.toml": "\n".join(lines) + "\n"}
    own = {
        "bow.toml": SET_UP,
        "again.toml": AGAIN,
        "set.csv": SETS,
        "sides.csv": SIDES,
        "turned.csv": TURNED,
        "house.toml": HOUSE,
    }
    return files | own | {"on.tape.json": TAPE, "season.csv": season_text(),
                          "distances.txt": "33 yd\n18 yd\n", "broad.csv": BROAD}  # fmt: skip


def sample_rig(folder):
    """The sample that the program brings along, with companions.

    Parameters
    ----------
    folder : Path
        Where a demo wrote it.
    """
    (toml,) = sorted(folder.glob("*.toml"))
    (csv,) = [one for one in sorted(folder.glob("*.csv")) if "shots" in one.name]
    text, arrows = toml.read_text(encoding="utf-8"), csv.read_text(encoding="utf-8")
    rows = arrows.splitlines()
    rig = Rig("sample")
    rig.files = companions(text) | {
        "rig.toml": text,
        "shots.csv": arrows,
        "proof.csv": "\n".join([rows[0], *rows[6:10], *rows[16:22], *rows[-5:]]) + "\n",
        "since.csv": "\n".join([rows[0], *rows[1:4], *rows[20:24]]) + "\n",
    }
    return rig
