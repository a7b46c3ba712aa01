"""Reading loads no more than it needs, so that a command starts quickly."""

import subprocess
import sys

import pytest


@pytest.mark.parametrize(
    ("rooms", "unwanted"),
    [
        (
            ("fields", "sheet_template", "text_file", "table_columns", "tables"),
            "numpy pydantic importlib.metadata",
        ),
        (("sheet", "sheet_lines", "shots", "other_tables"), "pydantic"),
        (("sheet", "shots", "other_tables"), "tapewright.drawing reportlab ezdxf"),
    ],
)
def test_reading_loads_no_more_than_it_needs(rooms, unwanted):
    imports = "".join(f"import tapewright.reading.{room}\n" for room in rooms)
    code = f"{imports}import sys\nprint([one for one in {unwanted.split()} if one in sys.modules])"
    told = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=120
    )
    assert told.stdout.strip() == "[]"
