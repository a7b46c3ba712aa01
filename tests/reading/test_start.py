"""Reading loads no more than it needs, so that a command starts quickly."""

import subprocess
import sys

import pytest


@pytest.mark.parametrize(
    ("rooms", "unwanted"),
    [
        (
            ("rig_sheet_fields", "sheet_template", "text_file", "csv_columns", "csv_reader"),
            "numpy pydantic importlib.metadata",
        ),
        (("rig_sheet", "sheet_form_lines", "shots_reader", "strip_side_click_tables"), "pydantic"),
        (
            ("rig_sheet", "shots_reader", "strip_side_click_tables"),
            "tapewright.drawing reportlab ezdxf",
        ),
    ],
)
def test_reading_loads_no_more_than_it_needs(rooms, unwanted):
    imports = "".join(f"import tapewright.reading.{room}\n" for room in rooms)
    code = f"{imports}import sys\nprint([one for one in {unwanted.split()} if one in sys.modules])"
    told = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=120
    )
    assert told.stdout.strip() == "[]"
