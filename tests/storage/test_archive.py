import json
import sqlite3
from contextlib import closing
from hashlib import sha256
from pathlib import Path
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from notebooks import (
    BODIES,
    CALIBRATION,
    CHANGE,
    GROUP,
    JOB,
    NOW,
    PRINT,
    PRINTER,
    RIG,
    fill,
    some_id,
    write_by_hand,
)
from sqlalchemy import text as sql

from tapewright.ground.errors import BadArchive, NotebookDamaged, NotKept, TapewrightError
from tapewright.storage import archive as room
from tapewright.storage import archive_stream
from tapewright.storage.archive import archive_of, archive_text, read_archive
from tapewright.storage.plain import canonical
from tapewright.storage.records import KeptRig
from tapewright.storage.taking_in import take_in

KEPT = (Path(__file__).parent / "kept" / "archive-1.json").read_text(encoding="utf-8")


@pytest.fixture
def small(file_notebook):
    """A notebook in a file, with one of every kind."""
    fill(file_notebook)
    return file_notebook


def sealed(whole):
    """An archive whose sum is right, whatever else is wrong."""
    whole["check"] = sha256(canonical(whole["entries"]).encode()).hexdigest()
    return json.dumps(whole, ensure_ascii=False)


def entries_of(whole):
    return {one["id"]: one for one in whole["entries"]}


def test_everything_comes_back_from_an_archive(notebook):
    fill(notebook)
    text = archive_text(notebook)
    assert read_archive(text) == archive_of(notebook)
    found = {one.id: one for one in read_archive(text).histories}
    assert {name: one.versions[0].body for name, one in found.items()} == {
        name: body for name, body in BODIES.items() if name != JOB
    }
    assert found[PRINTER].withdrawn_at == "2026-11-25T09:30:00.000000+00:00"


def test_both_engines_write_the_same_archive(notebook):
    fill(notebook)
    assert archive_text(notebook) == KEPT.replace('"0.1.0",\n "e', f'"{room.__version__}",\n "e')


def test_an_archive_of_kind_1_is_still_read():
    found = {one.id: one for one in read_archive(KEPT).histories}
    assert len(found) == 7
    assert found[GROUP].versions[0].body == BODIES[GROUP]


def test_a_person_can_read_it():
    assert '"name": "Heron"' in KEPT
    assert "Grüße" in KEPT
    assert max(map(len, KEPT.splitlines())) < 100


def test_a_mark_of_byte_order_in_front_does_no_harm():
    assert read_archive("\ufeff" + KEPT) == read_archive(KEPT)


def test_one_rig_goes_with_all_that_it_needs(small):
    other, lonely = some_id(50), some_id(51)
    small.add(KeptRig("b = 1\n", "Egret"), entry_id=other, now=NOW)
    small.add(KeptRig("c = 1\n", "Stork"), entry_id=lonely, now=NOW)
    from tapewright.storage.entries import Source

    # a calibration of the other rig that began from this one
    small.add(
        BODIES[CALIBRATION], entry_id=some_id(52), now=NOW, rig_id=other,
        sources=(Source(CALIBRATION, 1),),
    )  # fmt: skip
    mine = {one.id for one in read_archive(archive_text(small, [RIG])).histories}
    assert mine == set(BODIES) - {JOB}
    its = {one.id for one in read_archive(archive_text(small, [other])).histories}
    assert {other, some_id(52), CALIBRATION, RIG, GROUP} <= its
    assert PRINT not in its
    assert [one.id for one in read_archive(archive_text(small, [lonely])).histories] == [lonely]
    for nobody in (some_id(99), GROUP):
        with pytest.raises(NotKept):
            archive_text(small, [nobody])


def test_what_could_not_be_read_again_is_not_written(small, monkeypatch):
    whole = archive_text(small)
    for most in (1000, len(whole) - 1):
        monkeypatch.setattr(archive_stream, "MOST_CHARACTERS", most)
        with pytest.raises(BadArchive, match=r"million characters.*single rigs.*backup"):
            archive_text(small)
    monkeypatch.setattr(archive_stream, "MOST_CHARACTERS", len(whole))
    assert archive_text(small) == whole


