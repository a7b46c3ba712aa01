"""Wind: how far to hold off, in lengths and in widths of the spot; what a head or tail wind does.

Holds:  the question ``wind``: its fields, columns, sentences and cautions.
Never:  formulas, how a face asks and shows.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from tapewright.ground.errors import BadInput
from tapewright.questions.question import Field, Measure, Question, Said
from tapewright.questions.shared_fields import BUTT, read_butt
from tapewright.services.calibrate import Answer
from tapewright.services.look_up_marks import bands_at
from tapewright.services.meet_weather import Blown, meet_wind
from tapewright.words.answer_blocks import Blocks, Mind
from tapewright.words.answer_columns import Column, records, table
from tapewright.words.cautions import mark_cautions
from tapewright.words.number_format import plain
from tapewright.words.quantity_parser import in_unit
from tapewright.words.readings_on_tape import on_sight
from tapewright.words.trust_sentences import head_json
from tapewright.words.unit_system import Units, far, round_amount

WIND = Measure(
    "speed", (-20.0, 20.0, "m/s"), "10 mph", "is a gale in which nobody shoots",
    'Write 20 m/s or less, such as "10 mph"',
)  # fmt: skip
CROSS = Field("cross", "Wind across", "10 mph", "5 m/s", "To your right more than zero.",
              measure=WIND)  # fmt: skip
HEAD = Field("head", "Head wind", hint="In your face more than zero. Left open: none.",
             measure=WIND)  # fmt: skip
SPOT = Field("spot", "Spot", "4 in", "10 cm", "Width of what you aim at.",
             measure=Measure("length", (0.5, 200.0, "cm")))  # fmt: skip
GUSTS = "Wind is seldom steady; between archer and target it may blow two ways at once."
STRONG = (
    "So strong a wind nobody judges well: a third more or less of it moves the arrow by a third of "
    "the hold-off. Shoot near, before a wide safe stop, or not at all."
)


@dataclass(frozen=True, slots=True)
class HeldOff:
    """What a wind does, beside the width of what is aimed at."""

    blown: Blown
    spot_m: float
    butt_width_m: float


def _sides(found: HeldOff) -> Iterator[str]:
    """To which side to hold off at each distance."""
    stays = found.blown.stays_on(found.butt_width_m)
    for right_m, stays_on in zip(found.blown.misses.right_m, stays, strict=True):
        side = "left" if right_m > 0.0 else "right" if right_m < 0.0 else "–"
        yield side if stays_on else "off the butt"


COLUMNS: tuple[Column[HeldOff], ...] = (
    Column("{unit}", "distance_{unit}", "blown.misses.distance_m", "distance", None, 4),
    Column("hold off to the", "", _sides),
    Column("{unit}", "", lambda it: abs(it.blown.misses.right_m), "miss", banded=True,
           half=("blown.misses.right_low_m", "blown.misses.right_high_m")),
    Column("spots", "", lambda it: abs(it.blown.misses.right_m) / it.spot_m, decimals=2),
    Column("", "right_{unit}", "blown.misses.right_m", "miss"),
    Column("", "right_low_{unit}", "blown.misses.right_low_m", "miss"),
    Column("", "right_high_{unit}", "blown.misses.right_high_m", "miss"),
    Column("", "hold_off_right_{unit}", lambda it: -it.blown.misses.right_m, "miss"),
    Column("", "hold_off_right_spots", lambda it: -it.blown.misses.right_m / it.spot_m),
    Column("arrow up {unit}", "up_{unit}", "blown.misses.up_m", "miss", 2, signed=True),
    Column("add to reading mm", "reading_change_mm", "blown.misses.reading_m", "mm", 2,
           signed=True, tape="not"),
    Column("", "stays_on_butt", lambda it: it.blown.stays_on(it.butt_width_m).tolist()),
)  # fmt: skip


def _ask(answer: Answer, said: Said, units: Units) -> HeldOff:
    head_mps = said.quantity_if_said(HEAD) or 0.0
    cross_mps = said.quantity_if_said(CROSS)
    if cross_mps is None:
        cross_mps = 0.0 if said.text("head") else said.quantity(CROSS, units)
    if cross_mps == 0.0 and head_mps == 0.0:
        raise BadInput(said.place("cross"), "no wind blows", 'Write such as "10 mph", or "5 m/s"')
    spot_m = said.quantity(SPOT, units)
    distances_m = said.distances("distances", QUESTION.usual("distances", units))
    butt = read_butt(said, units)
    return HeldOff(meet_wind(answer, distances_m, cross_mps, head_mps), spot_m, butt.width_m)


def _tell(found: HeldOff, units: Units) -> Blocks:
    spot = plain(in_unit(found.spot_m, units.miss), 1)
    title = f"Wind: hold-off, also in widths of a spot of {spot} {units.miss}"
    leaves = np.flatnonzero(~found.blown.stays_on(found.butt_width_m)).tolist()
    return (
        table(title, _columns(found), found, units, leaves),
        *_words(found.blown, units),
        *map(Mind, _cautions(found, units)),
    )


def _write(found: HeldOff, units: Units) -> dict[str, Any]:
    blown, miss = found.blown, units.miss
    return head_json("tapewright.wind/1", blown.answer) | {
        "cross_mps": round(blown.cross_mps, 4),
        "head_mps": round(blown.head_mps, 4),
        f"spot_{miss}": round(in_unit(found.spot_m, miss), 3),
        f"butt_width_{miss}": round(in_unit(found.butt_width_m, miss), 3),
        "misses": records(_columns(found), found, units),
        "cautions": [*_words(blown, units), *_cautions(found, units)],
    }


def _columns(found: HeldOff) -> list[Column[HeldOff]]:
    """Columns as what is on the sight tells them: a tape shows no reading to be added to."""
    answer, tape = found.blown.answer, found.blown.answer.tape
    if tape is None:
        return list(COLUMNS)
    marks_m = bands_at(answer, found.blown.misses.distance_m).reading_m
    dial: Column[HeldOff] = Column(
        "reading mm", "reading_mm", marks_m + found.blown.misses.reading_m, "mm", 2, tape="first"
    )
    return on_sight((*COLUMNS, dial), tape, at="blown.misses.distance_m")


def _words(blown: Blown, units: Units) -> tuple[str, ...]:
    """Which way to hold off, how small head and tail wind are beside it, gusts."""
    said = []
    if blown.cross_mps:
        side, into = ("right", "left") if blown.cross_mps > 0.0 else ("left", "right")
        said.append(
            f"{_speed(blown.cross_mps, units)} blow to the {side}: arrows land {side} of the aim; "
            f"hold off to the {into}. Twice the wind, twice the hold-off; a wind from half ahead "
            "or behind counts for 7 parts in 10."
        )
    if blown.head_mps:
        told = "the last column is what to add to the mark's reading"
        if blown.answer.tape is not None:
            told = "dial what the table says"
        kind, way = ("Head", "low") if blown.head_mps > 0.0 else ("Tail", "high")
        said.append(f"{kind} wind of {_speed(blown.head_mps, units)}: arrows land {way}; {told}.")
    pins = ("The same for every pin.",) if len(blown.answer.trusted_m) > 1 else ()
    return (*said, *pins, GUSTS)


def _speed(wind_mps: float, units: Units) -> str:
    return f"{plain(in_unit(abs(wind_mps), units.wind), 1)} {units.wind}"


def _cautions(found: HeldOff, units: Units) -> tuple[str, ...]:
    """Holds that leave the butt, winds nobody judges, marks that are guesses."""
    blown, warned = found.blown, []
    off = np.flatnonzero(~blown.stays_on(found.butt_width_m))
    if len(off):
        first = far(blown.misses.distance_m[off[0]], units)
        butt = round_amount(found.butt_width_m, units.miss)
        warned.append(
            f"From {first} {units.distance} on an arrow that is held off and meets a lull misses "
            f"a butt {butt} wide: do not shoot there in this wind. Wait, or go nearer."
        )
    if blown.is_strong:
        warned.append(STRONG)
    return (*warned, *mark_cautions(blown.answer, units))


QUESTION = Question(
    "wind", "Wind",
    "How far to hold off, in lengths and in widths of the spot; and what a head or tail wind does.",
    (
        CROSS,
        HEAD,
        SPOT,
        BUTT,
        Field("distances", "Distances", "20:100:10yd", "20:90:10m", "Where it is wanted."),
    ),
    _ask, _tell, _write, shelf="field", first=2,
)  # fmt: skip
