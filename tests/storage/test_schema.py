import sqlite3
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import pytest
from alembic import command, op
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from notebooks import BODIES, CALIBRATION, GROUP, NOW, PRINTER, RIG, fill, some_id
from sqlalchemy import inspect, text

from tapewright.ground.errors import NotebookDamaged, NotebookUnusable
from tapewright.storage.check import check_notebook
from tapewright.storage.engine import notebook_engine
from tapewright.storage.entries import RigsAsked, Source
from tapewright.storage.erasing import erase
from tapewright.storage.notebook import open_notebook
from tapewright.storage.records import KeptHouse, KeptParked, KeptSetup, KeptTape
from tapewright.storage.tables import METADATA

APPLICATION_ID = 0x54575254  # TWRT in ASCII
SCHEMA = "0008"

KEPT = Path(__file__).parent / "kept"


def say(url, *lines):
    if url.startswith("sqlite"):
        file_of(url).parent.mkdir(exist_ok=True)
    engine = notebook_engine(url)
    with engine.begin() as connection:
        for line in lines:
            connection.execute(text(line))
    engine.dispose()


def file_of(url):
    return Path(url.removeprefix("sqlite:///"))


def is_everywhere(name, _kind, _parents):
    return name != "rig_by_part"  # where a server may make it


def indexes(server, url):
    asked = "SELECT indexname, indexdef FROM pg_indexes WHERE tablename = 'entry'"
    return dict(server.ask(asked, url.partition("@/")[2].partition("?")[0]))


def test_a_server_finds_parts_of_names_by_an_index(server):
    for url in server.lend():
        open_notebook(url).close()
        assert indexes(server, url)["rig_by_part"] == (
            "CREATE INDEX rig_by_part ON public.entry USING gin (folded_name gin_trgm_ops)"
            " WHERE (folded_name IS NOT NULL)"
        )


def test_a_server_that_may_not_make_that_index_has_the_rest(server):
    for url in server.lend():
        say(url, "CREATE SCHEMA elsewhere", "CREATE EXTENSION pg_trgm SCHEMA elsewhere")
        open_notebook(url).close()
        assert sorted(indexes(server, url)) == [
            "entry_by_kind", "entry_by_rig", "entry_pkey", "rig_aside", "rig_in_list",
        ]  # fmt: skip


def test_the_steps_draw_the_tables_that_the_code_uses(url):
    open_notebook(url).close()
    engine = notebook_engine(url)
    with engine.connect() as connection:
        there = MigrationContext.configure(connection, opts={"include_name": is_everywhere})
        assert compare_metadata(there, METADATA) == []
    engine.dispose()


def test_the_last_step_is_the_schema_that_the_code_knows():
    config = Config()
    config.set_main_option("script_location", "tapewright.storage:migrations")
    steps = ScriptDirectory.from_config(config)
    assert steps.get_heads() == [SCHEMA]
    names = [step.revision for step in steps.walk_revisions()]
    assert names == sorted(names, reverse=True)  # older and newer are told by comparing


@pytest.fixture
def notebook_of_0001(tmp_path):
    """A file as schema 0001 wrote it, from the statements that were kept of it."""
    path = tmp_path / "notebook.db"
    with closing(sqlite3.connect(path)) as file:
        file.executescript((KEPT / "notebook-0001.sql").read_text(encoding="utf-8"))
    return f"sqlite:///{path}"


def test_a_notebook_of_0001_is_still_read(notebook_of_0001):
    opened = open_notebook(notebook_of_0001)
    for entry_id, body in BODIES.items():
        assert opened.entry(entry_id, 1).body == body
    assert opened.entry(RIG).number == 2
    assert opened.entry(PRINTER).is_withdrawn
    assert opened.entry(CALIBRATION).sources == (Source(RIG, 2), Source(GROUP, 1))
    opened.close()


