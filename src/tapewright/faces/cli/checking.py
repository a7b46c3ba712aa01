"""Checking: the commands that look over bow and sight: limits, level.

Heavy imports stand inside the commands, so that help and mistakes answer at once.

Holds:  limits, level.
Never:  formulas, sentences that another face needs too.
"""

# ruff: noqa: PLC0415 — see above
from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from tapewright.faces.cli.asking import answer_question
from tapewright.faces.cli.options import (
    BAND,
    FILE,
    JSON,
    METRIC,
    RIG,
    SEED,
    SHOTS,
    with_options,
)

if TYPE_CHECKING:
    from pathlib import Path

MOST_BYTES = 1_000_000


@click.command()
@with_options(RIG, SHOTS)
@click.option("--distances", default=None, metavar="LIST", help="Where the travel left is wanted.")
@with_options(METRIC, BAND, SEED, JSON)
def limits(rig_file: Path, shots_file: Path | None, distances: str | None, **wish: Any) -> None:  # noqa: ANN401 — options that all errands share, handed on by name
    """Say how far each pin reaches before housing and arrow meet.

    From housing_below_pin and vane_height in the rig sheet it is computed; clearance_reading,
    measured on the bow, overrules it; travel_ends stop the sight too. The tape carries no ticks
    past the limit.
    """
    from tapewright.questions.checks import LIMITS

    answer_question(LIMITS, (rig_file, shots_file), {"distances": distances}, **wish)


@click.command()
@with_options(RIG, SHOTS)
@click.option("--distances", default=None, metavar="LIST", help="Where misses are wanted.")
@click.option("--cant", default="1 deg", show_default=True, help="Lean of the bow, right positive.")
@click.option(
    "--third-axis", default="1 deg", show_default=True, help="Right end of the level ahead."
)
@click.option(
    "--travel-axis", default="1 deg", show_default=True, help="Lower end of the travel to the left."
)
@click.option("--peep", default="1 mm", show_default=True, help="Eye beside the peep's middle.")
@click.option("--slope", default="20 deg", show_default=True, help="For the third axis.")
@click.option(
    "--zeroed", default=None, metavar="DISTANCE", help="Where windage was set; default: 20 yd or m."
)
@click.option(
    "--test",
    "test_file",
    type=FILE,
    default=None,
    help="Groups at a plumb line or on slopes, a CSV: distance_yd,slope_deg,right_in,arrows.",
)
@with_options(METRIC, BAND, SEED, JSON)
def level(
    rig_file: Path,
    shots_file: Path | None,
    test_file: Path | None,
    metric: bool,  # noqa: FBT001 — click hands flags over by name
    band: float,
    seed: int,
    as_json: bool,  # noqa: FBT001 — the same
    **said: str | None,
) -> None:
    """Say what tilts do to the misses, or find them from a test.

    Without --test: what a canted bow, a swung level (third axis), a leaning travel and an eye
    beside the peep do at each distance. With --test: shoot groups at a hanging line, near and far
    on the level, and at one distance up and down hill, all with one windage; the answer is each
    angle with its band, and what to turn which way.
    """
    from tapewright.ground.errors import BadShots
    from tapewright.questions.checks import LEVEL
    from tapewright.reading.text_file import file_name, load_text

    places = {}
    if test_file is not None:
        said["test"] = load_text(test_file, MOST_BYTES, BadShots) or " \n"
        places["test"] = file_name(test_file)
    answer_question(
        LEVEL,
        (rig_file, shots_file),
        said,
        places,
        metric=metric,
        band=band,
        seed=seed,
        as_json=as_json,
    )
