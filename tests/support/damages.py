"""Damages: notebooks broken in every way that a disk, a program or a hand breaks them.

Holds:  a sound notebook in a file, in use and put away; the damages; a reading of everything.
Never:  tests.
"""

import shutil
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from tapewright.ground.errors import TapewrightError
from tapewright.storage.archive import archive_of
from tapewright.storage.entries import RigsAsked
from tapewright.storage.notebook import open_notebook
from tapewright.storage.records import KeptPrinter, KeptRig

KEPT = Path(__file__).parents[1] / "kept" / "0.1" / "notebook.db"
KINDS = (
    "rig", "session", "group", "calibration", "print", "change", "printer", "job", "house",
)  # fmt: skip
OF_RIG = ("session", "group", "calibration", "print", "change")
NOW = datetime(2026, 11, 28, 9, 30, tzinfo=UTC)
PAGE = 4096
RIG = f"{0xA1:020x}"


def make_sound(folder):
    """Two sound notebooks that hold the same: one put away, one as a killed program leaves it."""
    away, busy = folder / "away.db", folder / "busy.db"
    source = folder / "source.db"
    shutil.copyfile(KEPT, source)
    opened = open_notebook(f"sqlite:///{source}")
    opened.close()
    opened = open_notebook(f"sqlite:///{source}", lambda kept: f"judged: {kept.name}")
    opened.keep_verdicts(
        [replace(one, verdict=opened.judge(one.body)) for one in opened.entries("rig")]
    )
    for number in range(6):
        body = KeptPrinter(f"printer {number}", 99.0 + 0.1 * number, 100.3)
        opened.add(body, entry_id=f"{0xE00 + number:020x}", now=NOW)
    sheet = opened.entry(RIG).body.sheet
    opened.save(RIG, KeptRig(sheet + "# again\n", "Heron"), seen=4, now=NOW)
    for end in ("", "-wal", "-shm"):
        shutil.copyfile(f"{source}{end}", f"{busy}{end}")
    opened.close()
    shutil.copyfile(source, away)
    return away, busy


def questions(notebook):
    """Everything that can be asked of a notebook, by name."""
    ids = [one.id for kind in KINDS for gone in (False, True)
           for one in notebook.entries(kind, withdrawn=gone)]  # fmt: skip
    rigs = [one for one in ids if any(row.id == one for row in _rigs(notebook))]
    asked = {}
    for kind in KINDS:
        for gone in (False, True):
            asked[f"{kind} {gone}"] = lambda n, k=kind, g=gone: n.entries(k, withdrawn=g)
        asked[f"latest {kind}"] = lambda n, k=kind: n.latest(k, rigs)
        asked[f"number of {kind}"] = lambda n, k=kind: n.number_of(k)
        asked[f"each {kind}"] = lambda n, k=kind: tuple(n.each(k))
    for rig in rigs:
        for kind in OF_RIG:
            asked[f"newest {kind} {rig}"] = lambda n, k=kind, r=rig: n.newest(k, r)
            for gone in (False, True):
                asked[f"{kind} {rig} {gone}"] = lambda n, k=kind, r=rig, g=gone: n.entries(
                    k, r, withdrawn=g
                )
    for one in ids:
        asked[f"history {one}"] = lambda n, i=one: n.history(i)
        asked[f"entry {one}"] = lambda n, i=one: n.entry(i)
        for number in range(1, notebook.entry(one).number + 1):
            asked[f"entry {one} {number}"] = lambda n, i=one, v=number: n.entry(i, v)
    asked |= _lists(notebook)
    asked["failed jobs"] = lambda n: n.failed_jobs(9)
    asked["archive"] = lambda n: archive_of(n).histories
    for rig in rigs:
        asked[f"archive {rig}"] = lambda n, r=rig: archive_of(n, (r,)).histories
    return asked


def _lists(notebook):
    """What can be asked of the list of rigs."""
    asked = {"last page of rigs": lambda n: n.rigs(RigsAsked(before="end"))}
    for gone in (False, True):
        asked[f"page of rigs {gone}"] = lambda n, g=gone: n.rigs(RigsAsked(withdrawn=g))
    for one in notebook.rigs(RigsAsked()).rigs:
        asked[f"found {one.id}"] = lambda n, name=one.body.name: n.rigs(RigsAsked(name))
    return asked


def _rigs(notebook):
    return (*notebook.entries("rig"), *notebook.entries("rig", withdrawn=True))


