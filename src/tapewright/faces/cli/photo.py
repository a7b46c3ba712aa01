"""Photographing: a picture of the target in place of a ruler.

Heavy imports stand inside the command, so that help and mistakes answer at once.

Holds:  photo.
Never:  what is seen in a picture.
"""

# ruff: noqa: PLC0415 — see above
from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from tapewright.faces.cli.asking import (
    load_rig,
    say_json,
    units_of,
    warn,
    write_files,
)
from tapewright.faces.cli.options import FILE, JSON, METRIC, with_options
from tapewright.ground.errors import BadInput

if TYPE_CHECKING:
    from pathlib import Path

    from tapewright.services.read_photo import PhotoReading

MOST_BYTES = 55_000_000
CORNERS_EXAMPLE = '"120,80 1910,95 1880,2500 140,2480"'


@click.command()
@click.argument("image", metavar="IMAGE", type=FILE)
@click.option("--distance", required=True, help='Where it was shot from, such as "20 yd".')
@click.option("--reading", required=True, help='What the pointer showed, such as "31.2 mm".')
@click.option("--group", "name", default=None, help="Name of the group. Default: the picture's.")
@click.option(
    "--rig", "rig_file", default=None, type=FILE, metavar="RIG.toml", help="Tells the shaft."
)
@click.option("--shaft", default=None, help='Diameter of the shafts, such as "5.9 mm".')
@click.option(
    "--target", "code", default=None, help="Code of a target of several sheets: see its plan sheet."
)
@click.option(
    "--corners",
    default=None,
    metavar="PIXELS",
    help="Without marks: corners of a rectangle around the aim, upper left, upper right, lower "
    f"right, lower left, right and down in the picture, as {CORNERS_EXAMPLE}.",
)
@click.option(
    "--size", default=None, metavar="WIDTHxHEIGHT", help='Of that rectangle, as "40x40 cm".'
)
@click.option("--out", type=FILE, default=None, help="Where to write. Default: beside the picture.")
@with_options(METRIC, JSON)
def photo(
    image: Path,
    out: Path | None,
    metric: bool,
    as_json: bool,
    **said: Any,  # noqa: ANN401 — what is known of the shots, read by name below
) -> None:
    """Propose impacts from a picture of the target: rows of shots, and a picture to check them by.

    Look at the picture it writes; delete, move or add rows before you trust them. The picture
    stays on this computer, and where it was taken goes into no file.
    """
    from tapewright.faces.photo_json import photo_json, photo_rows
    from tapewright.services.read_photo import propose_impacts
    from tapewright.words.quantities import read_quantity
    from tapewright.words.sizes import read_size

    units = units_of(metric=metric)
    distance_m = read_quantity(said["distance"], "length", "--distance", "20 yd")
    reading_m = read_quantity(said["reading"], "length", "--reading", "31.2 mm")
    group = said["name"] or image.stem
    found = propose_impacts(
        _content(image),
        _shaft_m(said["shaft"], said["rig_file"]),
        corners=None if said["corners"] is None else _corners(said["corners"]),
        size_m=None if said["size"] is None else read_size(said["size"], "--size"),
        code=said["code"],
        name=image.name,
    )
    rows = photo_rows(found, group, distance_m, reading_m, units)
    stem = out or image.with_name(f"{image.stem}-shots")
    files = ((".csv", rows.encode()), (".jpg", found.annotated_jpeg))
    written = write_files(stem, files)
    if as_json:
        names = [str(path) for path in written]
        answer = photo_json(found, group, distance_m, reading_m, units, names)
        say_json(answer)
        return
    click.echo(rows, nl=False)
    for sentence in (*_sentences(found), *(f"Wrote {path}" for path in written)):
        click.echo(sentence, err=True)


def _content(image: Path) -> bytes:
    """The picture's bytes; no more is ever read than a picture may have."""
    with image.open("rb") as file:
        content = file.read(MOST_BYTES + 1)
    if len(content) > MOST_BYTES:
        wrong = f"the file has more than {MOST_BYTES / 1e6:.0f} MB"
        raise BadInput(image.name, wrong, "Take it with fewer pixels, or as JPEG")
    return content


def _shaft_m(text: str | None, rig_file: Path | None) -> float | None:
    """Diameter of the shafts: as typed, else the rig's."""
    from tapewright.words.quantities import read_quantity

    if text is not None:
        return read_quantity(text, "length", "--shaft", "5.9 mm")
    if rig_file is None:
        return None

    rig, warnings = load_rig(rig_file)
    warn(warnings, rows_follow=True)
    return rig.arrow.shaft_diameter_m


def _corners(text: str) -> tuple[tuple[float, float], ...]:
    """Places in the picture as typed."""
    from tapewright.words.quantities import read_number

    corners = []
    for pair in text.split():
        parts = pair.split(",")
        if len(parts) != 2:
            raise BadInput("--corners", f"{pair!r} is not a place", f"Write {CORNERS_EXAMPLE}")
        x, y = (read_number(part, "--corners", CORNERS_EXAMPLE) for part in parts)
        corners.append((x, y))
    return tuple(corners)


def _sentences(found: PhotoReading) -> tuple[str, ...]:
    """What to know before the rows are trusted."""
    count = len(found.proposals)
    by = f"{found.marks} marks" if found.marks else "four taps"
    shafts = sum(one.kind == "shaft" for one in found.proposals)
    said = [
        (
            f"{count or 'No'} impact{'' if count == 1 else 's'} proposed on {found.sheet}, "
            f"straightened by {by}: places within {max(found.error_mm, 0.1):.1f} mm "
            "if it hung flat."
        ),
        "Holes that touch, or lie on ink, are easily missed: compare with the picture.",
    ]
    if shafts:
        said.append("Arrows hide each other: holes photographed after pulling are found better.")
    return tuple(said)
