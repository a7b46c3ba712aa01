"""Build what tests/kept/0.1 holds: a notebook, an archive, a dump, sheets, files and prints.

It ran once, with version 0.1.0 of the program, from the repository's root:

    PYTHONPATH=src:tests/support python builders/build_kept_0_1.py

and is kept to show how those files came about. It must not be run with a later version: what it
wrote is read by every later one, to show that nothing of 0.1 is lost. Needs PostgreSQL's own
programs, and the extras photo, engrave and shop.

Holds:  three invented rigs with everything that 0.1 could keep; the numbers that 0.1 answered.
Never:  anybody's real bow; evidence: these numbers only say what 0.1 said.
"""

# ruff: noqa: FURB192, ISC004 — as it ran
import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import psycopg
from sent_photograph import sent_photograph
from sqlalchemy import text

from tapewright import __version__
from tapewright.faces.kept_rigs import keep_calibration, keep_next_shot, kept_answer, kept_rig
from tapewright.reading.shots_reader import load_shots
from tapewright.services.keep import (
    KeptChange,
    KeptGroup,
    KeptJob,
    KeptPrint,
    KeptPrinter,
    KeptRig,
    KeptSession,
    Source,
    Write,
    open_notebook,
)
from tapewright.services.move_notebook import archive_text, load_archive, take_in
from tapewright.services.read_photo import propose_impacts
from tapewright.services.record_groups import Impact, observe_group
from tapewright.words.unit_system import IMPERIAL, METRIC

OUT = Path("tests/kept/0.1")
BEGIN = datetime(2026, 11, 20, 9, 30, tzinfo=UTC)
IDS, MOMENTS = count(0xA1), count(1)

HERON = Path("src/tapewright/faces/sample/heron.toml").read_text(encoding="utf-8")
IBIS = """\
# An invented rig: metric, left hand, numbers that fall toward far targets.
schema = 1
name = "Ibis — Müllers Grün"
hand = "left"
[bow]
draw_weight = "24 kgf"
draw_length = "71 cm"
brace_height = "17 cm"
rated_speed = "95 m/s ± 2"
rated_draw_weight = "31.75 kgf"
rated_draw_length = "76.2 cm"
rated_arrow_mass = "22.68 g"
[[bow.chronograph]]
speed = "81.5 m/s ± 0.8"
at = "1.5 m"
[arrow]
mass = "27.2 g ± 0.1"
shaft_diameter = "5.9 mm"
length = "72 cm"
point = "broadhead"
vane_height = "11 mm"
[sight]
peep_height = "118 mm ± 4"
sight_radius = "84 cm ± 1.5"
reading_per_travel = "1.0 ± 0.03"
farther = "decreases"
housing_below_pin = "21 mm"
travel_ends = ["4 mm", "71 mm"]
elevation_click = "0.12 mm"
windage_click = "0.07 mm"
[archer]
tolerance = "8 cm"
dispersion = "1.1 mrad"
distance_error = "0.3 m"
reading_error = "0.15 mm"
[air]
temperature = "24 °C"
altitude = "640 m"
humidity = "35 %"
"""
EGRET = """\
schema = 1
name = "Egret"
[bow]
launch_speed = "251 ft/s ± 4"
[arrow]
mass = "455 gr ± 3"
shaft_diameter = "0.246 in"
[sight]
peep_height = "4.9 in ± 0.2"
sight_radius = "31 in ± 0.6"
reading_per_travel = "1.25 ± 0.04"
"""
SIDES = """\
distance_yd,slope_deg,right_in,arrows
20,0,0.1,3
50,0,0.9,4
30,25,-0.7,3
30,-25,0.8,2
"""
TURNED = """\
group,distance_yd,clicks,up_in
a,20,0,0.1
a,20,0,-0.2
b,20,30,3.9
b,20,30,4.2
c,40,0,-0.1
c,40,30,8.3
"""


