"""Typed marks options: a strip from known marks, with a rig sheet and arrows or without.

Holds:  the options of such marks; the calibration made from them; what is said of it.
Never:  how a mark is read (reading/typed_marks.py), how it is printed.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.input_files import as_told, load_rig_and_shots, warn
from tapewright.ground.errors import BadInput
from tapewright.reading.typed_marks import (
    TypedMark,
    marks_shot,
    read_marks,
    refuse_against,
    rig_of_marks,
)
from tapewright.services.calibrate import Answer
from tapewright.services.equip import Rig
from tapewright.services.record_groups import Observation
from tapewright.words.answer_blocks import Blocks
from tapewright.words.typed_marks_cautions import assumed_of, is_unweighed, marks_minds
from tapewright.words.unit_system import BY_DISTANCE, Units

MARK = click.option(
    "--mark", "marks", multiple=True, metavar='"20 yd = 17.2"',
    help="A mark that you know: a distance and what the scale shows there. Two make a strip, "
    "beside arrows or without any; then no rig sheet is needed either.",
)  # fmt: skip
KIND = click.option(
    "--kind", default=None, type=click.Choice(["compound", "recurve", "longbow"]),
    help="Kind of bow of marks without a rig sheet. Usual: compound.",
)  # fmt: skip
Shot = tuple[Rig, tuple[Observation, ...]]


def typed_marks(typed: Mapping[str, Any], units: Units) -> tuple[tuple[TypedMark, ...], Units]:
    """Marks as typed, and the units in which their distances were."""
    marks = read_marks(typed.get("marks") or (), "--mark", units.distance)
    return marks, BY_DISTANCE.get(marks[-1].unit, units) if marks else units


def rig_and_marks(
    rig_file: Path | None, typed: Mapping[str, Any], marks: tuple[TypedMark, ...]
) -> Shot:
    """The rig of a sheet, or a usual one, and its groups with the marks behind them."""
    if rig_file is None:
        if not marks:
            raise BadInput("tape", "neither a rig sheet nor a mark is named", "Name one of them")
        rig, warnings = as_told(rig_of_marks(marks, typed["kind"] or ""), ())
        warn(warnings)
        return rig, marks_shot(marks)
    if typed.get("kind"):
        raise BadInput("--kind", "the rig sheet tells the kind of bow", "Leave it out")
    rig, observations = load_rig_and_shots(rig_file, typed.get("shots_file"))
    refuse_against(marks, rig, "--mark")
    return rig, (*observations, *marks_shot(marks))


def of_marks(answer: Answer, units: Units, rig_file: Path | None) -> tuple[Blocks, dict[str, Any]]:
    """What is said of a strip from marks, to people and to programs."""
    has_sheet = rig_file is not None
    told = {
        "assumed": [] if has_sheet else list(assumed_of(answer, units)),
        "not_checked": ["arrow.mass"] if is_unweighed(answer) else [],
    }
    return marks_minds(answer, units, has_sheet=has_sheet), told