def read(path, asked):
    """What each question is answered: what is kept, or the sentence of a refusal."""
    try:
        notebook = open_notebook(f"sqlite:///{path}")
    except TapewrightError as refused:
        return dict.fromkeys(asked, refused)
    try:
        return {name: _answer(ask, notebook) for name, ask in asked.items()}
    finally:
        notebook.close()


def _answer(ask, notebook):
    try:
        return ask(notebook)
    except TapewrightError as refused:
        return refused


def write(path):
    """Try to write to it; a refusal is as good as a success."""
    for step in (
        lambda n: n.save(RIG, KeptRig("x = 1\n", "Heron"), seen=5, now=NOW),
        lambda n: n.add(KeptPrinter("new", 99.0, 99.5), entry_id="f" * 20, now=NOW),
        lambda n: n.withdraw(f"{0xE01:020x}", seen=1, now=NOW),
    ):
        try:
            notebook = open_notebook(f"sqlite:///{path}")
        except TapewrightError:
            return
        try:
            step(notebook)
        except TapewrightError:
            pass
        finally:
            notebook.close()


def flip(path, chance):
    """Some bits, anywhere in the file."""
    data = bytearray(path.read_bytes())
    for _ in range(chance.choice((1, 1, 1, 2, 8))):
        data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
    path.write_bytes(data)


def overwrite(path, chance):
    """A run of bytes."""
    data = bytearray(path.read_bytes())
    long = chance.choice((2, 16, 64, 512))
    at = chance.randrange(len(data) - long)
    data[at : at + long] = chance.randbytes(long)
    path.write_bytes(data)


