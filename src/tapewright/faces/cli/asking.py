"""Asking: what several commands do alike: load, calibrate, write.

Heavy imports stand inside the functions, so that help and mistakes answer at once.

Holds:  files to records, options to an answer, bytes to files.
Never:  a command, a table.
"""

# ruff: noqa: PLC0415 — see above
from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from tapewright.ground.errors import BadInput

if TYPE_CHECKING:
    from pathlib import Path

    from tapewright.faces.wording import Units
    from tapewright.services.calibrate import Answer
    from tapewright.services.equip import Rig
    from tapewright.services.record_groups import Observation

LONG_WORK_ARROWS = 400  # from here on a fit takes long enough to say so
FARTHEST = {"yd": 125.0, "m": 115.0}


def units_of(*, metric: bool) -> Units:
    """Units in which a person reads the answer."""
    from tapewright.faces.wording import IMPERIAL, METRIC

    return METRIC if metric else IMPERIAL


def warn(warnings: tuple[str, ...]) -> None:
    """Say what is odd but possible, on standard error."""
    for warning in warnings:
        click.echo(f"Note: {warning}", err=True)


def load_rig_and_shots(
    rig_file: Path, shots_file: Path | None
) -> tuple[Rig, tuple[Observation, ...], tuple[str, ...]]:
    """Rig, groups and what is odd about both files."""
    from tapewright.faces.rig_sheet import load_rig_sheet
    from tapewright.faces.shots_file import load_shots

    rig, warnings = load_rig_sheet(rig_file)
    if shots_file is None:
        return rig, (), warnings
    observations, more = load_shots(shots_file, rig)
    return rig, observations, warnings + more


def calibrated(
    rig: Rig,
    observations: tuple[Observation, ...],
    distances_m: tuple[float, ...],
    unit: str,
    chance: tuple[int, float],
) -> Answer:
    """Answer for distances, with trusted distances looked for as far as arrows are shot."""
    from tapewright.ground.units import UNITS
    from tapewright.services.calibrate import calibrate

    arrows = sum(one.group.arrows for one in observations)
    if arrows >= LONG_WORK_ARROWS and sys.stderr.isatty():
        click.echo(f"Weighing {arrows} arrows…", err=True)
    factor = UNITS[unit].factor
    last = round(max(FARTHEST[unit], max(distances_m) / factor))
    grid_m = [step * factor for step in range(9, last + 1)]
    seed, band = chance
    return calibrate(rig, observations, distances_m, grid_m, seed, band / 100.0)


def asked_distances(text: str | None, usual: str, units: Units) -> tuple[tuple[float, ...], Units]:
    """Distances as typed; metres typed ask for metric answers."""
    from tapewright.faces.quantities import read_distances

    asked = read_distances(text or usual, "--distances")
    if asked.unit in ("m", "yd") and text:
        units = units_of(metric=asked.unit == "m")
    return asked.distances_m, units


def tape_ticks(answer: Answer, asked_m: tuple[float, ...], units: Units) -> tuple[float, ...]:
    """Distances of a tape's ticks in the unit printed; unless asked, a little past the trusted."""
    from tapewright.faces.quantities import in_unit

    if asked_m:
        return tuple(round(in_unit(distance, units.distance), 6) for distance in asked_m)
    trusted = in_unit(max(answer.trusted_m), units.distance)
    last = min(max(-(-trusted // 10) * 10 + 10, 60), 120)
    return tuple(float(distance) for distance in range(5, round(last) + 1))


def write_files(stem: Path, files: tuple[tuple[str, bytes], ...]) -> list[Path]:
    """Write each file beside its name first, so that none is ever half there."""
    if stem.name in ("", ".."):
        raise BadInput("--out", f"{str(stem)!r} is a folder", "Write a file's name behind it")
    written = []
    for ending, content in files:
        path = stem.with_name(stem.name.removesuffix(".pdf").removesuffix(".svg") + ending)
        draft = path.with_name(path.name + ".part")
        draft.write_bytes(content)
        draft.replace(path)
        written.append(path)
    return written
