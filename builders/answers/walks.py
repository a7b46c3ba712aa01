# ruff: noqa: E501 — an address is a line, as it is asked for
"""Walks: what is asked of the web app, step by step.

The sample's walk sends every form and asks every route; a rig by chance is put in, looked at from
all sides in yards and in metres, and tried out without much being kept.

Holds:  the steps, and what is typed in them.
Never:  how a form is read or an answer recorded (visited.py).
"""

import time

IMAGE = {"corner-1": "100,100", "corner-2": "700,100", "corner-3": "700,900", "corner-4": "100,900"}
CORNERS = "100,100 700,100 700,900 100,900"
NOWHERE, OK = "f" * 20, 200
# Questions that an address says itself; {rig} is the rig's page.
SAID = (
    "{rig}/marks?distances=18,30+m", "{rig}/marks?distances=nothing", "{rig}/marks?fixed_pins=20,40yd",
    "{rig}/marks?pin=2", "{rig}/plan?to=70+yd&arrows=30&butt=60x60cm", "{rig}/plan?to=nothing",
    "{rig}/ask/group?group=1", "{rig}/ask/clicks?distances=20,40yd", "{rig}/ask/strips?to=50+yd",
    "{rig}/ask/limits?distances=20,80yd", "{rig}/ask/level?cant=2+deg", "{rig}/ask/level?cant=2",
    "{rig}/ask/card?distances=20:60:20yd&pin=2", "{rig}/ask/card?distances=nothing",
    "{rig}/ask/slopes?slopes=10,25", "{rig}/ask/slopes?slopes=90",
    "{rig}/ask/weather?temperature=-5+°C&altitude=1800+m", "{rig}/ask/weather?temperature=5",
    "{rig}/ask/wind?cross=3+m/s&spot=12+cm", "{rig}/ask/wind?cross=fast",
    "{rig}/ask/budget?at=40+yd&cant=1+deg", "{rig}/ask/budget?at=yonder", "{rig}/ask/nothing",
    "{rig}/tape?distances=nothing&width=60+mm", "{rig}/tape?wheel=48+mm&far_end=up&pointer=left",
    "{rig}/tape.pdf?paper=Letter&number_every=10&step=0.8+mm", "{rig}/tape.svg?between=30,70",
    "{rig}/tape.txt", "{rig}/gauge?start=5&reach=999", "{rig}/gauge.svg?start=10&reach=60",
    "{rig}/target?size=6x9", "{rig}/target.pdf?size=60x90cm&distance=50+m&tolerance=none&grid=cm",
    "{rig}/card.pdf?sizes=pocket&paper=Letter", "{rig}/change?butt=nothing",
    "{rig}/change?distances=20,40yd", "{rig}/sheet?text=1", "{rig}/sheet?saved=1",
    "{rig}/sheet?why=changed", "{rig}/change/try?text=1", "{rig}/compare?distances=20,40yd",
    "{rig}/groups/new?distance=40+yd&reading=29.4&rows=5", "{rig}/prove?between=nothing",
    "{rig}/pocket.html?save=1", "/rigs?find=nobody", "/rigs?find=her", "/rigs/new?text=1",
    f"/rigs/{NOWHERE}", f"/rigs/{NOWHERE}/marks", "/nowhere", "/rigs/short", "/static/style.css",
)  # fmt: skip
API_SAID = (
    "/calibration?units=metric&distances=18,30+m", "/calibration?distances=nothing",
    "/calibration?units=miles", "/ask/marks?units=metric", "/ask/plan?units=metric",
    "/ask/wind?cross=fast", "/ask/wind?cross=3+m/s&units=metric", "/ask/card?units=metric",
    "/ask/slopes?units=metric", "/ask/weather?altitude=1800+m&units=metric", "/ask/limits?units=metric",
    "/ask/level?units=metric", "/ask/strips?units=metric", "/ask/clicks?units=metric",
    "/ask/group?units=metric", "/ask/budget?units=metric", "/ask/nothing", "/tape/pdf?units=metric",
    "/tape/pdf?paper=A3", "/tape/svg?width=14+mm&far_end=up", "/pocket?units=metric", "/tape/txt",
    "/card/pdf?size=pocket&units=metric", "/gauge/pdf?start=5&reach=60", "/target/svg?grid=cm",
    "/target/pdf?moon=full",
)  # fmt: skip
PICTURES = ["flight", "marks", "slopes", "budget"]


