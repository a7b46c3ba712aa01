"""House: read a file of house values, say what stands in it, keep it for a notebook's rigs.

Holds:  the command ``house``.
Never:  what a value is for (reading/house_fields.py), rigs that use it (``--house`` of commands).
"""

from datetime import UTC, datetime
from pathlib import Path

import click

from tapewright.faces.cli.notebook import NOTEBOOK, opened
from tapewright.faces.cli.shared_options import JSON
from tapewright.faces.cli.standard_streams import FILE
from tapewright.faces.cli.terminal_output import echo_json, show
from tapewright.faces.kept_house import keep_house
from tapewright.faces.settings import new_id
from tapewright.ground.errors import BadHouseValues
from tapewright.reading.house_values import MOST_BYTES, load_house
from tapewright.reading.text_file import load_text
from tapewright.services.keep import KeptHouse
from tapewright.words.answer_blocks import Table
from tapewright.words.house_value_sentences import house_rows, values_json
from tapewright.words.number_format import counted

FILL_IN = "Take the # away before a block of the file, its [[head]] too, and write your numbers."


@click.command()
@click.argument("house_file", metavar="HOUSE.toml", type=FILE)
@click.option(
    "--keep", is_flag=True, help="Let them stand in the notebook, for all its rigs, from now on."
)
@NOTEBOOK
@JSON
def house(house_file: Path, keep: bool, notebook: str | None, as_json: bool) -> None:
    """Read a file of house values and say what stands in it.

    House values are what a shop or a club knows of what it sells and of who shoots there: they
    stand in where a rig sheet is silent. "tapewright new --house HOUSE.toml" writes such a file
    to fill in; every command that calibrates takes it with --house.
    """
    values = load_house(house_file)
    waiting = None
    if keep:
        text = load_text(house_file, MOST_BYTES, BadHouseValues)
        with opened(notebook) as kept:
            body = KeptHouse(text, values.name)
            waiting = keep_house(kept, body, datetime.now(UTC), new_id)
    if as_json:
        echo_json({"schema": "tapewright.house/1", **values_json(values), "kept": keep})
        return
    heads = ("for", "kind", "value", "±")
    empty = f"House values of {values.name}: none is filled in yet. {FILL_IN}"
    rows = house_rows(values)
    show((Table(f"House values of {values.name}", heads, rows) if rows else empty,))
    if waiting is not None:
        wait = f" {counted(waiting, 'rig')} to be calibrated anew, once served." if waiting else ""
        click.echo(f"Kept for all rigs of the notebook.{wait}")
