"""The page that says how far to trust a rig's marks, and why."""

import re

import pytest


@pytest.fixture
def marks(rig_id):
    return f"/rigs/{rig_id}/marks"


def table(page, title):
    body = page.split(f"<caption>{title}</caption>")[1].split("</table>")[0]
    rows = re.findall(r"<tr[^>]*>(.*?)</tr>", body, re.DOTALL)
    return [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row) for row in rows]


def test_the_trusted_distance_stands_in_large_letters_with_its_sentence(client, marks):
    page = client.get(marks)
    assert page.status_code == 200
    assert "<strong>92 yd</strong>" in page.text
    assert "up to there a mark misses by less than 3 in with 90 % chance" in page.text
    assert "8 groups, 40 arrows" in page.text
    assert "Do not set the sight past" in page.text
    assert "style=" not in page.text


def test_marks_stand_each_ten_unless_somebody_asks(client, marks):
    page = client.get(marks).text
    rows = table(page, "Marks")
    assert [row[0] for row in rows[1:4]] == ["10", "20", "30"]
    short = table(page, "What to dial with pin 1")
    assert short[0] == ["distance yd", "dial mm", "± in on the target"]
    assert [row[0:2] for row in short[1:4]] == [row[0:2] for row in rows[1:4]]
    assert (
        page.index("What to dial") < page.index('class="fan"') < page.index("How sure each mark is")
    )
    rows = table(client.get(f"{marks}?distances=18,30m").text, "Marks")
    assert [row[0] for row in rows[1:]] == ["19.7", "32.8"]  # 18 m and 30 m in yards
    client.cookies.set("units", "metric")
    rows = table(client.get(f"{marks}?distances=18,30m").text, "Marks")
    assert [row[0] for row in rows[1:]] == ["18", "30"]


def test_the_other_pin_has_its_own_marks_and_groups(client, marks):
    first, second = (client.get(f"{marks}?pin={pin}").text for pin in (1, 2))
    assert table(second, "Marks of pin 2") != table(first, "Marks")
    assert "<circle" in first
    assert client.get(f"{marks}?pin=9").status_code == 200
    assert client.get(f"{marks}?pin=x").status_code == 200


def test_groups_and_sheet_are_set_against_the_calibration(client, marks):
    page = client.get(marks).text
    assert len(table(page, "Groups: centre against the fit")) == 9
    rows = {row[0]: row for row in table(page, "Sheet against arrows")}
    assert rows["launch speed, ft/s"][1] == "278"  # as the sheet says
    assert "usual values taken: a compound bow; drag coefficient" in page


def test_fixed_pins_are_placed(client, marks):
    rows = table(
        client.get(f"{marks}?fixed_pins=20,30,40yd").text, "Fixed pins: mm below the first"
    )
    assert [row[0] for row in rows[1:]] == ["20 yd", "30 yd", "40 yd"]
    assert rows[1][1] == "0.00"


def test_a_bare_number_counts_in_the_units_that_are_read(client, marks):
    """A keyboard of digits has no letters: 27 is said in the yards or metres of the page."""
    rows = table(client.get(f"{marks}?fixed_pins=20,27").text, "Fixed pins: mm below the first")
    assert [row[0] for row in rows[1:]] == ["20 yd", "27 yd"]
    client.cookies.set("units", "metric")
    page = client.get(f"{marks}?distances=27&fixed_pins=20,27").text
    rows = table(page, "Fixed pins: mm below the first")
    assert [row[0] for row in rows[1:]] == ["20 m", "27 m"]
    assert ">27 m<" in page


@pytest.mark.parametrize(
    ("asked", "place"),
    [
        ("distances=far", "distances"),
        ("distances=10:400:1yd", "distances"),
        ("fixed_pins=30,20yd", "fixed_pins"),
        ("distances=<script>", "distances"),
    ],
)
def test_what_cannot_be_read_is_told_beside_its_field(client, marks, asked, place):
    page = client.get(f"{marks}?{asked}")
    assert page.status_code == 422
    assert f'id="{place}-fault"' in page.text
    assert "<strong>92 yd</strong>" in page.text  # the rest of the page stays
    assert "<script>" not in page.text


def test_a_rig_without_arrows_says_so(client, notebook, rig_id, marks):
    from datetime import UTC, datetime

    for one in notebook.entries("group", rig_id):
        notebook.withdraw(one.id, seen=one.number, now=datetime.now(UTC))
    page = client.get(marks)
    assert page.status_code == 200
    assert "Trusted to</span> <strong>no distance yet</strong>" in page.text
    assert "No arrow was shot yet" in page.text
    assert "Groups: centre" not in page.text


def test_marks_are_an_errand_too(client, rig_id):
    page = client.get(f"/rigs/{rig_id}/ask/marks?distances=20,30,40yd")
    assert page.status_code == 200
    assert [row[0] for row in table(page.text, "Marks")[1:]] == ["20", "30", "40"]
