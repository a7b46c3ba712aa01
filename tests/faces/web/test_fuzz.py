"""Whatever is typed, sent or uploaded: no error of our own, and what is refused changes nothing.

Inputs are made from a seed: fields as the pages have them, filled with what people type and with
what breaks programs; archives that were cut, flipped, or edited by somebody who knows the check.
"""

import json
import random
import re
import shutil
from contextlib import suppress
from hashlib import sha256

import pytest
from starlette.testclient import TestClient

from tapewright.faces.web.app import build_app
from tapewright.faces.web.server.security import Rules
from tapewright.services.keep import open_notebook
from tapewright.services.move_notebook import archive_text
from tapewright.storage.plain import canonical

HERE = "http://127.0.0.1"
ALWAYS_FORMS, ALWAYS_ARCHIVES = 150, 20
LONG_FORMS, LONG_ARCHIVES = 16_000, 4_000
BATCH = 80  # inputs to one notebook, so that what is taken does not pile up
TEXTS = (
    "", " ", "0", "-0", "1", "-1", "20", "285 fps", "87 m/s", "20 yd", "18,30 m",
    "10:100:10yd", "3.5 in", "5 mm", "60 lbf", "1 deg", "20 °C", "nan", "inf", "-inf", "1e999",
    "1e-999", "9" * 400, "1:1e9:1yd", "1:0:1m", ",", ";;", "±", "5 ± 3", "5 ± -3",
    "3 parsec", "½", "٣", "1\u202e2", "\x00", "a\x00b", "\r\n\r\n", "\ufeff", "\ud7ff",
    "é" * 70, "x" * 5000, "<script>x()</script>", "'\"><i>", "{{7*7}}", "${x}", "%00",
    "../../etc/passwd", "'; DROP TABLE entry; --", "true", "null", "[]", "{}", "2026-11-25",
    "2026-02-30", "0000-00-00", "pdf", "svg", "dxf", "A4", "none", "on", "metric",
    "distance_yd,reading_mm\n20,15", "distance_yd,slope_deg,right_in,arrows\n20,0,1,3\n40,0,2,3",
    "strip,distance_yd,position_mm\n1,20,0\n1,60,30\n2,20,0\n2,60,31", 'name = "x"', "[bow]\n",
    "a = [" * 300, "name = '''", "schema = 1\nname = 'x'\n[arrow]\nmass = '420 gr'\n",
)  # fmt: skip
NUMBERS = (
    0, -1, 1, 2, 10**20, -(10**20), 0.5, 1e308, -1e308, 1e-320, 5e-324, True, None, "", "x", [], {},
)  # fmt: skip
LOOKED_AT = (
    "", "/history", "/history/sheet/1", "/shoot", "/marks", "/tape", "/change", "/sheet", "/prove",
    "/files/shots.csv", "/files/calibration.json", "/ask/limits",
)  # fmt: skip
FIELDS = ("seen", "name", "distance", "reading", "right-1", "up-1", "here", "find", "units", "text",
          "session", "entry", "rows", "theme", "passcode", "span", "between", "distances",
          "look")  # fmt: skip


@pytest.fixture(scope="module")
def template(tmp_path_factory):
    """A notebook with the sample rig, a proof and a printer, to be copied."""
    file = tmp_path_factory.mktemp("fuzz") / "template.db"
    notebook = open_notebook(f"sqlite:///{file}")
    client = browser(notebook)
    rig_id = client.post("/sample").headers["location"].rpartition("/")[2]
    proof = client.post(f"/rigs/{rig_id}/prove").headers["location"].rpartition("=")[2]
    client.post(
        f"/api/rigs/{rig_id}/sessions/{proof}/groups",
        json={"name": "p", "distance_m": 30.0, "reading_mm": 23.0,
              "impacts": [{"right_mm": 1.0, "up_mm": 2.0}, {"right_mm": -9.0, "up_mm": 5.0}]},
    )  # fmt: skip
    client.post("/api/printers", json={"name": "Desk", "across_mm": 99.6, "down_mm": 100.1})
    sheet = client.get(f"/api/rigs/{rig_id}").json()["sheet"]
    client.post(f"/api/rigs/{rig_id}/changes", json={"sheet": sheet, "seen": 1, "words": "peep"})
    text = archive_text(notebook)
    notebook.close()
    return file, rig_id, text