def new_id():
    """Ids in order, so that the files can be read beside each other."""
    return f"{next(IDS):020x}"


def moment():
    """Moments in order, some minutes apart."""
    return BEGIN + timedelta(minutes=7 * next(MOMENTS), microseconds=123_456)


def groups(answer, session_id, rig_id, places, **told):
    """A group at each place, shot about the marks that the sheet alone gives."""
    at = dict(zip(answer.bands.distance_m, answer.bands.reading_m, strict=True))
    for number, distance_m in enumerate(places, 1):
        near = min(at, key=lambda one: abs(one - distance_m))
        off = 0.0009 * near
        hits = [
            Impact(0.31 * off, 0.92 * off),
            Impact(-0.71 * off, -0.24 * off),
            Impact(None, 0.5 * off),
            Impact(0.11 * off, -0.63 * off, arrows=2),
            Impact(3.0 * off, -4.0 * off, called_bad=True),
        ]
        one = observe_group(f"g{number}", hits, distance_m=near, reading_m=at[near], **told)
        yield Write(new_id(), KeptGroup(session_id, one, "gusty" if number == 2 else ""),
                    rig_id=rig_id)  # fmt: skip


def calibrate(notebook, rig_id, units):
    """Keep what 0.1 answers for a rig, with what to shoot next."""
    kept = kept_rig(notebook, rig_id)
    answer = kept_answer(kept, units)
    entry = keep_calibration(notebook, rig_id, kept, answer, new_id(), moment(), units)
    if entry is not None:
        keep_next_shot(notebook, entry, answer, moment(), units)
    return entry


def sheet_answer(notebook, sheet, name, units):
    """A rig just kept, and its marks before the first arrow."""
    rig_id = new_id()
    notebook.add(KeptRig(sheet, name), entry_id=rig_id, now=moment())
    return rig_id, kept_answer(kept_rig(notebook, rig_id), units)


def fill(notebook):
    """Everything that 0.1 could keep."""
    heron(notebook)
    ibis(notebook)
    egret(notebook)
    notebook.add(KeptJob("refit everything"), entry_id=new_id(), now=moment())
    taken = notebook.take_job("counter 2", moment(), 60.0)
    notebook.finish_job(taken, "nothing had changed", moment())
    notebook.add(KeptJob("refit everything"), entry_id=new_id(), now=moment())


def heron(notebook):
    """Two pins, four versions of the sheet, a change, a group off a photograph, prints."""
    rig_id = new_id()
    notebook.add(KeptRig(HERON, "Heron"), entry_id=rig_id, now=moment())
    session = new_id()
    shots = load_shots(Path("src/tapewright/faces/sample/heron-shots.csv"))[0]
    notebook.save_all(
        [
            Write(session, KeptSession("2026-11-20", "sighting", "Ruhig, 12 °C", 0), rig_id=rig_id),
            *(Write(new_id(), KeptGroup(session, one, ""), rig_id=rig_id) for one in shots),
        ],
        moment(),
    )
    first = calibrate(notebook, rig_id, IMPERIAL)
    photographed(notebook, rig_id)
    sheet = HERON.replace('"420 gr ± 2"', '"431 gr ± 1"')
    notebook.save(rig_id, KeptRig(sheet, "Heron"), seen=1, now=moment())
    change = new_id()
    words = "points of 111 gr, new string"
    notebook.add(KeptChange(1, 1, 2, new_string=True, words=words), entry_id=change,
                 rig_id=rig_id, now=moment())  # fmt: skip
    gone = new_id()
    notebook.add(KeptChange(2, 2, 2, new_string=False, words="a slip"), entry_id=gone,
                 rig_id=rig_id, now=moment())  # fmt: skip
    notebook.withdraw(gone, seen=1, now=moment())
    after = new_id()
    carried = kept_answer(kept_rig(notebook, rig_id), IMPERIAL)
    writes = list(groups(carried, after, rig_id, (27.4, 45.7), slope_rad=0.1, crosswind_mps=-1.5))
    notebook.save_all(
        [Write(after, KeptSession("2026-11-22", "sighting", "", 1), rig_id=rig_id), *writes],
        moment(),
    )
    notebook.withdraw(writes[1].entry_id, seen=1, now=moment())
    calibration = calibrate(notebook, rig_id, IMPERIAL)
    prove = new_id()
    proof = list(groups(carried, prove, rig_id, (18.3, 36.6, 54.9), temperature_k=279.0,
                        altitude_m=410.0))  # fmt: skip
    notebook.save_all(
        [Write(prove, KeptSession("2026-11-23", "proving", "", 1), rig_id=rig_id), *proof], moment()
    )
    printed(notebook, rig_id, (first, calibration))
    notebook.save(rig_id, KeptRig(sheet + "# looked at again\n", "Heron"), seen=2, now=moment())
    notebook.save(rig_id, KeptRig(sheet, "Heron"), seen=3, now=moment())


