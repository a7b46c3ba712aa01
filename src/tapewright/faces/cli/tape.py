"""Tape: print the sight tape, at true length.

Holds:  the command tape.
Never:  what may be said of a tape, its sentences (printing/tape.py).
"""

from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.asking import calibrated, load_rig_and_shots, units_of, warn
from tapewright.faces.cli.options import BAND, JSON, METRIC, RIG, SEED, SHOTS, with_options
from tapewright.faces.cli.print_command import hand_over, print_options, wish_of
from tapewright.printing.tape import SPAN, TAPE, asked_ticks
from tapewright.words.quantities import read_distances


@click.command()
@with_options(RIG, SHOTS)
@print_options(TAPE)
@with_options(METRIC, BAND, SEED, JSON)
def tape(rig_file: Path, shots_file: Path | None, **typed: Any) -> None:  # noqa: ANN401 — options, handed on by name
    """Print the sight tape, at true length.

    On the sheet stand the likeliest strip and its two neighbours. Ticks past the trusted
    distance are drawn lighter. Measure the two 100 mm proof rulers before you cut; if they are
    off, print again with --proof.
    """
    wish = wish_of(TAPE, typed, units_of(metric=typed["metric"]))
    rig, observations, warnings = load_rig_and_shots(rig_file, shots_file)
    warn(warnings)
    asked_m, units = asked_ticks(wish.said, wish.units)
    wanted_m = asked_m or read_distances(SPAN.usual_in(units), SPAN.name).distances_m
    chance = (typed["seed"], typed["band"])
    answer = calibrated(rig, observations, wanted_m, units.distance, chance)
    hand_over(TAPE, answer, wish, rig_file, typed)
