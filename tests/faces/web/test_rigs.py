"""The list of rigs and the page of one."""

import re
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from tapewright.services.keep import KeptRig, Write

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


def test_an_empty_notebook_shows_the_way_in(client):
    page = client.get("/rigs")
    assert page.status_code == 200
    assert "Describe my rig" in page.text
    assert "invented sample rig" in page.text


def test_a_rig_in_the_list_says_how_far_it_is_trusted(client, rig_id):
    page = client.get("/rigs").text
    assert "Heron (invented)" in page
    assert "trusted to 92 yd" in page
    assert f'href="/rigs/{rig_id}"' in page


def test_a_rig_is_found_by_part_of_its_name(client, rig_id):
    assert rig_id in client.get("/rigs?find=hero").text
    assert "No rig's name holds" in client.get("/rigs?find=<b>").text
    assert "<b>" not in client.get("/rigs?find=<b>").text


def test_a_rig_put_aside_leaves_the_list_and_comes_back(client, rig_id):
    assert client.post(f"/rigs/{rig_id}/withdraw", data={"seen": "1"}).status_code == 303
    assert rig_id not in client.get("/rigs").text
    assert client.post(f"/rigs/{rig_id}/restore", data={"seen": "1"}).status_code == 303
    assert rig_id in client.get("/rigs").text


def test_nothing_but_a_rig_is_put_aside_at_a_rigs_address(client, notebook, rig_id):
    group = notebook.entries("group", rig_id)[0]
    for way in ("withdraw", "restore"):
        assert client.post(f"/rigs/{group.id}/{way}", data={"seen": "1"}).status_code == 404
    assert not notebook.entry(group.id).is_withdrawn


def test_a_rig_that_is_not_there_is_told_of(client):
    page = client.get("/rigs/00000000000000000000")
    assert page.status_code == 404
    assert "Traceback" not in page.text


@pytest.fixture
def hundred(notebook):
    """A hundred and twenty rigs, by turns of hunters and of targets; ids in the order of names."""
    writes = [
        Write(f"{place:020x}", KeptRig("", f"Rig {place:03d} {('hunter', 'TÄRGET')[place % 2]}"))
        for place in range(1, 121)
    ]
    notebook.save_all(writes, NOW)
    return [one.entry_id for one in writes]


def listed(page):
    return re.findall(r'<li><a href="/rigs/([0-9a-f]{20})"', page.text)


def way(page, name):
    (address,) = re.findall(rf'<a class="button"[^>]* href="([^"]+)">{name}</a>', page.text)
    return address.replace("&amp;", "&")


def test_a_long_list_is_walked_page_by_page_without_a_script(client, hundred):
    first = client.get("/rigs")
    assert listed(first) == hundred[:50]
    assert "120 rigs" in first.text
    assert ">Previous<" not in first.text
    second = client.get(way(first, "Next"))
    assert listed(second) == hundred[50:100]
    third = client.get(way(second, "Next"))
    assert listed(third) == hundred[100:]
    assert ">Next<" not in third.text
    assert listed(client.get(way(third, "Previous"))) == hundred[50:100]
    assert listed(client.get(way(first, "Last"))) == hundred[70:]
    assert listed(client.get(way(third, "First"))) == hundred[:50]


def test_the_pages_of_a_search_keep_what_was_looked_for(client, hundred):
    first = client.get("/rigs?find=target")
    assert listed(first) == hundred[::2][:50]
    assert "60 rigs with “target” in the name" in first.text
    second = client.get(way(first, "Next"))
    assert listed(second) == hundred[::2][50:]
    assert 'value="target"' in second.text
    assert listed(client.get(way(second, "First"))) == hundred[::2][:50]
    assert "pager" not in client.get("/rigs?find=rig+007").text


def test_a_short_list_needs_no_pages_and_no_count(client, rig_id):
    page = client.get("/rigs").text
    assert rig_id in page
    assert "pager" not in page
    assert "1 rig" not in page