def test_an_entry_of_0001_that_lost_its_version_is_not_summed_over(notebook_of_0001):
    with closing(sqlite3.connect(file_of(notebook_of_0001), isolation_level=None)) as file:
        assert file.execute("DELETE FROM version WHERE entry_id = ?", (PRINTER,)).rowcount == 1
    with pytest.raises(NotebookDamaged, match=f"printer {PRINTER}: its version 1 is missing"):
        open_notebook(notebook_of_0001)
    with closing(sqlite3.connect(file_of(notebook_of_0001))) as file:
        assert file.execute("SELECT version_num FROM alembic_version").fetchall() == [("0001",)]


def test_a_notebook_of_0002_gets_its_names(notebook, notebook_url):
    fill(notebook)
    notebook.close()
    say(
        notebook_url,
        "DROP INDEX rig_in_list",
        "DROP INDEX rig_aside",
        "ALTER TABLE entry DROP COLUMN folded_name",
        "ALTER TABLE entry DROP COLUMN verdict",
        "ALTER TABLE entry DROP COLUMN verdict_sum",
        "UPDATE alembic_version SET version_num = '0002'",
    )
    opened = open_notebook(notebook_url)
    assert [one.id for one in opened.rigs(RigsAsked("HERON")).rigs] == [RIG]
    assert opened.entry(PRINTER).body == BODIES[PRINTER]
    opened.close()


def test_a_notebook_of_0003_counts_house_values_from_now_on(notebook, notebook_url):
    fill(notebook)
    notebook.close()
    say(
        notebook_url,
        "DELETE FROM tally WHERE scope = 'house'",
        "UPDATE alembic_version SET version_num = '0003'",
    )
    opened = open_notebook(notebook_url)
    assert opened.entries("house") == ()
    opened.add(KeptHouse('name = "Reed"', "Reed"), entry_id=some_id(50), now=NOW)
    assert opened.number_of("house") == 1
    assert opened.entry(RIG).number == 2
    opened.close()


def test_a_notebook_of_0004_keeps_tapes_from_now_on(notebook, notebook_url):
    fill(notebook)
    notebook.close()
    say(
        notebook_url,
        "DELETE FROM tally WHERE scope = 'tape'",
        "UPDATE alembic_version SET version_num = '0004'",
    )
    opened = open_notebook(notebook_url)
    assert opened.entries("tape", RIG) == ()
    tape = KeptTape("{}", 0, "2026-11-25")
    opened.add(tape, rig_id=RIG, entry_id=some_id(50), now=NOW)
    assert [one.body for one in opened.entries("tape", RIG)] == [tape]
    opened.close()


def test_a_notebook_of_0006_can_erase_from_now_on(notebook, notebook_url):
    fill(notebook)
    notebook.close()
    say(
        notebook_url,
        "DELETE FROM tally WHERE scope = 'erased'",
        "UPDATE alembic_version SET version_num = '0006'",
    )
    opened = open_notebook(notebook_url)
    assert erase(opened, [opened.entry(RIG)], NOW) == 7
    assert check_notebook(opened).is_sound
    opened.close()


def test_a_notebook_of_0005_keeps_parked_groups_from_now_on(notebook, notebook_url):
    fill(notebook)
    notebook.close()
    say(
        notebook_url,
        "DELETE FROM tally WHERE scope = 'parked'",
        "UPDATE alembic_version SET version_num = '0005'",
    )
    opened = open_notebook(notebook_url)
    assert opened.entries("parked", RIG) == ()
    parked = KeptParked(some_id(51), '{"id": "x"}', "no arrow is written down")
    opened.add(parked, rig_id=RIG, entry_id=some_id(50), now=NOW)
    assert [one.body for one in opened.entries("parked", RIG)] == [parked]
    opened.close()


