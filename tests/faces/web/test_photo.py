"""A photograph in place of a ruler: proposals over the picture, refusals, nothing kept of it."""

import base64
import io
import re
import struct
import zlib

import pytest
from PIL import Image
from tests.support.sent_photograph import PLACE, nearest_mm, sent_photograph

from tapewright.faces.web import photo_form
from tapewright.ground.errors import BadInput, MissingExtra
from tapewright.words.quantity_parser import read_size

TYPED = {"distance": "20 yd", "reading": "16.1", "note": "calm <b>", "entry": "ab" * 10}
WITHIN_MM = 1.5  # 0.13 mm of it is the rounding of the fields to 0.01 in
SHOT = {"distance": "20 yd", "reading": "31.2 mm"}


@pytest.fixture
def photo(rig_id):
    return f"/rigs/{rig_id}/photo"


@pytest.fixture
def send(client, photo):
    """Send a picture with the page's form."""

    def sent(content, **fields):
        return client.post(photo, data=TYPED | fields, files={"chosen": ("monday.jpg", content)})

    return sent


@pytest.fixture
def ask(client, rig_id):
    """Ask the API."""

    def asked(content, **more):
        kind = {"content-type": "image/jpeg"}
        return client.post(
            f"/api/rigs/{rig_id}/photo", params=SHOT | more, content=content, headers=kind
        )

    return asked


def words_of(page):
    return " ".join(re.sub(r"<[^>]*>", " ", page).split())


def values(page):
    """What a browser would send of the fields of a page, its ticks left open."""
    inputs = [
        dict(re.findall(r'([\w-]+)="([^"]*)"', one)) for one in re.findall(r"<input [^>]*>", page)
    ]
    chosen = re.findall(r'<input type="radio" name="([^"]*)" value="([^"]*)" checked>', page)
    passed = ("checkbox", "file", "radio")
    open_ones = [one for one in inputs if one.get("type") not in passed]
    return dict(chosen) | {one["name"]: one.get("value", "") for one in open_ones if "name" in one}


def places_mm(fields):
    """Right and down, as a picture has them."""
    rows = [one.partition("-")[2] for one in fields if one.startswith("right-")]
    texts = [(fields[f"right-{row}"], fields[f"up-{row}"]) for row in rows]
    return [(25.4 * float(right), -25.4 * float(up)) for right, up in texts if right]


