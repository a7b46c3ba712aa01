"""Gauge: print a gauge strip to take readings with.

Holds:  the command gauge.
Never:  what may be said of a gauge strip (printing/gauge.py).
"""

from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli.print_command import SOME_RIG, hand_over, print_options, some_rig, wish_of
from tapewright.printing.gauge import GAUGE
from tapewright.words.units import IMPERIAL


@click.command()
@SOME_RIG
@print_options(GAUGE)
def gauge(rig_file: Path | None, **typed: Any) -> None:  # noqa: ANN401 — options, handed on by name
    """Print a gauge strip to take readings with.

    A plain mm ruler to stick on the sight. Its numbers run as the rig sheet says they do toward
    --far-end. Leave it on while you shoot; the tape replaces it later.
    """
    wish = wish_of(GAUGE, typed, IMPERIAL)
    hand_over(GAUGE, some_rig(rig_file), wish, rig_file, typed)
