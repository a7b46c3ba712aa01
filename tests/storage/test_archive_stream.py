"""Archive stream: what is too large is refused before it is made into values."""

import io
import json
import tracemalloc
from pathlib import Path
from random import Random

import pytest
from notebooks import NOW, some_id

from tapewright.ground.errors import BadArchive
from tapewright.storage import archive_stream
from tapewright.storage.archive import archive_text, read_archive, read_archive_bytes
from tapewright.storage.archive_stream import archive_parts
from tapewright.storage.records import KeptRig

KEPT = (Path(__file__).parent / "kept" / "archive-1.json").read_text(encoding="utf-8")
HEAD = '{"schema": "tapewright.archive/1", "program": "0.1.0", "entries": ['
MANY = 3_000_000
# what the refusal says → the text that is refused
BOMBS = {
    "ends too early or is damaged, objects": "{}" * MANY,
    "no archive of Tapewright, a list of objects": "[" + "{}," * MANY + "{}]",
    "entry 1: these fields, entries": HEAD + "{}," * MANY + "{}]}",
    "more than 500000 parts, objects in one": HEAD + '{"id": [' + "{}," * MANY + "{}]}]}",
    "more than 400000 values, numbers in one": HEAD + '{"id": [' + "1," * MANY + "1]}]}",
    "more than 400000 values, without an end": HEAD + '{"id": [' + "1," * MANY,
    "more than 500000 parts, texts in one": HEAD + '{"id": [' + '"",' * MANY + "1]}]}",
    "more than 500000 parts, quotes": HEAD + "{" + '"' * MANY,
    "nested too deeply, lists": HEAD + "[" * MANY,
    "nested too deeply, objects": HEAD + '{"id":' * MANY,
    "more than 8 million characters, blanks": HEAD + "[" + " " * 9_000_000 + "]]}",
    "more than 8 million characters, a text without an end": HEAD + '{"id": "' + "x" * 9_000_000,
    "no archive of Tapewright, fields": "{" + ",".join(f'"{one}":1' for one in range(300_000)),
    "missing or too many: 0, fields": HEAD + "]," + ",".join(f'"{one}":1' for one in range(9)),
    "ends too early or is damaged, one text": HEAD + '"' + "x" * MANY,
    "ends too early or is damaged, backslashes": HEAD + '"' + "\\" * MANY,
    "ends too early or is damaged, commas": HEAD + "," * MANY,
    "no archive of Tapewright, blanks": " " * MANY,
    "no archive of Tapewright, zeros": "\0" * MANY,
    "too long, a number": HEAD + "9" * MANY,
    "field stands in it twice": '{"schema": "tapewright.archive/1", "schema": 1}',
}


@pytest.mark.parametrize("words", BOMBS)
def test_a_bomb_is_refused_and_says_why(words):
    with pytest.raises(BadArchive, match=words.partition(", ")[0]) as told:
        read_archive(BOMBS[words])
    assert len(str(told.value)) < 400


def test_bytes_that_are_no_text_are_no_archive():
    for content in (b"\xff\xd8\xff\xe0", KEPT.encode("utf-16"), KEPT.encode()[:-5] + b"\xc3"):
        with pytest.raises(BadArchive, match=r"no text|no archive|too early"):
            read_archive_bytes(content)


def test_a_bomb_is_not_held_in_memory():
    content = BOMBS["entry 1: these fields, entries"].encode()
    tracemalloc.start()
    with pytest.raises(BadArchive):
        read_archive_bytes(content)
    peak_bytes = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    # 3 million objects would be 200 MB; a piece of the text is held, twice while it is decoded
    assert peak_bytes < 50e6


def test_an_archive_is_read_alike_however_small_the_pieces(monkeypatch):
    whole = read_archive(KEPT)
    longest = max(len(json.dumps(one, indent=1)) for one in json.loads(KEPT)["entries"])
    for piece in (2 * longest, 3 * longest + 1, 10 * longest):
        monkeypatch.setattr(archive_stream, "MOST_IN_ENTRY", piece)
        assert read_archive_bytes(KEPT.encode()) == whole
        blanks = "\n \t\r" * longest  # more than one piece
        assert read_archive(blanks + KEPT + blanks) == whole


def test_keys_may_stand_in_any_order():
    whole = json.loads(KEPT)
    assert read_archive(json.dumps(whole, sort_keys=True)) == read_archive(KEPT)
    assert read_archive(json.dumps(dict(reversed(whole.items())), indent=4)) == read_archive(KEPT)


def test_a_place_counts_lines_over_all_pieces(monkeypatch):
    lines = KEPT.split("\n")
    lines[-9] = lines[-9] + " x"
    text = "\n".join(lines)
    monkeypatch.setattr(archive_stream, "MOST_IN_ENTRY", 4000)
    with pytest.raises(BadArchive) as told:
        read_archive(text)
    try:
        json.loads(text)
    except json.JSONDecodeError as broken:
        place = f"the archive, line {broken.lineno}, character {broken.colno}"
    assert told.value.place == place


def test_parts_are_those_of_the_standard_reader():
    """Against json.loads: the same entries, however blanks and escapes are strewn."""
    chance = Random(5)
    for _ in range(200):
        entries = [some_json(chance, 3) for _ in range(chance.randint(0, 4))]
        text = json.dumps(
            {"a": some_json(chance, 2), "entries": entries, "b": '\u2028"\\'},
            ensure_ascii=chance.random() < 0.5,
            indent=chance.choice([None, 1, 3]),
        )
        parts = list(archive_parts(io.StringIO(text), {"a", "b", "entries"}))
        whole = json.loads(text)
        assert [value for key, value in parts if key == "an entry"] == whole["entries"]
        assert {key: value for key, value in parts if key != "an entry"} == whole | {
            "entries": None
        }


def some_json(chance, depth):
    kind = chance.randrange(6 if depth else 4)
    if kind == 4:
        return [some_json(chance, depth - 1) for _ in range(chance.randint(0, 3))]
    if kind == 5:
        return {f'k{one}"]}}': some_json(chance, depth - 1) for one in range(chance.randint(0, 3))}
    return chance.choice([None, True, 1, -2.5e-7, "", '"[{', "\\", "é\n", "]}\u0000", "🏹" * 3])


def test_an_entry_that_could_not_be_read_again_is_not_written(file_notebook, monkeypatch):
    sheet = 'name = "Heron"\n' + "# a word\n" * 40_000  # 360 kB
    file_notebook.add(KeptRig(sheet, "Heron"), entry_id=some_id(1), now=NOW)
    assert len(read_archive(archive_text(file_notebook)).histories) == 1
    monkeypatch.setattr(archive_stream, "MOST_IN_ENTRY", 300_000)
    with pytest.raises(BadArchive, match=rf"rig {some_id(1)}: .*characters.*backup"):
        archive_text(file_notebook)