def photographed(notebook, rig_id):
    """A group whose arrows a photograph proposed."""
    picture, _ = sent_photograph()
    found = propose_impacts(picture, 0.006)
    session = new_id()
    hits = [Impact(one.right_m, one.up_m) for one in found.proposals]
    one = observe_group("photographed", hits, distance_m=27.432, reading_m=0.0209)
    notebook.save_all(
        [
            Write(session, KeptSession("2026-11-21", "proving", "by photograph", 0), rig_id=rig_id),
            Write(new_id(), KeptGroup(session, one, "4 holes found"), rig_id=rig_id),
        ],
        moment(),
    )


def printed(notebook, rig_id, calibrations):
    """Two printers, one put aside, and one print of each kind."""
    first, last = calibrations
    den, shed = new_id(), new_id()
    notebook.add(KeptPrinter("den", 99.4, 100.1), entry_id=den, now=moment())
    notebook.save(den, KeptPrinter("den", 99.6, 100.2), seen=1, now=moment())
    notebook.add(KeptPrinter("shed", 100.9, 99.2), entry_id=shed, now=moment())
    notebook.withdraw(shed, seen=1, now=moment())
    for what, calibration, printer in (
        ("gauge", None, den), ("target", None, None), ("tape", first, den), ("tape", last, den),
        ("card", last, shed), ("pocket", last, None),
    ):  # fmt: skip
        choices = {"paper": "Letter" if what == "card" else "A4", "far_end": "up"}
        sources = () if calibration is None else (Source(calibration.id, calibration.number),)
        fingerprint = "" if calibration is None else calibration.body.fingerprint
        body = KeptPrint(what, fingerprint, printer, choices, "2026-11-23")
        notebook.add(body, entry_id=new_id(), rig_id=rig_id, now=moment(), sources=sources)


def ibis(notebook):
    """Metric, left hand; its sheet was mended once."""
    rig_id, answer = sheet_answer(notebook, IBIS, "Ibis — Müllers Grün", METRIC)
    session = new_id()
    writes = groups(answer, session, rig_id, (18.0, 30.0, 50.0, 70.0))
    notebook.save_all(
        [Write(session, KeptSession("2026-11-22", "sighting", "", 0), rig_id=rig_id), *writes],
        moment(),
    )
    calibrate(notebook, rig_id, METRIC)
    mended = IBIS.replace('"81.5 m/s ± 0.8"', '"80.9 m/s ± 0.8"')
    notebook.save(rig_id, KeptRig(mended, "Ibis — Müllers Grün"), seen=1, now=moment())
    calibrate(notebook, rig_id, METRIC)


def egret(notebook):
    """No arrows yet, then put aside."""
    rig_id, _ = sheet_answer(notebook, EGRET, "Egret", IMPERIAL)
    calibrate(notebook, rig_id, IMPERIAL)
    notebook.withdraw(rig_id, seen=1, now=moment())


