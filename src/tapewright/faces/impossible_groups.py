"""Impossible groups: a group that no archer can have shot with a rig, however it came to be kept.

Holds:  the refusal, naming the group and what is wrong with it.
Never:  the limits themselves (reading/csv_columns.py), what is odd but possible.
"""

from math import isfinite

from tapewright.ground.errors import BadInput
from tapewright.reading.csv_columns import (
    CHOICES,
    COUNTS,
    MEASURES,
    MOST_CLICKS,
    group_name,
    read_day,
)
from tapewright.reading.shots_writer import measured_of
from tapewright.services.equip import Rig
from tapewright.services.record_groups import Observation
from tapewright.words.quantity_parser import in_unit
from tapewright.words.unit_spellings import quoted

SLACK = 1e-9
MEND = "Mend the group, or withdraw it"


def refuse_impossible(one: Observation, rig: Rig) -> None:
    """Refuse an observation that no archer can have made with a rig, however it came to be kept.

    A form and a file of shots refuse such numbers as they are typed; an archive, another program
    or a sheet that lost a pin can still bring them.
    """
    place, pins = f"group {quoted(one.group.name)}", 1 + len(rig.sight.pins_below_first_m)
    if not 1 <= one.pin <= pins:
        wrong = f"pin {one.pin} is aimed with, and the rig sheet has {pins}"
        raise BadInput(place, wrong, "Mend the group, or add the pin to the sheet")
    if not (one.group.arrows or one.group.missed):
        raise BadInput(place, "no arrow in it counts", MEND)
    for word, value in measured_of(one).items():
        _refuse_outside(place, word, value)
    for word, said in (("distances", one.distances), ("head", one.head)):
        if said not in ("", *CHOICES[word]):
            raise BadInput(place, f"{quoted(said)} is none of the words for {word}", MEND)
    read_day(one.date, f"{place}, date")
    if one.windage_clicks is not None and not abs(one.windage_clicks) <= MOST_CLICKS:
        raise BadInput(place, f"{one.windage_clicks:g} clicks are more than a sight has", MEND)
    for impact in one.group.impacts:
        if not 1 <= impact.arrows <= COUNTS["arrows"]:
            raise BadInput(place, f"one impact stands for {impact.arrows} arrows", MEND)
        group_name(impact.arrow, f"{place}, arrow")
        _refuse_outside(place, "right", impact.right_m)
        _refuse_outside(place, "up", impact.up_m)


def _refuse_outside(place: str, word: str, value: float | None) -> None:
    if value is None:
        return
    measure = MEASURES[word]
    shown = in_unit(value, measure.unit)
    if not (isfinite(shown) and measure.low - SLACK <= shown <= measure.high + SLACK):
        ends = f"{measure.low:g} to {measure.high:g} {measure.unit}"
        raise BadInput(place, f"its {word} is {shown:.4g} {measure.unit}, outside {ends}", MEND)