def test_a_notebook_of_0007_keeps_set_up_records_from_now_on(notebook, notebook_url):
    fill(notebook)
    notebook.close()
    say(
        notebook_url,
        "DELETE FROM tally WHERE scope = 'setup'",
        "UPDATE alembic_version SET version_num = '0007'",
    )
    opened = open_notebook(notebook_url)
    assert opened.entries("setup", RIG) == ()
    record = KeptSetup('[limbs]\ntiller = "3 mm"\n', "2026-11-25", is_again=True)
    opened.add(record, rig_id=RIG, entry_id=some_id(50), now=NOW)
    assert [one.body for one in opened.entries("setup", RIG)] == [record]
    opened.close()


def test_a_notebook_made_in_steps_ends_where_a_new_one_begins(notebook_of_0001, tmp_path):
    drawn = []
    for url in (notebook_of_0001, f"sqlite:///{tmp_path / 'new.db'}"):
        open_notebook(url).close()
        with closing(sqlite3.connect(file_of(url))) as file:
            drawn.append(file.execute("SELECT name, sql FROM sqlite_master ORDER BY 1").fetchall())
    assert drawn[0] == drawn[1]


def test_a_step_that_fails_leaves_nothing_half_done(url, monkeypatch):
    def fail(*_args, **_named):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(op, "create_index", fail)
    with pytest.raises(NotebookUnusable, match="disk is full"):
        open_notebook(url)
    engine = notebook_engine(url)
    with engine.connect() as connection:
        assert inspect(connection).get_table_names() == []
    engine.dispose()
    monkeypatch.undo()
    opened = open_notebook(url)
    fill(opened)
    opened.close()


def test_a_notebook_of_a_newer_program_is_left_alone(notebook, notebook_url):
    url = notebook_url
    fill(notebook)
    notebook.close()
    say(url, "UPDATE alembic_version SET version_num = '0999'")
    with pytest.raises(NotebookUnusable, match=r"newer Tapewright.*0999.*Update") as told:
        open_notebook(url)
    assert "nothing was changed" in str(told.value)
    say(url, "UPDATE alembic_version SET version_num = '0004'")
    opened = open_notebook(url)
    assert opened.entry(RIG).number == 2
    opened.close()


@pytest.mark.parametrize(
    "lines",
    [
        ["CREATE TABLE songs (title TEXT)"],
        ["CREATE TABLE alembic_version (version_num TEXT)"],
        [
            "CREATE TABLE alembic_version (version_num TEXT)",
            "CREATE TABLE made_from (title TEXT)",
        ],
    ],
    ids=["songs", "somebody else's steps", "steps that never came to an end"],
)
def test_the_tables_of_another_program_are_left_alone(url, lines):
    say(url, *lines)
    with pytest.raises(NotebookUnusable, match="another program's tables"):
        open_notebook(url)


def test_many_who_open_a_new_notebook_at_once_make_it_once(url):
    with ThreadPoolExecutor(6) as pool:
        opened = list(pool.map(lambda _: open_notebook(url), range(6)))
    fill(opened[0])
    for one in opened:
        assert one.entry(RIG).number == 2
        one.close()


def test_whoever_was_slower_finds_it_made(url, monkeypatch):
    from tapewright.storage import schema

    looked = iter([None])  # as it was when we looked without the lock
    look = schema.found_schema
    opened = open_notebook(url)
    monkeypatch.setattr(schema, "found_schema", lambda *asked: next(looked, look(*asked)))
    monkeypatch.setattr(command, "upgrade", None)
    open_notebook(url).close()
    opened.close()


def test_a_file_says_whose_it_is(tmp_path):
    path = tmp_path / "notebook.db"
    open_notebook(f"sqlite:///{path}").close()
    with closing(sqlite3.connect(path)) as file:
        assert file.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
        assert file.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_opening_a_notebook_of_today_does_not_load_the_steps(tmp_path):
    url = f"sqlite:///{tmp_path / 'notebook.db'}"
    open_notebook(url).close()
    code = (
        "import sys; from tapewright.storage.notebook import open_notebook\n"
        f"open_notebook({url!r}); print('alembic' in sys.modules, 'psycopg' in sys.modules)"
    )
    told = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert told.stdout.split() == ["False", "False"]