def versions(path):
    """Every row as 0.1 wrote it, bodies as JSON: what later versions must still read."""
    asked = (
        "SELECT e.id, e.kind, e.rig_id, e.added_at, e.latest, e.withdrawn_at, v.number,"
        " v.saved_at, v.body FROM entry e JOIN version v ON v.entry_id = e.id ORDER BY 1, 7"
    )
    made = "SELECT source_id, source_number FROM made_from WHERE entry_id = ? AND number = ?"
    with closing(sqlite3.connect(path)) as file:
        for row in file.execute(asked).fetchall():
            names = ("id", "kind", "rig_id", "added_at", "latest", "withdrawn_at", "number",
                     "saved_at", "body")  # fmt: skip
            one = dict(zip(names, row, strict=True)) | {"body": json.loads(row[-1])}
            sources = file.execute(f"{made} ORDER BY 1, 2", (row[0], row[6])).fetchall()
            yield one | {"made_from": [list(source) for source in sources]}


def answers(notebook):
    """Key numbers of every kept calibration, as a table in text."""
    lines = ["# What 0.1 answered: regression, not evidence.",
             "# rig, calibration, version, fingerprint, program, arrows, groups, trusted [m], then"
             " some marks as distance [m] reading [mm] low [mm] high [mm]"]  # fmt: skip
    rigs = (*notebook.entries("rig"), *notebook.entries("rig", withdrawn=True))
    for rig in rigs:
        for entry in notebook.entries("calibration", rig.id):
            body = entry.body
            marks = "; ".join(
                " ".join(f"{value:.6f}" for value in (one[0], *(1e3 * cell for cell in one[1:])))
                for one in body.marks[5::20]
            )
            trusted = ",".join(f"{one:.4f}" for one in body.trusted_m)
            cells = (rig.body.name, entry.id, entry.number, body.fingerprint, body.program,
                     body.arrows, body.groups, trusted, marks)  # fmt: skip
            lines.append(" | ".join(map(str, cells)))
    return "\n".join(lines) + "\n"


def dump(notebook):
    """The same notebook on PostgreSQL, as its own program dumps it: statements in text."""
    programs = sorted(Path("/usr/lib/postgresql").glob("*/bin"))[-1]
    folder = Path(tempfile.mkdtemp(prefix="tw"))
    shutil.chown(folder, "postgres")

    def run(program, *words):
        line = ["runuser", "-u", "postgres", "--", programs / program, *words]
        return subprocess.run(line, check=True, cwd=folder, capture_output=True, text=True).stdout

    run("initdb", "-D", folder / "c", "-A", "trust", "-U", "postgres", "-E", "UTF8",
        "--locale=C.UTF-8")  # fmt: skip
    options = f"-c listen_addresses= -c unix_socket_directories={folder}"
    run("pg_ctl", "-D", folder / "c", "-w", "-s", "-l", folder / "log", "-o", options, "start")
    try:
        server = f"host={folder} user=postgres"
        with psycopg.connect(server, autocommit=True) as asked:
            asked.execute("CREATE DATABASE shop")
        shop = open_notebook(f"postgresql://postgres@/shop?host={folder}")
        copy_rows(notebook, shop)
        shop.close()
        words = ("--inserts", "--no-owner", "--no-privileges", "-h", folder, "-U", "postgres")
        told = run("pg_dump", *words, "shop")
    finally:
        run("pg_ctl", "-D", folder / "c", "-m", "immediate", "-w", "-s", "stop")
        shutil.rmtree(folder)
    kept = [one for one in told.splitlines() if not one.startswith(("\\", "--")) and one]
    return "\n".join(kept) + "\n"