def browser(notebook):
    app = build_app(notebook, Rules(frozenset({"127.0.0.1"})))
    return TestClient(app, base_url=HERE, follow_redirects=False)


class Fresh:
    """A notebook like the template, its app, and what may be typed into it."""

    def __init__(self, template, folder, chance):
        file, self.rig_id, self.archive = template
        copy = folder / f"{chance.random()}.db"
        shutil.copy(file, copy)
        self.file, self.chance = copy, chance
        self.notebook = open_notebook(f"sqlite:///{copy}")
        self.client = browser(self.notebook)
        self.ids = sorted(set(re.findall(r'"id": "([0-9a-f]{20})"', self.archive)))

    def close(self):
        self.notebook.close()
        self.file.unlink()

    def state(self):
        return sha256(archive_text(self.notebook).encode()).hexdigest()


def addresses(client):
    """Every address that takes something, with how it is asked."""
    found = []
    inside = client.app._app  # noqa: SLF001 — inside the gate, and what packs its pages
    while not hasattr(inside, "routes"):
        inside = inside.app
    stack = list(inside.routes)
    while stack:
        route = stack.pop()
        inner = getattr(route, "routes", None) or getattr(
            getattr(route, "original_router", None), "routes", None
        )
        if inner:
            stack += inner
        elif getattr(route, "methods", None) and route.path != "/sample":
            found += [(one, route.path) for one in sorted(route.methods) if one != "HEAD"]
    assert len(found) > 80
    return sorted(found)


def filled(path, fresh):
    """An address with something in its places."""
    chance = fresh.chance

    def part(match):
        name = match[1]
        if name == "rig_id" and chance.random() < 0.9:
            return fresh.rig_id
        if name.endswith("_id") and chance.random() < 0.85:
            return chance.choice(fresh.ids)
        if name == "number":
            return chance.choice(("1", "2", "0", "99", "x", "9" * 30, "-1"))
        if name in ("ending", "name"):
            return chance.choice(("pdf", "svg", "dxf", "limits", "strips", "level", "x"))
        return re.sub(r"[/?#\x00-\x20\\]", "", chance.choice(TEXTS))[:60] or "x"

    return re.sub(r"\{(\w+)\}", part, path)


def typed(fresh, fields):
    """Something in some fields."""
    chance = fresh.chance
    names = chance.sample(fields, min(len(fields), chance.randint(0, 8)))
    said = {name: chance.choice(TEXTS) for name in names}
    if chance.random() < 0.5:
        said["seen"] = chance.choice(("1", "2", "3"))
    return said


def sent_json(fresh, path, schema):
    """A body near to what is documented."""
    chance = fresh.chance
    ways = schema["paths"].get(path, {})
    wanted = [ways.get(way, {}).get("requestBody", {}) for way in ("post", "put")]
    ref = re.search(r"schemas/(\w+)", json.dumps(wanted))
    shape = schema["components"]["schemas"].get(ref[1], {}) if ref else {}
    body = {}
    for name, one in shape.get("properties", {}).items():
        draw = chance.random()
        if draw < 0.15:
            continue
        usual = {
            "string": chance.choice(TEXTS),
            "integer": chance.choice((1, 2, 3, 0)),
            "number": chance.choice((20.0, 30.5, 99.0)),
            "boolean": True,
        }.get(one.get("type"))
        body[name] = usual if draw < 0.75 and usual is not None else chance.choice(NUMBERS)
    if "impacts" in shape.get("properties", {}):
        body["impacts"] = [{"right_mm": chance.choice((1.0, None, 1e300)), "up_mm": 2.0}]
    text = json.dumps(body)
    return chance.choice(
        (text, text, text, text[:-1], text.replace("1", "NaN", 1), "\ufeff" + text)
    )