def holes(visitor, rig_id, *, short=False):
    """What fills the holes of addresses, from what the notebook holds.

    Parameters
    ----------
    visitor : Visitor
        Who may look.
    rig_id : str
        Of the rig.
    short : bool
        Whether one ending of each file will do.
    """
    http, here = visitor.http, f"/api/rigs/{rig_id}"
    kept = {
        kind: [one["id"] for one in http.get(f"{here}/{kind}s").json()]
        for kind in ("session", "group", "change", "calibration")
    }
    for kind, ids in kept.items():
        visitor.know(**{f"{kind}_{number}": one for number, one in enumerate(ids, 1)})
    printers = [one["id"] for one in http.get("/api/printers").json()]
    visitor.know(**{f"printer_{number}": one for number, one in enumerate(printers, 1)})
    names = [path.rpartition("/")[2] for _, path in visitor.routes if "/ask/" in path]
    sheets = ["pdf"] if short else ["pdf", "svg"]
    known = {f"{kind}_id": ids[:2] for kind, ids in kept.items()}
    return known | {
        "rig_id": [rig_id],
        "printer_id": printers[:1],
        "/sessions/*": kept["session"][:2],
        "/groups/*": kept["group"][:2],
        "/printers/*": printers[:1],
        "/sheet/*": ["1"],
        "/ask/*": sorted({one for one in names if "{" not in one} | {"group", "clicks"}),
        "/picture/*": PICTURES,
        "ending": sheets,
        **{f"{rig_id}/picture/{one}.*": ["svg"] if short else ["svg", "png"] for one in PICTURES},
        f"{rig_id}/card.*": ["csv"] if short else ["csv", "pdf"],
        f"{rig_id}/tape.*": sheets if short else [*sheets, "dxf"],
        "/tape/*": ["svg"] if short else [*sheets, "dxf"],
    }


def look_around(visitor, rig_id, *, short=False):
    """Every address that is read, in yards and in metres."""
    known = holes(visitor, rig_id, short=short)
    addresses = visitor.filled(known)
    for units in ("imperial", "metric"):
        visitor.wish(units)
        for address in addresses:
            again = units == "metric" and (
                address.startswith("/api/") or (short and _costs(address))
            )
            if not again and not (short and "openapi" in address):
                visitor.get(address, units)
        for address in SAID[: 38 if short else None : 2 if short else 1]:
            visitor.get(address.format(rig=f"/rigs/{rig_id}"), units)
    visitor.wish("imperial")
    for address in API_SAID[: 17 if short else None]:
        visitor.get(f"/api/rigs/{rig_id}{address}")


def _costs(address):
    """Whether an address takes long to answer: once is enough of many rigs."""
    return address.endswith((".pdf", ".svg", ".html"))


def put_in(visitor, files, name="rig"):
    """Put a rig in from its files; its id."""
    sent = {"sheet": ("rig.toml", files["rig.toml"].encode())}
    if files["shots.csv"].count("\n") > 1:
        sent["shots"] = ("shots.csv", files["shots.csv"].encode())
    answer = visitor.send("/rigs/new/file", files=sent, label=f"{name} files", shot_on="2031-04-01")
    rig_id = answer.headers.get("location", NOWHERE).rpartition("/")[2]
    if rig_id != NOWHERE:
        visitor.know(**{name: rig_id})
    return rig_id


def _reading(visitor, rig_id):
    """A reading near the mark of 40 yd, for a group that fits."""
    answer = visitor.http.get(f"/api/rigs/{rig_id}/calibration?distances=40+yd")
    marks = answer.json().get("marks") if answer.status_code == OK else None
    return f"{marks[0]['reading_mm'] + 0.2:.1f} mm" if marks else "29.4 mm"


