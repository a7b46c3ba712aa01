"""One set of house values stands in a notebook; others lie aside."""

from datetime import UTC, datetime, timedelta

import pytest
from notebooks import empty_file, some_id  # noqa: F401 — a fixture

from tapewright.faces.kept_house import (
    house_in,
    houses_aside,
    keep_house,
    kinds_in,
    read_kept,
    take_up,
)
from tapewright.ground.errors import BadHouseValues
from tapewright.services.keep import KeptHouse, KeptRig, open_notebook

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
LATER = NOW + timedelta(days=1)
TEXT = 'name = "Reed Lane"\n[[sight]]\nkind = "slider"\nreading_per_travel = "1.573 ± 0.010"\n'
OTHER = TEXT.replace("Reed Lane", "Mill End").replace("slider", "arm")
FIRST, SECOND, RIG = some_id(1), some_id(2), some_id(3)


@pytest.fixture
def notebook(tmp_path):
    kept = open_notebook(f"sqlite:///{tmp_path}/notebook.db")
    yield kept
    kept.close()


def test_without_house_values_nothing_stands(notebook):
    assert house_in(notebook) is None
    assert read_kept(None) is None
    assert houses_aside(notebook) == ()
    assert kinds_in(notebook) == {}


def test_what_is_kept_again_goes_on_top_and_asks_for_refits(notebook):
    notebook.add(KeptRig("sheet", "Heron"), entry_id=RIG, now=NOW)
    ids = iter(some_id(number) for number in range(10, 20))
    assert keep_house(notebook, KeptHouse(TEXT, "Reed Lane"), NOW, lambda: next(ids)) == 1
    assert keep_house(notebook, KeptHouse(TEXT, "Reed Lane"), NOW, lambda: next(ids)) == 0
    keep_house(notebook, KeptHouse(OTHER, "Mill End"), LATER, lambda: next(ids))
    assert house_in(notebook).number == 2
    assert read_kept(house_in(notebook)).name == "Mill End"
    assert kinds_in(notebook) == {"sight.kind": ("arm",)}


def test_the_first_stands_and_another_can_be_taken_up(notebook):
    notebook.add(KeptHouse(TEXT, "Reed Lane"), entry_id=FIRST, now=NOW)
    notebook.add(KeptHouse(OTHER, "Mill End"), entry_id=SECOND, now=LATER)
    assert house_in(notebook).id == FIRST
    assert [one.id for one in houses_aside(notebook)] == [SECOND]
    take_up(notebook, notebook.entry(SECOND), LATER)
    assert house_in(notebook).id == SECOND
    assert [one.id for one in houses_aside(notebook)] == [FIRST]
    take_up(notebook, notebook.entry(FIRST), LATER)
    assert house_in(notebook).id == FIRST


def test_what_cannot_be_read_is_told_and_offers_no_kind(notebook):
    notebook.add(KeptHouse("[[sight]]", "?"), entry_id=FIRST, now=NOW)
    with pytest.raises(BadHouseValues, match="the notebook's house values"):
        read_kept(house_in(notebook))
    assert kinds_in(notebook) == {}
