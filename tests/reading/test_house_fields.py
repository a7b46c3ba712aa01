"""What may stand in house values, as it is declared."""

from tapewright.reading.house_fields import HOUSE
from tapewright.reading.rig_sheet_fields import KEYS


def test_every_number_of_a_house_counts_its_doubt():
    numbers = [key for key in HOUSE.keys.values() if key.limits]
    assert len(numbers) == 5
    assert all(key.doubt for key in numbers)
    assert all("±" in example for key in numbers for example in key.examples)


def test_a_sheet_can_name_what_the_house_names():
    for key in ("sight.kind", "arrow.kind", "archer.kind", "bow.chronograph.instrument"):
        assert "house values" in KEYS[key].purpose


def test_limits_are_those_of_the_sheet():
    assert HOUSE.keys["sight.reading_per_travel"].limits == (0.05, 50)
    assert HOUSE.keys["arrow.drag_coefficient"].limits == (0.3, 10)
    assert HOUSE.keys["archer.dispersion"].limits == (0.05, 20)
    assert HOUSE.keys["chronograph.reads"].limits == (80, 120)


def test_every_row_of_every_table_fits_into_one_form():
    fields = sum(len(table.keys) * max(table.most, 1) for table in HOUSE.tables.values())
    assert fields < 990  # a form holds 1,000, some of them hidden