def try_out(visitor, rig_id, files):
    """What is tried and kept of any rig: a change, a group, prints."""
    here = f"/rigs/{rig_id}"
    for units in ("imperial", "metric"):
        visitor.wish(units)
        visitor.send(f"{here}/change/try", label=units, **{"arrow.mass": "398 gr ± 2"})
        visitor.send(f"{here}/change/try?text=1", label=f"text {units}", text=files["new.toml"])
    visitor.wish("imperial")
    visitor.send(f"{here}/sheet", label="look", look="1", **{"arrow.mass": "402 gr ± 3"})
    typed = {
        "distance": "40 yd",
        "reading": _reading(visitor, rig_id),
        "right-1": "1.5 in",
        "up-1": "-2 in",
    }
    visitor.send(f"{here}/groups/new", label="a row more", add="yes", **typed)
    visitor.send(f"{here}/groups/new", label="wrong", **typed | {"reading": "far", "up-1": "x"})
    added = visitor.send(f"{here}/groups/new", label="kept", keep="yes", **typed)
    added_id = added.headers.get("location", "").rpartition("/")[2]
    visitor.know(new_group=added_id)
    if added_id:
        visitor.get(f"{here}/groups/{added_id}", "after it was kept")
    for what in ("tape", "gauge", "target", "card", "pocket"):
        page = f"{here}/ask/card" if what == "card" else f"{here}/{what}"
        visitor.send(page, f"{here}/{what}", label="print")


def walk_rig(visitor, files):
    """A rig by chance: put in, looked at, tried out."""
    rig_id = put_in(visitor, files)
    if rig_id != NOWHERE:
        look_around(visitor, rig_id, short=True)
        try_out(visitor, rig_id, files)
        for address in (f"/rigs/{rig_id}", f"/rigs/{rig_id}/shoot", f"/rigs/{rig_id}/history"):
            visitor.get(address, "afterwards")


def walk_sample(visitor, files, image):
    """The sample: every form, every route, refusals, from an empty notebook on."""
    for address in visitor.filled({}):
        visitor.get(address, "empty")
    put_in(visitor, files | {"rig.toml": "name = 3\n"}, "refused")
    answer = visitor.send("/rigs", "/sample")
    rig_id = answer.headers["location"].rpartition("/")[2]
    visitor.know(rig=rig_id)
    other_id = put_in(visitor, files, "other")
    here = f"/rigs/{rig_id}"
    visitor.send("/printers", label="kept", name="den", across="99.6", down="100.2")
    visitor.send("/printers", label="wrong", name="", across="x", down="5")
    for units in ("metric", "imperial"):
        visitor.send("/wishes", units=units, theme="dark", label=units)
    look_around(visitor, rig_id)
    visitor.get(f"{here}/compare?with={other_id}")
    try_out(visitor, rig_id, files)
    visitor.send(
        f"{here}/photo", label="corners", files={"picture": ("target.png", image)},
        size="30x40 cm", **IMAGE,
    )  # fmt: skip
    visitor.send(f"{here}/photo", label="none")
    visitor.send("/enter", passcode="not needed")
    _shoot(visitor, rig_id, files)
    _change(visitor, rig_id, files)
    _put_aside(visitor, rig_id, other_id)
    _archive(visitor, rig_id)
    api_walk(visitor, files, image)
    for address in ("/rigs", "/aside", here, f"{here}/history", f"{here}/change", f"{here}/marks"):
        visitor.get(address, "afterwards")
    visitor.send("/refits", "/refits")
    visitor.ask("DELETE", "/rigs")
    visitor.ask("PUT", "/api/printers")


def _shoot(visitor, rig_id, files):
    """Sessions, groups, shots from a file, a proof."""
    here = f"/rigs/{rig_id}"
    known = holes(visitor, rig_id)
    session_id, group_id = known["session_id"][0], known["group_id"][0]
    page = f"{here}/sessions/{session_id}"
    visitor.send(page, label="note", note="gusty")
    visitor.send(page, label="wrong day", shot_on="yesterday")
    visitor.send(page, label="seen before", seen="1", note="calm")
    page = f"{here}/groups/{group_id}"
    visitor.send(page, label="note", note="first")
    visitor.send(page, label="wrong", reading="x")
    visitor.send(page, label="seen before", seen="1", note="second")
    visitor.send(page, f"{page}/withdraw")
    visitor.get(page, "aside")
    visitor.send(page, f"{page}/restore")
    page = f"{here}/shots"
    visitor.send(page, label="since", rows=files["since.csv"], shot_on="2031-04-02", anyway="yes")
    visitor.send(page, label="known", rows=files["since.csv"], shot_on="2031-04-02")
    visitor.send(page, label="wrong", rows="group,distance_yd\na,20\n")
    begun = visitor.send(f"{here}/prove", f"{here}/prove", label="begin")
    proof_id = begun.headers["location"].rpartition("=")[2]
    visitor.know(proof=proof_id)
    visitor.send(page, label="proof", rows=files["proof.csv"], session=proof_id, anyway="yes")
    for address in (
        f"{here}/prove",
        f"{here}/prove?session={proof_id}&look=accept",
        f"{here}/shoot",
    ):
        visitor.get(address, "proof")
    visitor.send(f"{here}/prove", f"{here}/prove/{proof_id}/accept")