def zero_page(path, chance):
    """A page, or a sector of 512 bytes, of zeros."""
    data = bytearray(path.read_bytes())
    long = chance.choice((512, PAGE))
    at = long * chance.randrange(len(data) // long)
    data[at : at + long] = bytes(long)
    path.write_bytes(data)


def truncate(path, chance):
    """Cut short, at a page's end or anywhere."""
    data = path.read_bytes()
    at = chance.randrange(len(data))
    path.write_bytes(data[: at - at % PAGE if chance.random() < 0.5 else at])


def swap_pages(path, chance):
    """Two pages in each other's place."""
    data = bytearray(path.read_bytes())
    one, other = (PAGE * place for place in chance.sample(range(len(data) // PAGE), 2))
    first, second = data[one : one + PAGE], data[other : other + PAGE]
    data[one : one + PAGE], data[other : other + PAGE] = second, first
    path.write_bytes(data)


def copy_page(path, chance):
    """A page written over another."""
    data = bytearray(path.read_bytes())
    one, other = (PAGE * place for place in chance.sample(range(len(data) // PAGE), 2))
    data[one : one + PAGE] = data[other : other + PAGE]
    path.write_bytes(data)


def _say(path, *lines):
    with closing(sqlite3.connect(path, isolation_level=None)) as file:
        file.execute("PRAGMA foreign_keys=OFF")
        for line, *told in lines:
            file.execute(line, told)


def _some_row(path, table, chance):
    with closing(sqlite3.connect(path)) as file:
        return chance.choice(file.execute(f"SELECT rowid, * FROM {table}").fetchall())  # noqa: S608


def delete_row(path, chance):
    """One row of a table."""
    table = chance.choice(("entry", "version", "version", "made_from", "tally", "alembic_version"))
    _say(path, (f"DELETE FROM {table} WHERE rowid = ?", _some_row(path, table, chance)[0]))  # noqa: S608


def delete_entry(path, chance):
    """An entry with all its rows, as if it had never been."""
    found = _some_row(path, "entry", chance)[1]
    _say(path, *((f"DELETE FROM {table} WHERE {column} = ?", found) for table, column in (  # noqa: S608
        ("made_from", "entry_id"), ("made_from", "source_id"), ("version", "entry_id"),
        ("entry", "id"), ("tally", "scope"))))  # fmt: skip


def change_cell(path, chance):
    """One cell of a row."""
    table, columns = chance.choice((
        ("entry", ("kind", "rig_id", "added_at", "latest", "withdrawn_at", "id", "sum",
                   "folded_name", "verdict", "verdict_sum")),
        ("version", ("entry_id", "number", "body", "saved_at", "salt", "sum")),
        ("made_from", ("source_number", "number", "source_id")),
        ("tally", ("scope", "entries", "counts", "sum")),
    ))  # fmt: skip
    column = chance.choice(columns)
    row, other = _some_row(path, table, chance)[0], _some_row(path, table, chance)[0]
    value = chance.choice((None, 7, "x", b"\xff\xfe", 1.5, "2026-11-25T09:30:00.000000+00:00"))
    another = f"(SELECT {column} FROM {table} WHERE rowid = ?)"  # noqa: S608
    lines = [
        (f"UPDATE OR IGNORE {table} SET {column} = ? WHERE rowid = ?", value, row),  # noqa: S608
        (f"UPDATE OR IGNORE {table} SET {column} = {another} WHERE rowid = ?", other, row),  # noqa: S608
    ]
    _say(path, chance.choice(lines))


def edit_body(path, chance):
    """One letter of a body, still good JSON: what no other check would find."""
    row, _, _, body, *_ = _some_row(path, "version", chance)
    digits = [at for at, letter in enumerate(body) if letter.isdigit()]
    if not digits:
        return edit_body(path, chance)
    at = chance.choice(digits)
    mended = f"{body[:at]}{(int(body[at]) + 1) % 10}{body[at + 1 :]}"
    return _say(path, ("UPDATE version SET body = ? WHERE rowid = ?", mended, row))


def change_name(path, chance):
    """The name by which lists look for a rig."""
    with closing(sqlite3.connect(path)) as file:
        names = file.execute("SELECT id, folded_name FROM entry WHERE kind = 'rig'").fetchall()
    found, name = chance.choice(names)
    others = (None, "", "heron", "egret", f"{name}a", name[1:], b"x", 7)
    other = chance.choice([one for one in others if one != name])
    _say(path, ("UPDATE entry SET folded_name = ? WHERE id = ?", other, found))


def steps_back(path, chance):
    """An entry's last version taken back, sources and all, as if it had not been saved."""
    _, found, number, *_ = _some_row(path, "version", chance)
    lines = [(f"DELETE FROM {table} WHERE entry_id = ? AND number >= ?", found, number)  # noqa: S608
             for table in ("made_from", "version")]  # fmt: skip
    lines += [("UPDATE entry SET latest = ? WHERE id = ?", max(number - 1, 1), found)]
    _say(path, *lines)


def drop_index(path, chance):
    """An index whose rows are others than its table's."""
    with closing(sqlite3.connect(path, isolation_level=None)) as file:
        roots = file.execute("SELECT rootpage FROM sqlite_master WHERE type = 'index'").fetchall()
    data = bytearray(path.read_bytes())
    (root,) = chance.choice(roots)
    at = (root - 1) * PAGE + 8 + chance.randrange(PAGE - 8)
    data[at] ^= 1 << chance.randrange(8)
    path.write_bytes(data)


def beside(damage, end):
    """The same damage to a file that lies beside it."""

    def do(path, chance):
        damage(Path(f"{path}{end}"), chance)

    do.__name__ = f"{damage.__name__}{end}"
    return do


def lose_log(path, chance):  # noqa: ARG001
    """The file -wal is gone."""
    Path(f"{path}-wal").unlink()


def flip_log_alone(path, chance):
    """Bits of a log whose file -shm was not copied with it."""
    Path(f"{path}-shm").unlink()
    flip(Path(f"{path}-wal"), chance)


OF_FILE = (flip, flip, flip, overwrite, zero_page, truncate, swap_pages, copy_page, drop_index,
           delete_row, delete_entry, change_cell, change_cell, change_name, edit_body,
           steps_back)  # fmt: skip
OF_LOG = (beside(flip, "-wal"), beside(overwrite, "-wal"), beside(truncate, "-wal"),
          beside(flip, "-shm"), lose_log, flip_log_alone)  # fmt: skip


def broken(away, busy, folder, chance, number):
    """A damaged copy, and the name of what was done to it."""
    path = folder / "broken.db"
    for end in ("", "-wal", "-shm"):
        Path(f"{path}{end}").unlink(missing_ok=True)
    kinds = (*OF_FILE, *OF_LOG)
    damage = kinds[number % len(kinds)]
    for end in ("", "-wal", "-shm") if damage in OF_LOG else ("",):
        shutil.copyfile(f"{busy if damage in OF_LOG else away}{end}", f"{path}{end}")
    damage(path, chance)
    return path, damage.__name__