def test_a_body_that_lacks_a_field_is_named(small):
    write_by_hand(small, RIG, "{}")
    with pytest.raises(BadArchive, match=f"rig {RIG}, version 2, sheet: the field is missing"):
        archive_text(small)


def edited(change):
    whole = json.loads(KEPT)
    change(whole)
    return sealed(whole)


def in_entry(entry_id, **fields):
    return edited(lambda whole: entries_of(whole)[entry_id].update(fields))


def in_version(entry_id, **fields):
    return edited(lambda whole: entries_of(whole)[entry_id]["versions"][0].update(fields))


def in_body(entry_id, **fields):
    return edited(lambda whole: entries_of(whole)[entry_id]["versions"][0]["body"].update(fields))


def without(entry_id):
    def drop(whole):
        whole["entries"] = [one for one in whole["entries"] if one["id"] != entry_id]

    return edited(drop)


DEEP = 100_000
MANY = 1_000_000
MOMENT = "2026-11-25T09:30:00.000000+00:00"
# what the refusal says → the text that is refused
REFUSED = {
    "no archive of Tapewright, empty": "",
    "no archive of Tapewright, words": "distance_yd,reading_mm\n20,30\n",
    "no archive of Tapewright, a list": "[]",
    "no archive of Tapewright, null": "null",
    "no archive of Tapewright, another's": '{"schema": "songs/1", "entries": []}',
    "no archive of Tapewright, a number": '{"schema": 1, "entries": []}',
    "another kind .*archive/2": KEPT.replace("tapewright.archive/1", "tapewright.archive/2"),
    "missing or too many: check": '{"schema": "tapewright.archive/1", "program": "", "entries":[]}',
    "missing or too many: more": edited(lambda whole: whole.update(more=1)),
    "entries are no list": edited(lambda whole: whole.update(entries={})),
    "entries are no list, program": edited(lambda whole: whole.update(program=1)),
    "ends too early": KEPT[: len(KEPT) // 2],
    "ends too early, at the end": KEPT.rstrip()[:-1],
    "ends too early, two of them": KEPT + KEPT,
    "changed after it was exported": KEPT.replace("18.288", "18.289"),
    "changed after it was exported, sum": KEPT.replace('"check": "', '"check": "0'),
    "nested too deeply": '{"schema":' + "[" * DEEP,
    "nested too deeply, at an end": '{"schema":' + "[" * DEEP + "]" * DEEP + "}",
    "NaN": KEPT.replace("18.288", "NaN"),
    "Infinity": KEPT.replace("18.288", "-Infinity"),
    "cannot be": KEPT.replace("18.288", "1e999"),
    "cannot be, half a character": KEPT.replace("windy", "\\ud83c"),
    "too long": KEPT.replace("18.288", "9" * 5000),
    "field stands in it twice": KEPT.replace('"note": "windy"', '"note": "", "note": "windy"'),
    "entry 1: the fields": edited(lambda whole: whole.update(entries=[1])),
    "entry 1: these fields": edited(lambda whole: whole.update(entries=[{}])),
    "entry stands in it twice": edited(lambda whole: whole["entries"].append(whole["entries"][1])),
    "entry 1, id": in_entry(RIG, id="1"),
    "entry 1, id: an": in_entry(RIG, id=None),
    "no such kind": in_entry(GROUP, kind="song"),
    "no such kind, a list": in_entry(GROUP, kind=["group"]),
    "no such kind, a job": in_entry(GROUP, kind="job"),
    "rig_id: an id is wanted": in_entry(GROUP, rig_id="me"),
    "rig_id: an id is wanted, number": in_entry(GROUP, rig_id=7),
    "rig_id: an id is wanted, or null for a rig": in_entry(RIG, rig_id=RIG),
    "withdrawn_at: a moment": in_entry(GROUP, withdrawn_at="yesterday"),
    "withdrawn_at: a moment, number": in_entry(GROUP, withdrawn_at=7),
    "withdrawn_at: a moment, the first": in_entry(GROUP, withdrawn_at="0001-01-01T00:00:00+09:00"),
    "at least one version": in_entry(GROUP, versions=[]),
    "at least one version, none": in_entry(GROUP, versions=None),
    "versions, number|counted from 1": in_version(GROUP, number=2),
    "counted from 1": in_version(GROUP, number=True),
    "saved_at: a moment": in_version(GROUP, saved_at="2026-11-25T09:30:00+00:00"),
    "made_from: a list": in_version(GROUP, made_from=None),
    "made_from: the fields": in_version(GROUP, made_from=[None]),
    "made_from: these fields": in_version(GROUP, made_from=[{"id": RIG}]),
    "made_from: an id and": in_version(GROUP, made_from=[{"id": RIG, "number": True}]),
    "made_from: an id and, none": in_version(GROUP, made_from=[{"id": 1, "number": 1}]),
    "not in order": in_version(GROUP, made_from=[{"id": RIG, "number": 1}] * 2),
    "too many: colour": in_version(GROUP, colour="red"),
    "no field 'colour'": in_body(GROUP, colour="red"),
    "note: a text is wanted": in_body(GROUP, note=None),
    "its session .* is not in the archive": without(some_id(2)),
    "its printer .* is not in the archive": without(PRINTER),
    "its rig .* is not in the archive": without(RIG),
    "its session": in_body(GROUP, session_id=RIG),
    "which is not in the archive": in_version(GROUP, made_from=[{"id": RIG, "number": 3}]),
    "which is not in the archive, before the first": in_version(
        GROUP, made_from=[{"id": RIG, "number": 0}]
    ),
    "which is not in the archive, gone": in_version(
        GROUP, made_from=[{"id": "nowhere", "number": 1}]
    ),
}


@pytest.mark.parametrize("words", REFUSED)
def test_a_bad_archive_is_refused_and_says_why(words):
    with pytest.raises(BadArchive, match=words.partition(", ")[0]) as told:
        read_archive(REFUSED[words])
    assert len(str(told.value)) < 400  # a sentence, whatever was in the file


def test_a_million_entries_are_refused_by_the_first():
    whole = {"schema": "tapewright.archive/1", "program": "", "entries": [0] * MANY}
    with pytest.raises(BadArchive, match="entry 1: the fields"):
        read_archive(sealed(whole))


def test_what_is_too_large_is_not_even_looked_at(monkeypatch):
    monkeypatch.setattr(archive_stream, "MOST_CHARACTERS", 100)
    with pytest.raises(BadArchive, match=r"million characters.*one by one"):
        read_archive(KEPT)


def test_it_is_refused_wherever_it_ends():
    whole = KEPT.rstrip()
    for end in range(0, len(whole), 7):
        with pytest.raises(BadArchive):
            read_archive(whole[:end])


def meaning(text):
    return {**json.loads(text), "program": ""}


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(place=st.integers(0, len(KEPT) - 1), new=st.characters(exclude_categories=["Cs"]))
def test_one_character_edited_changes_nothing_or_means_the_same(small, place, new):
    text = KEPT[:place] + new + KEPT[place + 1 :]
    before = archive_text(small)
    try:
        took = take_in(small, read_archive(text))
    except BadArchive:
        pass
    else:
        # blanks, or the version of the program, which is no part of what is kept
        assert meaning(text) == meaning(KEPT)
        assert (took.new, took.longer) == (0, 0)
    assert archive_text(small) == before


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3)
    | st.dictionaries(
        st.sampled_from(["id", "kind", "rig_id", "versions", "number", "body", "made_from", "x"]),
        inner, max_size=5,
    ),
    max_leaves=12,
)  # fmt: skip