def png_that_swells(wide, high):
    """A small file that claims many pixels, all of one grey."""

    def chunk(kind, body):
        return (
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        )

    head = struct.pack(">IIBBBBB", wide, high, 8, 0, 0, 0, 0)
    rows = zlib.compress(bytes(wide + 1) * 64, 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def test_the_group_form_leads_to_the_picture_and_what_was_typed_comes_along(client, rig_id, photo):
    page = client.get(f"/rigs/{rig_id}/groups/new").text
    assert f'formaction="{photo}" formmethod="get"' in page
    assert client.get(photo).status_code == 200
    assert client.get(photo, params={"reading": "12"}).status_code == 200
    asked = client.get(
        photo, params=TYPED | {"right-1": "2", "up-1": "", "slope": "3 deg", "seen": "0"}
    )
    carried = values(asked.text)
    assert "seen" not in carried
    assert carried["distance"] == "20 yd"
    assert carried["right-1"] == "2"
    assert carried["slope"] == "3 deg"
    assert "calm &lt;b&gt;" in asked.text
    assert 'accept="image/*" capture="environment"' in asked.text


def test_a_picture_becomes_the_form_of_a_group_over_the_picture(send, notebook, client, rig_id):
    before = len(notebook.entries("group"))
    page = send(sent_photograph()[0], **{"right-1": "5", "up-1": "4.5"})
    assert page.status_code == 200, words_of(page.text)
    fields = values(page.text)
    found = places_mm(fields)
    assert max(nearest_mm(found)) < WITHIN_MM
    assert found[-1] == pytest.approx((127.0, -114.3))  # typed before, last now
    assert (fields["distance"], fields["distance_in"]) == ("20", "yd")
    assert fields["entry"] == "ab" * 10
    said = words_of(page.text)
    assert re.search(r"4 arrows proposed, on A4.*places within [01]\.\d mm\.", said)
    assert "Look for missed holes" in page.text
    assert len(notebook.entries("group")) == before
    kept = client.post(f"/rigs/{rig_id}/groups/new", data=fields)
    assert kept.status_code == 303
    assert len(notebook.entries("group")) == before + 1


def test_the_picture_lies_at_true_scale_inside_the_page_and_tells_no_place(send):
    page = send(sent_photograph()[0])
    policy = page.headers["content-security-policy"]
    assert "img-src 'self' data:;" in policy
    assert "script-src 'self';" in policy
    under = re.search(
        r'<image id="under" href="data:image/jpeg;base64,([^"]*)" x="([^"]*)" y="([^"]*)" '
        r'width="([^"]*)" height="([^"]*)"',
        page.text,
    )
    jpeg = base64.b64decode(under[1])
    assert PLACE not in jpeg
    image = Image.open(io.BytesIO(jpeg))
    assert not image.getexif()
    left, top, wide, high = (25.4 * float(one) for one in under.groups()[1:])
    assert wide / image.width == pytest.approx(high / image.height, rel=1e-6)
    # The sheet is A4 with the aim in its middle; a rim is cut off alike on both sides.
    assert left == pytest.approx(-wide / 2.0, abs=0.3)
    assert top == pytest.approx(-high / 2.0, abs=0.3)
    assert 150.0 < wide < 210.0


def test_a_rectangle_whose_corners_are_told_does_without_marks(send):
    jpeg, corners = sent_photograph()
    told = {f"corner-{n}": f"{x:.1f},{y:.1f}" for n, (x, y) in enumerate(corners, 1)}
    page = send(jpeg, size="190x200 mm", **told)
    assert page.status_code == 200, words_of(page.text)
    assert max(nearest_mm(places_mm(values(page.text)))) < WITHIN_MM
    assert "the four corners" in page.text
    assert "middle of the rectangle" in page.text


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"no picture at all", "this is no picture that can be read"),
        (b"\xff\xd8\xff\xe0 cut short", "picture"),
        (png_that_swells(30_000, 30_000), "megapixels are more than"),
        (png_that_swells(8_000, 8_000), "megapixels are more than"),
        (b"", "no picture was sent"),
    ],
)
def test_what_cannot_be_used_is_refused_and_nothing_changes(send, ask, notebook, content, words):
    before = [entry.id for entry in notebook.entries("group")]
    page = send(content)
    assert page.status_code == 422
    assert words in page.text
    assert "What you typed is still here" in page.text
    assert values(page.text)["distance"] == "20 yd"
    refused = ask(content)
    assert refused.status_code == 422
    assert refused.headers["content-type"] == "application/problem+json"
    assert [entry.id for entry in notebook.entries("group")] == before


def test_a_picture_that_came_only_in_part_is_refused(send):
    whole = sent_photograph()[0]
    page = send(whole[: len(whole) // 2])
    assert page.status_code == 422
    assert "damaged or only partly there" in page.text


def test_a_picture_without_the_target_says_what_to_do(send):
    file = io.BytesIO()
    Image.effect_noise((900, 900), 60).save(file, "PNG")
    page = send(file.getvalue())
    assert page.status_code == 422
    assert 'role="alert"' in page.text


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"code": "nonsense"}, "code", "is no code of a target"),
        ({"size": "40 cm"}, "size", "is not a width and a height"),
        ({"size": "1x1 mm"} | dict.fromkeys([f"corner-{n}" for n in (1, 2, 3, 4)], "9,9"),
         "size", "is not the size of a target"),
        ({"size": "40x40 cm", "corner-1": "9"}, "corner-1", "is no place in the picture"),
        ({"size": "40x40 cm", "corner-1": "9,9"}, "corner-3", "this corner is missing"),
        ({"size": "40x40 cm", "corner-1": "9,9", "corner-2": "99999,9", "corner-3": "9,9",
          "corner-4": "9,9"}, "corner-2", "lies outside the picture"),
        ({"corner-1": "9,9"}, "size", "is not a width and a height"),
    ],
)  # fmt: skip
def test_a_fault_stands_beside_its_field(send, fields, field, words):
    page = send(sent_photograph()[0], **fields)
    assert page.status_code == 422
    fault = re.search(rf'id="{field}-fault">([^<]*)<', page.text)
    assert fault, words_of(page.text)
    assert words in fault[1]


