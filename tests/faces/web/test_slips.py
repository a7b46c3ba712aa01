"""Something written down wrongly, in the web app: said, offered mended, settled by one button."""

import re
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from tapewright.services.keep import KeptGroup, kept_as


def words_of(page):
    return " ".join(re.sub(r"<[^>]*>", " ", page).split())


@pytest.fixture
def spoilt(notebook, rig_id):
    """Group 5 of the sample with 73.1 mm for 37.1, and its id."""
    for one in notebook.entries("group", rig_id):
        body = kept_as(one, KeptGroup)
        if body.observation.group.name == "5":
            wrong = replace(body, observation=replace(body.observation, reading_m=0.0731))
            notebook.save(one.id, wrong, seen=one.number, now=datetime(2026, 11, 25, tzinfo=UTC))
            return one.id
    raise AssertionError("the sample has a group 5")


def mend_of(page):
    return re.search(r'href="([^"]*/groups/[0-9a-f]{20}\?[^"]*)"', page)[1].replace("&amp;", "&")


def test_a_slip_is_said_and_no_shot_offered_until_it_is_mended(client, notebook, rig_id, spoilt):
    shoot = client.get(f"/rigs/{rig_id}/shoot").text
    assert "Group 5 at 50 yd seems to be written down wrongly" in words_of(shoot)
    assert "Shoot this group" not in shoot
    for page in (f"groups/{spoilt}", "plan", "marks"):
        told = client.get(f"/rigs/{rig_id}/{page}").text
        assert "seems to be written down wrongly" in words_of(told), page
        assert "Next at" not in told, page
    form = client.get(mend_of(shoot)).text
    assert re.search(r'name="reading"[^>]*value="37.1"', form)
    assert re.search(r'name="distance"[^>]*value="50"', form)
    assert notebook.entry(spoilt).body.observation.reading_m == 0.0731  # looked at, not kept


def test_keeping_the_mend_settles_it(client, notebook, rig_id, spoilt):
    form = client.get(mend_of(client.get(f"/rigs/{rig_id}/plan").text)).text
    sent = re.sub(r'<input type="radio"[^>]*?value="[^"]*">', "", form)  # those not chosen
    fields = re.findall(r'<input[^>]*name="([^"]+)"[^>]*?value="([^"]*)"', sent)
    kept = client.post(f"/rigs/{rig_id}/groups/{spoilt}", data=dict(fields))
    assert kept.status_code == 303
    assert notebook.entry(spoilt).body.observation.reading_m == pytest.approx(0.0371)
    assert "written down wrongly" not in client.get(f"/rigs/{rig_id}/shoot").text
