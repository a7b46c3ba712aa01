"""Photo: a picture of the target in place of a ruler.

Holds:  the command ``photo``: what is typed, what is written beside the picture.
Never:  what is seen in a picture.
"""

from pathlib import Path
from typing import Any

import click

from tapewright.faces.cli import standard_streams
from tapewright.faces.cli.input_files import load_rig, units_of, warn
from tapewright.faces.cli.shared_options import (
    FORCE,
    JSON,
    METRIC,
    TAPE,
    file_argument,
    with_options,
)
from tapewright.faces.cli.standard_streams import (
    FILE,
    STANDARD,
    file_beside,
    is_read_in,
    write_files,
)
from tapewright.faces.cli.terminal_output import say_json
from tapewright.faces.photo_json import PhotoShots, photo_json, photo_rows, photo_words
from tapewright.ground.errors import BadInput
from tapewright.reading.tape_files import load_record
from tapewright.reading.typed_reading import read_reading
from tapewright.services.read_photo import PhotoReading, propose_impacts
from tapewright.words.quantity_parser import read_corners, read_quantity, read_size

MOST_BYTES = 55_000_000
CORNERS_EXAMPLE = '"120,80 1910,95 1880,2500 140,2480"'
PLACES = {"shaft": "--shaft", "size": "--size", "code": "--target", "corners": "--corners",
          "Corners": "--corners"}  # fmt: skip


@click.command()
@file_argument("image", "IMAGE")
@click.option("--distance", required=True, help='Where it was shot from, such as "20 yd".')
@click.option(
    "--reading",
    required=True,
    help='What the pointer showed, such as "31.2 mm"; with --tape what the tape showed, as 38.5.',
)
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
@click.option(
    "--out", type=standard_streams.OUT, default=None,
    help="Where to write. Default: beside the picture; - writes the rows and no file.",
)  # fmt: skip
@with_options(FORCE, METRIC, TAPE, JSON)
def photo(image: Path, **typed: Any) -> None:  # noqa: ANN401 — options, read by name below
    """Propose impacts from a picture of the target: rows of shots, and a picture to check them by.

    Look at the picture it writes; delete, move or add rows before you trust them. The picture
    stays on this computer, and where it was taken goes into no file.
    """
    units = units_of(metric=typed["metric"])
    distance_m = read_quantity(typed["distance"], "length", "--distance", "20 yd")
    tape = None if typed["tape_file"] is None else load_record(typed["tape_file"]).tape()
    reading_m = read_reading(typed["reading"], tape, 1, "--reading")
    if tape is not None:
        tape.dialled_of(reading_m)  # or it cannot be written down
    seen = _seen(image, typed)
    name = typed["name"] or ("photo" if is_read_in(image) else image.stem)
    shots = PhotoShots(seen, name, distance_m, reading_m, tape)
    rows = photo_rows(shots, units)
    stem = typed["out"] or file_beside(image, "-shots", "photo")
    files = ((".csv", rows.encode()), (".jpg", seen.annotated_jpeg))
    written = [] if stem == STANDARD else write_files(stem, files)
    if typed["as_json"]:
        say_json(photo_json(shots, units, [str(path) for path in written]))
        return
    click.echo(rows, nl=False)
    for sentence in (*photo_words(seen), *(f"Wrote {path}" for path in written)):
        click.echo(sentence, err=True)


def _seen(image: Path, typed: dict[str, Any]) -> PhotoReading:
    """What the picture shows; faults are told by the option that they belong to."""
    corners, size = typed["corners"], typed["size"]
    content, shaft_m = _content(image), _shaft_m(typed["shaft"], typed["rig_file"])
    try:
        return propose_impacts(
            content,
            shaft_m,
            corners=None if corners is None else read_corners(corners, "--corners"),
            size_m=None if size is None else read_size(size, "--size"),
            code=typed["code"],
            name=image.name,
        )
    except BadInput as fault:
        name, _, number = fault.place.partition("-")
        place = f"--corners, {number}" if name == "corner" else fault.place
        raise BadInput(PLACES.get(place, place), fault.wrong, fault.mend) from None


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
    if text is not None:
        return read_quantity(text, "length", "--shaft", "5.9 mm")
    if rig_file is None:
        return None
    rig, warnings = load_rig(rig_file)
    warn(warnings, rows_follow=True)
    return rig.arrow.shaft_diameter_m