def _change(visitor, rig_id, files):
    """The sheet corrected, changed, back and forth."""
    here = f"/rigs/{rig_id}"
    page = f"{here}/sheet"
    visitor.send(page, label="why not", **{"arrow.mass": "421 gr ± 2"})
    visitor.send(page, label="corrected", why="corrected", **{"arrow.mass": "421 gr ± 2"})
    visitor.send(page, label="wrong", why="corrected", **{"arrow.mass": "heavy"})
    visitor.send(page, label="seen before", why="corrected", seen="1", **{"arrow.mass": "422 gr"})
    visitor.send(f"{page}?text=1", page, label="same", why="changed", text=files["rig.toml"])
    visitor.send(
        f"{page}?text=1",
        page,
        label="changed",
        why="changed",
        text=files["new.toml"],
        words="lighter",
    )
    visitor.get(f"{here}/change", "changed")
    change_id = holes(visitor, rig_id)["change_id"][-1]
    page = f"{here}/change"
    visitor.send(page, f"{page}/{change_id}/withdraw")
    visitor.get(page, "taken back")
    visitor.send(page, f"{page}/{change_id}/restore")
    page = f"{here}/history/sheet/1"
    visitor.send(page, f"{page}/back")
    session_id = holes(visitor, rig_id)["session_id"][-1]
    for way in ("withdraw", "restore"):
        visitor.send(f"{here}/history", f"{here}/history/{session_id}/{way}")
    fields = {"name": "Lapwing", "arrow.mass": "430 gr", "arrow.shaft_diameter": "6 mm"}
    visitor.send("/rigs/new", label="wrong", **fields | {"arrow.mass": ""})
    visitor.send("/rigs/new", label="look", look="1", **fields)
    made = visitor.send("/rigs/new", label="kept", **fields)
    visitor.know(lapwing=made.headers.get("location", "").rpartition("/")[2])
    visitor.send("/rigs/new?text=1", "/rigs/new", label="text", text="name = \n")


def _put_aside(visitor, rig_id, other_id):
    """Rigs and printers put aside and taken back."""
    visitor.send(f"/rigs/{other_id}", f"/rigs/{other_id}/withdraw")
    visitor.get("/aside", "one")
    visitor.get(f"/rigs/{other_id}", "aside")
    visitor.send("/aside", f"/rigs/{other_id}/restore")
    printer = f"/printers/{holes(visitor, rig_id)['printer_id'][0]}"
    visitor.send(printer, label="kept", across="99.7", down="100.1")
    visitor.send(printer, label="wrong", across="x")
    visitor.send(printer, f"{printer}/withdraw")
    visitor.get(printer, "aside")
    visitor.send(printer, f"{printer}/restore")


def _archive(visitor, rig_id):
    """The archive of all, read back, and one that is none."""
    whole = visitor.http.get("/archive/download").content
    visitor.send("/archive", files={"file": ("all.json", whole)}, label="same")
    visitor.send("/archive", files={"file": ("all.json", b"{}")}, label="none")
    visitor.ask("POST", "/api/archive", "same", content=whole)
    visitor.ask("POST", "/api/archive", "none", content=b"[")
    visitor.get(f"/api/archive?rig_id={rig_id}")