def test_without_the_library_the_way_on_is_told(send, monkeypatch):
    def missing(*_, **__):
        raise MissingExtra("Reading a photograph", "photo")

    monkeypatch.setattr(photo_form, "propose_impacts", missing)
    page = send(sent_photograph()[0])
    assert page.status_code == 422
    assert "Reading a photograph needs an optional library" in page.text
    assert "Go on without a picture" in page.text


def test_one_picture_is_looked_at_at_a_time(send, monkeypatch):
    monkeypatch.setattr(photo_form, "PATIENCE_S", 0.01)
    with photo_form.TURN:  # as if another picture had it
        assert "Send it again in a minute" in send(sent_photograph()[0]).text


def test_programs_get_proposals_from_bytes_or_from_a_form(ask, client, rig_id, notebook):
    jpeg, corners = sent_photograph()
    before = len(notebook.entries("group"))
    found = ask(jpeg, units="metric").json()
    assert found["schema"] == "tapewright.photo/1"
    impacts = [(10.0 * one["right_cm"], -10.0 * one["up_cm"]) for one in found["impacts"]]
    assert max(nearest_mm(impacts)) < WITHIN_MM
    there = f"/api/rigs/{rig_id}/photo"
    as_form = client.post(there, params=SHOT | {"units": "metric"}, files={"picture": jpeg})
    assert as_form.json() == found
    places = " ".join(f"{x:.1f},{y:.1f}" for x, y in corners)
    tapped = ask(jpeg, size="19x20 cm", corners=places).json()
    assert tapped["marks"] == 0
    assert len(notebook.entries("group")) == before


@pytest.mark.parametrize(
    ("more", "place"),
    [
        ({"distance": "far"}, "distance"),
        ({"corners": "1,1 2,2", "size": "9x9 cm"}, "corners"),
        ({"corners": "1,1 2,2 3,3 4", "size": "9x9 cm"}, "corners, 4"),
        ({"size": "9x9 cm"}, "corners"),
    ],
)
def test_programs_are_told_the_place_and_the_mend(ask, more, place):
    refused = ask(sent_photograph()[0], **more)
    assert refused.status_code == 422
    assert refused.json()["place"] == place
    assert refused.json()["mend"]


def test_a_form_without_the_picture_is_refused(client, rig_id):
    there = f"/api/rigs/{rig_id}/photo"
    refused = client.post(there, params=SHOT, files={"other": b"x"})
    assert (refused.status_code, refused.json()["place"]) == (422, "picture")
    assert client.post(there, params=SHOT, content=b"x").status_code == 422
    broken = {"content-type": "multipart/form-data"}
    assert client.post(there, params=SHOT, content=b"x", headers=broken).status_code == 400


@pytest.mark.parametrize("text", ["40x30 cm", "40 cm x 30 cm", "400 mm × 30cm", "0.4 m by 30 cm"])
def test_a_size_reads_as_people_write_it(text):
    assert read_size(text, "size") == pytest.approx((0.4, 0.3))


def test_a_size_needs_its_unit():
    with pytest.raises(BadInput, match="size"):
        read_size("40x30", "size")