def copy_rows(notebook, shop):
    """Every row, jobs as well, which an archive leaves out."""
    with notebook.reading() as here, shop.writing() as there:
        for table in ("entry", "version", "made_from"):
            order = " ORDER BY rig_id IS NOT NULL, id" if table == "entry" else ""
            asked = here.execute(text(f"SELECT * FROM {table}{order}"))  # noqa: S608
            rows = [dict(row._mapping) for row in asked]  # noqa: SLF001
            names = ", ".join(f":{name}" for name in rows[0])
            there.execute(text(f"INSERT INTO {table} VALUES ({names})"), rows)  # noqa: S608


def prints(folder):
    """One of each kind of print, and answers as the commands write them."""
    heron, shots = folder / "heron.toml", folder / "heron-shots.csv"
    for line in (
        ("tape", heron, shots, "--format", "pdf", "--format", "svg", "--format", "dxf",
         "--out", folder / "heron-tape"),
        ("pocket", heron, shots, "--out", folder / "heron-pocket"),
        ("target", heron, "--format", "pdf", "--format", "svg", "--out", folder / "heron-target"),
        ("card", heron, shots, "--print", "page", "--csv", folder / "heron-card.csv",
         "--out", folder / "heron-card"),
        ("gauge", heron, "--format", "svg", "--out", folder / "heron-gauge"),
    ):  # fmt: skip
        program = [sys.executable, "-m", "tapewright"]
        subprocess.run([*program, *map(str, line)], check=True, capture_output=True)
    for name, line in {
        "heron-fit.json": ("fit", heron, shots, "--json"),
        "ibis-fit.json": ("fit", folder / "ibis.toml", "--metric", "--json"),
        "heron-level.json": ("level", heron, shots, "--test", folder / "sides.csv", "--json"),
        "heron-clicks.json": ("clicks", heron, "--learn", folder / "turned.csv", "--json"),
        "heron-strips.json": ("strips", heron, shots, "--set", folder / "strips.csv", "--json"),
    }.items():
        program = [sys.executable, "-m", "tapewright"]
        told = subprocess.run([*program, *map(str, line)], check=True, capture_output=True)
        (folder / name).write_bytes(told.stdout)


def strips():
    """A made-up set of ready strips, a tick a row."""
    rows = ["strip,distance_yd,position_mm"]
    rows += [
        f"{name},{yd},{span * ((yd - 20) / 40) ** 1.08 if yd > 20 else 0:.3f}"
        for name, span in (("near", 28.4), ("middle", 29.6), ("far", 30.9))
        for yd in range(20, 81, 10)
    ]
    return "\n".join(rows) + "\n"


def main():
    """Write it all anew."""
    if __version__ != "0.1.0":
        sys.exit("These files are what 0.1.0 wrote; another version must not write them.")
    os.environ["TZ"] = "UTC"
    shutil.rmtree(OUT, ignore_errors=True)
    OUT.mkdir(parents=True)
    path = OUT / "notebook.db"
    notebook = open_notebook(f"sqlite:///{path}")
    fill(notebook)
    written = {
        "archive.json": archive_text(notebook),
        "answers.txt": answers(notebook),
        "postgresql.sql": dump(notebook),
        "heron.toml": HERON,
        "ibis.toml": IBIS,
        "egret.toml": EGRET,
        "heron-shots.csv": Path("src/tapewright/faces/sample/heron-shots.csv").read_text("utf-8"),
        "sides.csv": SIDES,
        "turned.csv": TURNED,
        "strips.csv": strips(),
    }
    notebook.close()
    for name, words in written.items():
        (OUT / name).write_text(words, encoding="utf-8")
    rows = ",\n".join(json.dumps(one, ensure_ascii=False) for one in versions(path))
    (OUT / "versions.json").write_text(f"[\n{rows}\n]\n", encoding="utf-8")
    prints(OUT)
    with tempfile.TemporaryDirectory() as folder:  # the archive of 0.1 is read by 0.1
        again = open_notebook(f"sqlite:///{folder}/again.db")
        print(take_in(again, load_archive(OUT / "archive.json")))
        again.close()


if __name__ == "__main__":
    main()