def places_in(value, path=()):
    yield path
    if isinstance(value, dict | list):
        for key in value if isinstance(value, dict) else range(len(value)):
            yield from places_in(value[key], (*path, key))


PLACES = sorted(places_in(json.loads(KEPT)["entries"], ("entries",)), key=str)


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(place=st.sampled_from(PLACES), value=JSON)
def test_a_forged_value_anywhere_is_refused_or_is_an_archive(small, place, value):
    # the forger has written a new sum; whatever is taken in then can be given out again
    whole = json.loads(KEPT)
    inner = whole
    for step in place[:-1]:
        inner = inner[step]
    inner[place[-1]] = value
    before = archive_text(small)
    try:
        text = sealed(whole)
    except ValueError:  # not a number, or half a character: no sum can be made of it
        text = json.dumps(whole)
    try:
        take_in(small, read_archive(text))
    except TapewrightError:
        assert archive_text(small) == before
    else:
        read_archive(archive_text(small))


@settings(deadline=None)
@given(st.text() | JSON.map(json.dumps))
def test_any_text_is_refused_with_a_sentence(text):
    with pytest.raises(BadArchive):
        read_archive(text)


def spoilt(chance):
    """The archive with a few accidents: characters changed, left out, doubled, cut, joined."""
    text = KEPT
    for _ in range(chance.randint(1, 3)):
        at, to = sorted(chance.choices(range(len(text) + 1), k=2))
        length = chance.randint(1, 20)
        odd = "".join(chance.choices('{}[]",:0123456789eE+-.\\nulltrue \x00é🏹', k=length))
        text = chance.choice(
            (
                text[:at] + odd + text[at:],
                text[:at] + odd + text[at + length :],
                text[:at] + text[at + length :],
                text[:at],
                text[at:],
                text[:to] + text[at:],
            )
        )
    return text