def ask_once(fresh, routes, fields, schema):
    """One input; what is refused must change nothing."""
    chance = fresh.chance
    method, path = chance.choice(routes)
    address = filled(path, fresh)
    if method == "GET":
        told = fresh.client.get(address, params=typed(fresh, fields))
        return (method, address), told
    before = fresh.state()
    if path.startswith("/api/"):
        body = sent_json(fresh, path, schema)
        headers = {"content-type": chance.choice(("application/json",) * 9 + ("text/plain",))}
        told = fresh.client.request(method, address, content=body.encode(), headers=headers)
    elif chance.random() < 0.15:
        file = ("x", chance.choice(TEXTS).encode() * chance.choice((1, 50)))
        said = typed(fresh, fields)
        told = fresh.client.request(method, address, data=said, files={"file": file})
    else:
        told = fresh.client.request(method, address, data=typed(fresh, fields))
    if told.status_code >= 400:
        assert fresh.state() == before, (method, address)
    return (method, address), told


def fields_of(fresh):
    """Names of all fields on the pages of a rig."""
    here = f"/rigs/{fresh.rig_id}"
    parts = ("", "/sheet", "/shoot", "/groups/new", "/tape", "/target", "/gauge", "/prove",
             "/change", "/plan", "/ask/level", "/ask/strips")  # fmt: skip
    pages = [*(f"{here}{part}" for part in parts), "/rigs/new", "/printers"]
    shown = "".join(fresh.client.get(page).text for page in pages)
    found = set(re.findall(r' name="([\w-]+)"', shown))
    return sorted(found | set(FIELDS))


def ask_many(template, folder, count, seed):
    statuses = {}
    chance = random.Random(seed)
    for start in range(0, count, BATCH):
        fresh = Fresh(template, folder, chance)
        try:
            if not start:
                routes, fields = addresses(fresh.client), fields_of(fresh)
                schema = fresh.client.get("/api/openapi.json").json()
            for _ in range(min(BATCH, count - start)):
                asked, told = ask_once(fresh, routes, fields, schema)
                assert told.status_code < 500, (asked, told.text[:300])
                assert "Traceback" not in told.text, asked
                statuses[told.status_code] = statuses.get(told.status_code, 0) + 1
        finally:
            fresh.close()
    return statuses


