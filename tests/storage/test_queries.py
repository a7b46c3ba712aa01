import pytest
from notebooks import BODIES, CALIBRATION, NOW, RIG, fill, say_behind, some_id

from tapewright.ground.errors import NotebookDamaged
from tapewright.storage.queries import newest_row, refuse_other_order
from tapewright.storage.sums import Damaged


def test_the_newest_row_of_what_was_there_a_moment_ago_is_missed(notebook):
    notebook.add(BODIES[RIG], entry_id=RIG, now=NOW)
    with notebook.reading() as connection:
        assert newest_row(connection, RIG).number == 1
        with pytest.raises(Damaged, match=f"entry {some_id(999)}: it is in one list and not in"):
            newest_row(connection, some_id(999))


@pytest.mark.parametrize("number", ["two", ""])
def test_a_source_that_has_no_number_is_damage(file_notebook, number):
    fill(file_notebook)
    say_behind(
        f"sqlite:///{file_notebook.place}",
        f"UPDATE made_from SET source_number = '{number}' WHERE source_id = '{RIG}'",  # noqa: S608
    )
    with pytest.raises(
        NotebookDamaged,
        match=f"calibration {CALIBRATION}, version 1: what is there is not what was written",
    ):
        file_notebook.entry(CALIBRATION)


@pytest.mark.parametrize("second", [("a", "1"), ("a", "0"), ("A", "2")])
def test_a_list_that_is_not_in_its_order_is_damage(second):
    refuse_other_order("rig", [])
    refuse_other_order("rig", [("a", "1"), ("a", "2"), ("b", "0")])
    with pytest.raises(Damaged, match="the list of kind rig: its order is not that"):
        refuse_other_order("rig", [("a", "1"), second, ("b", "0")])