@pytest.mark.parametrize("count", [300, pytest.param(20_000, marks=pytest.mark.long)])
def test_spoilt_archives_change_nothing(small, count):
    chance = Random(count)
    before = archive_text(small)
    refused = 0
    for _ in range(count):
        try:
            archive = read_archive(spoilt(chance))
        except BadArchive:
            refused += 1
        else:
            assert archive.histories == read_archive(KEPT).histories
            take_in(small, archive)
    assert refused > 0.9 * count
    assert archive_text(small) == before


def test_the_text_is_written_in_parts_as_it_would_be_in_one(notebook):
    for filled in (False, True):
        if filled:
            fill(notebook)
        text = archive_text(notebook)
        assert text == json.dumps(json.loads(text), ensure_ascii=False, indent=1) + "\n"
        assert read_archive(text) == archive_of(notebook)


def test_one_rig_is_written_without_looking_at_the_others(notebook):
    fill(notebook)
    notebook.add(BODIES[RIG], entry_id=some_id(50), now=NOW)
    with notebook.writing() as connection:
        damage = "UPDATE version SET body = 'x' WHERE entry_id = :id"
        connection.execute(sql(damage), {"id": some_id(50)})
    assert {one.id for one in archive_of(notebook, (RIG,)).histories} >= {RIG, PRINTER}
    with pytest.raises(NotebookDamaged, match=some_id(50)):
        archive_of(notebook)


@pytest.mark.parametrize(
    ("lost", "told"),
    [
        (CHANGE, f"rig {RIG}.*0 were found.*1 were kept"),
        (PRINTER, f"entry {PRINTER}: it is missing, and others lead to it"),
        (RIG, f"entry {RIG}: only a part of it is there"),
    ],
)
def test_one_rig_is_not_written_without_what_was_lost_of_it(file_notebook, lost, told):
    fill(file_notebook)
    with closing(sqlite3.connect(file_notebook.place, isolation_level=None)) as file:
        for table, column in (("version", "entry_id"), ("entry", "id")):
            file.execute(f"DELETE FROM {table} WHERE {column} = ?", (lost,))  # noqa: S608
    for rigs in ((RIG,), None):
        with pytest.raises(NotebookDamaged, match=told if rigs else None):
            archive_of(file_notebook, rigs)


def test_an_archive_shows_one_moment(notebook, monkeypatch):
    fill(notebook)
    ask, saved = room.all_versions, []

    def all_versions():
        if len(saved) == 1:  # between two questions somebody saves
            notebook.save(GROUP, BODIES[GROUP], seen=1, now=NOW)
        saved.append(1)
        return ask()

    monkeypatch.setattr(room, "all_versions", all_versions)
    archive = archive_of(notebook, (RIG,))
    assert len(saved) > 2
    (group,) = (one for one in archive.histories if one.id == GROUP)
    assert len(group.versions) == 1
    assert notebook.entry(GROUP).number == 2