def api_walk(visitor, files, image):
    """Another program: keeps one of everything, saves it, puts it aside, takes it back."""
    api = visitor.api
    rig = api("POST", "/api/rigs", {"sheet": files["rig.toml"]})
    api("POST", "/api/rigs", {"sheet": "name = 3"}, "wrong")
    api("POST", "/api/rigs", {"sheets": 3}, "misshaped")
    visitor.know(api_rig=rig["id"])
    here = f"/api/rigs/{rig['id']}"
    api("PUT", here, {"sheet": files["rig.toml"], "seen": 1})
    api("PUT", here, {"sheet": files["rig.toml"], "seen": 1}, "seen before")
    session = api("POST", f"{here}/sessions", {"shot_on": "2031-04-03", "note": "calm"})
    visitor.know(api_session=session["id"])
    place = f"{here}/sessions/{session['id']}"
    api("PUT", place, {"shot_on": "2031-04-03", "note": "windy", "seen": 1})
    group = {"name": "a", "distance_m": 27.4, "reading_mm": 26.1, "slope_deg": 5.0,
             "impacts": [{"right_mm": 10.0, "up_mm": -20.0}, {"right_mm": -5.5, "up_mm": 8.0}]}  # fmt: skip
    kept = api("POST", f"{place}/groups", group)
    visitor.know(api_group=kept["id"])
    api("POST", f"{place}/groups", group, "same name")
    api("POST", f"{place}/groups", group | {"name": "b", "distance_m": -1.0}, "wrong")
    api("POST", f"{place}/groups", group | {"name": "b", "pressure_hpa": 950.0}, "pressure")
    api("PUT", f"{here}/groups/{kept['id']}", group | {"note": "better", "seen": 1})
    change = api(
        "POST", f"{here}/changes", {"sheet": files["new.toml"], "seen": 2, "words": "lighter"}
    )
    visitor.know(api_change=change["id"])
    made = {"what": "tape", "printed_on": "2031-04-04", "choices": {"paper": "A4"}}
    api("POST", f"{here}/prints", made)
    printer = api("POST", "/api/printers", {"name": "attic", "across_mm": 99.4, "down_mm": 100.3})
    visitor.know(api_printer=printer["id"])
    whose = f"/api/printers/{printer['id']}"
    api("PUT", whose, {"name": "attic", "across_mm": 99.5, "down_mm": 100.3, "seen": 1})
    asked = "distance=20+yd&reading=31.2+mm&size=30x40cm&corners=" + CORNERS.replace(" ", "+")
    visitor.ask(
        "POST", f"{here}/photo?{asked}", content=image, headers={"content-type": "image/png"}
    )
    visitor.ask("POST", f"{here}/photo?distance=20&reading=1", content=b"no picture")
    for thing, where in ((kept, f"{here}/groups/{kept['id']}"), (session, place),
                         (change, f"{here}/changes/{change['id']}"), (printer, whose), (rig, here)):  # fmt: skip
        for way in ("withdraw", "restore"):
            seen = _newest(visitor, where, thing["number"])
            api("POST", f"{where}/{way}", {"seen": seen})
    for address in visitor.filled(holes(visitor, rig["id"])):
        if address.startswith(here):
            visitor.get(address)


def _newest(visitor, where, usual):
    """Number of the newest version of a thing; some have no address of their own."""
    answer = visitor.http.get(where)
    return answer.json()["number"] if answer.status_code == OK else usual


def walk_background(visitor, most_s=120.0, still_s=3.0):
    """What the app does by itself while it is served: plans after a fit, refits all."""
    rig_id = visitor.send("/rigs", "/sample").headers["location"].rpartition("/")[2]
    visitor.know(rig=rig_id)
    visitor.http.post("/refits")
    until, before, since = time.monotonic() + most_s, "", time.monotonic()
    while time.monotonic() < until:
        pages = [visitor.http.get(one).text for one in ("/refits", "/api/rigs", "/rigs")]
        now = "\n".join(pages)
        if now != before or "<progress" in now:
            before, since = now, time.monotonic()
        elif time.monotonic() - since > still_s:
            break
        time.sleep(0.3)
    for address in ("/refits", "/rigs", "/api/rigs", f"/rigs/{rig_id}", f"/rigs/{rig_id}/history"):
        visitor.get(address, "later")


def walk_strangers(visitor, passcode):
    """Who comes from elsewhere, and the passcode."""
    for address in ("/rigs", "/api/rigs", "/enter", "/health"):
        visitor.get(address, "locked")
    visitor.send("/enter", passcode="wrong", label="wrong")
    visitor.send("/enter", passcode=passcode, label="right")
    visitor.get("/rigs", "entered")
    visitor.ask("GET", "/rigs", "other host", headers={"Host": "elsewhere.example"})
    visitor.ask("POST", "/sample", "other site", headers={"Origin": "http://elsewhere.example"})