def test_after_the_last_rig_comes_the_last_page(client, hundred):
    page = client.get(f"/rigs?after={hundred[-1]}")
    assert listed(page) == hundred[70:]
    assert client.get(f"/rigs?after={'f' * 20}").status_code == 404


def test_rigs_of_one_name_are_told_apart(client, notebook):
    for place, name in enumerate(("Heron", "HERON", "Wren")):
        number = f"{place + 1:06x}{0:014x}"
        notebook.add(KeptRig("", name), entry_id=number, now=NOW)
    page = client.get("/rigs").text
    assert "sheet of 2026-11-25, id 000001 · never shot" in page
    assert "sheet of 2026-11-25, id 000002 · never shot" in page
    assert "id 000003" not in page


def test_rigs_put_aside_come_in_pages_too(client, notebook, hundred):
    for one in hundred[:60]:
        notebook.withdraw(one, seen=1, now=NOW)
    first = client.get("/aside")
    assert listed(first) == hundred[:50]
    assert listed(client.get(way(first, "Next"))) == hundred[50:60]
    assert listed(client.get(way(first, "Last"))) == hundred[10:60]
    assert listed(client.get("/rigs")) == hundred[60:110]


def test_the_page_of_a_rig_says_the_same_whether_its_calibration_was_kept_or_not(
    client, notebook, rig_id
):
    def said():
        return re.findall(r'<p class="lead">(.*?)</p>', client.get(f"/rigs/{rig_id}").text)

    kept = said()
    assert kept == [
        "Trusted to 92 yd: up to there a mark misses by less than 3 in with 90 % chance."
    ]
    last = notebook.newest("calibration", rig_id)
    notebook.withdraw(last.id, seen=last.number, now=NOW)
    assert said() == kept


def test_the_page_of_a_rig_does_not_repeat_a_calibration_of_other_arrows(client, notebook, rig_id):
    last = notebook.newest("calibration", rig_id)
    false = replace(last.body, trusted_m=(12.8016, 12.8016))  # 14 yd
    kept = notebook.save(last.id, false, seen=last.number, sources=last.sources, now=NOW)
    assert "Trusted to 14 yd" in client.get(f"/rigs/{rig_id}").text
    assert (
        "Trusted to 14 yd"
        not in client.get(f"/rigs/{rig_id}", headers={"cookie": "units=metric"}).text
    )  # it has marks at whole yards
    fewer = kept.sources[1:]
    notebook.save(last.id, false, seen=kept.number, sources=fewer, now=NOW)
    assert "Trusted to 92 yd" in client.get(f"/rigs/{rig_id}").text


@pytest.mark.parametrize(
    "otherwise",
    [{"program": "0.0.9"}, {"seed": 2}, {"cautions": ("A group is odd.",)}, {"groups": 7}],
)
def test_the_page_of_a_rig_calibrates_when_more_is_to_be_said(client, notebook, rig_id, otherwise):
    last = notebook.newest("calibration", rig_id)
    false = replace(last.body, trusted_m=(12.8016, 12.8016), **otherwise)
    notebook.save(last.id, false, seen=last.number, sources=last.sources, now=NOW)
    assert "Trusted to 92 yd" in client.get(f"/rigs/{rig_id}").text


def test_among_many_rigs_the_other_one_is_looked_for(client, notebook, hundred, rig_id):
    page = client.get(f"/rigs/{rig_id}/compare").text
    assert page.count("<option") == 50
    assert "Find the other rig" in page
    found = client.get(f"/rigs/{rig_id}/compare?find=rig+120").text
    assert re.findall(r'<option value="(\w+)"', found) == [hundred[-1]]
    assert (
        "No other rig's name holds “nobody”"
        in client.get(f"/rigs/{rig_id}/compare?find=nobody").text
    )
    chosen = client.get(f"/rigs/{rig_id}/compare?find=nobody&with={hundred[0]}").text
    assert f'<option value="{hundred[0]}" selected>' in chosen
    assert notebook.number_of("rig") == 121