def edited(value, chance):
    """A copy in which one place is another; somebody edits by hand."""
    if isinstance(value, dict) and value and chance.random() < 0.92:
        key = chance.choice(sorted(value))
        draw = chance.random()
        if draw < 0.04:
            return {name: one for name, one in value.items() if name != key}
        if draw < 0.06:
            return value | {"more": 1}
        return value | {key: edited(value[key], chance)}
    if isinstance(value, list) and value and chance.random() < 0.92:
        place = chance.randrange(len(value))
        if chance.random() < 0.05:
            return value[:place] + value[place + 1 :]
        return [*value[:place], edited(value[place], chance), *value[place + 1 :]]
    if isinstance(value, float) and chance.random() < 0.7:
        return value * chance.choice((0.0, -1.0, 1e3, 1e-3, 1.01, 1e300))
    if isinstance(value, str) and chance.random() < 0.5:
        return chance.choice((value[: len(value) // 2], value + "x", value.replace("\n", "", 1)))
    return chance.choice((*NUMBERS, *TEXTS[:40]))


def leaves(value):
    """Every place of a body that holds a value, as its holder and its key."""
    pairs = value.items() if isinstance(value, dict) else enumerate(value)
    for key, one in list(pairs):
        if isinstance(one, dict | list):
            yield from leaves(one)
        else:
            yield value, key


def other(value, chance):
    """Another value of the same kind."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + chance.choice((-1, 1, 5, 1000, -(10**9)))
    if isinstance(value, float):
        return value * chance.choice((0.0, -1.0, 1e3, 1e-3, 1.01, 1e300, 1e-300))
    if value is None:
        return chance.choice((0.0, 1.0, "", "0" * 20))
    cut = chance.randrange(len(value) + 1)
    return chance.choice((value[:cut], value + "x", chance.choice(TEXTS), value[cut:]))


def touch_up(entries, chance):
    """Change one to three values inside what is kept; everything stays of its kind."""
    for _ in range(chance.randint(1, 3)):
        version = chance.choice(chance.choice(entries)["versions"])
        holder, key = chance.choice(list(leaves(version["body"])))
        holder[key] = other(holder[key], chance)


def broken_archive(text, chance):
    draw = chance.random()
    if draw < 0.2:
        return text[: chance.randrange(len(text))].encode()
    if draw < 0.4:
        raw = bytearray(text.encode())
        for _ in range(chance.randint(1, 4)):
            raw[chance.randrange(len(raw))] = chance.randrange(256)
        return bytes(raw)
    whole = json.loads(text)
    if draw < 0.6:
        whole["entries"] = edited(whole["entries"], chance)
    else:
        touch_up(whole["entries"], chance)
    with suppress(ValueError):
        whole["check"] = sha256(canonical(whole["entries"]).encode()).hexdigest()
    return json.dumps(whole).encode(errors="surrogatepass")


def look_round(client):
    """Every page of every rig, after something odd was taken in."""
    for line in client.get("/api/rigs").json():
        here = f"/rigs/{line['id']}"
        for page in LOOKED_AT:
            told = client.get(here + page)
            assert told.status_code < 500, (page, told.text[:300])
        for part in ("groups", "sessions", "changes", "prints", "calibrations", "history"):
            assert client.get(f"/api{here}/{part}").status_code == 200
    for page in ("/rigs", "/aside", "/printers", "/archive", "/api/printers"):
        assert client.get(page).status_code == 200


def take_in_many(template, folder, count, seed):
    chance = random.Random(seed)
    taken = 0
    fresh = Fresh(template, folder, chance)
    empty = open_notebook(f"sqlite:///{folder}/empty{seed}.db")
    away = browser(empty)
    nothing = archive_text(empty)
    for _ in range(count):
        sent = broken_archive(fresh.archive, chance)
        here = chance.random() < 0.3
        client, notebook = (fresh.client, fresh.notebook) if here else (away, empty)
        before = archive_text(notebook)
        if chance.random() < 0.5:
            told = client.post("/archive", files={"file": ("a.json", sent)})
        else:
            headers = {"content-type": "application/json"}
            told = client.post("/api/archive", content=sent, headers=headers)
        assert told.status_code in (200, 422), told.text[:300]
        assert "Traceback" not in told.text
        if told.status_code != 200:
            assert archive_text(notebook) == before
            continue
        taken += archive_text(notebook) != before
        look_round(client)
        if notebook is empty and archive_text(empty) != nothing:
            empty.close()
            empty = open_notebook(f"sqlite:///{folder}/empty{seed}-{taken}.db")
            away = browser(empty)
    fresh.close()
    empty.close()
    return taken


def test_no_form_breaks_the_program(template, tmp_path):
    statuses = ask_many(template, tmp_path, ALWAYS_FORMS, seed=1)
    assert statuses.keys() & {200, 303}, "some inputs must be taken"
    assert statuses.keys() & {404, 422}, "some inputs must be refused"


def test_no_archive_breaks_the_program(template, tmp_path):
    assert take_in_many(template, tmp_path, ALWAYS_ARCHIVES, seed=2) > 0  # some are taken


@pytest.mark.long
@pytest.mark.parametrize("seed", range(10, 18))
def test_no_form_breaks_the_program_over_and_over(template, tmp_path, seed):
    assert sum(ask_many(template, tmp_path, LONG_FORMS // 8, seed).values()) == LONG_FORMS // 8


@pytest.mark.long
@pytest.mark.parametrize("seed", range(20, 28))
def test_no_archive_breaks_the_program_over_and_over(template, tmp_path, seed):
    assert take_in_many(template, tmp_path, LONG_ARCHIVES // 8, seed) > 10
