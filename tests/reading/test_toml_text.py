"""TOML text: what is larger than any sheet is refused before a reader of TOML sees it."""

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapewright.ground.errors import BadRigSheet
from tapewright.reading.rig_sheet import load_rig_sheet, read_rig_sheet
from tapewright.reading.toml_text import refuse_large

DOTS = ".".join(["a"] * 2000) + " = 1\n"
# text → line told, what is wrong
BOMBS = {
    "dots": (DOTS, 1, "a key has more than 8 parts"),
    "dots in a heading": ("\n[" + ".".join(["a"] * 9) + "]\n", 2, "a key has more than 8 parts"),
    "dots and quotes": (" . ".join(['"a.b"', "'c.d'"] * 5) + " = 1", 1, "more than 8 parts"),
    "dots inside": ("a = {" + ".".join(["a"] * 9) + " = 1}", 1, "more than 8 parts"),
    "lists": ("a = 1\nb = " + "[" * 9, 2, "too deeply"),
    "inline tables": ("a = " + "{a = " * 9, 1, "too deeply"),
    "both": ("a = " + "[{a = " * 5, 1, "too deeply"),
    "lists to the end": ("a = " + "[" * 3000 + "]" * 3000, 1, "too deeply"),
    "keys": ("".join(f"k{one} = 1\n" for one in range(1001)), 1001, "more than 1000 keys"),
    "keys inside": ("a = {" + "k = 1, " * 1000 + "}", 1, "more than 1000 keys"),
    "headings": ("".join(f"[t{one}]\n" for one in range(1001)), 1001, "more than 1000 headings"),
    "readings": ("[[bow.chronograph]]\n" * 501, 501, "more than 1000 headings"),
    "empty lists": ("a = [" + "[], " * 1000 + "]", 1, "more than 1000 headings and lists"),
    "a line": ("a = 1\nb = '" + "x" * 10_000 + "'", 2, "more than 10000 characters"),
    "a long name": ("a" * 100_000 + "= 1", None, "more than 100,000 characters"),
    "lines": ("a = 1\n" + "# a\n" * 5_000, None, "more than 5000 lines"),
}
# what a reader of TOML passes over, before something that it must never reach
COVERS = [
    'a = "#"\n', "a = '#'\n", 'a = "\\\\"\n', 'a = "\\""\n', "a = '\\'\n", 'a = """x"""\n',
    'a = """x""""\n', 'a = """x"""""\n', 'a = """"""\n', 'a = """\\""""\n', 'a = """"x"""\n',
    'a = """\n#\n"\n"""\n', "a = '''x'''\n", "a = '''x''''\n", "a = '''x'''''\n", "a = ''''''\n",
    "a = '''\n\"\n'''\n", '# """\n', "# '''\n", '# "\n', '"#" = 1\n', "'\"' = 1\n",
    'a = ["]", "["]\n', '["a]"]\n', "['a\"']\n", 'a = "" # """\n', 'a = "é"\n', "a = 1e5 # [\n",
]  # fmt: skip


@pytest.mark.parametrize("name", BOMBS)
def test_a_bomb_is_refused_unread_with_its_line_and_a_mend(name, monkeypatch):
    text, line, wrong = BOMBS[name]
    monkeypatch.setattr(tomllib, "loads", lambda _: pytest.fail("a reader of TOML saw it"))
    with pytest.raises(BadRigSheet) as told:
        read_rig_sheet(text, "rig.toml")
    assert told.value.place == ("rig.toml" if line is None else f"rig.toml, line {line}")
    assert wrong in told.value.wrong
    assert told.value.mend
    assert len(str(told.value)) < 300


@pytest.mark.parametrize("cover", COVERS)
def test_nothing_hides_a_bomb(cover):
    tomllib.loads(cover)  # a reader of TOML goes on behind it
    assert refuse_large(cover, "rig.toml") is None
    with pytest.raises(BadRigSheet, match="more than 8 parts"):
        refuse_large(cover + DOTS, "rig.toml")


@settings(deadline=None)  # machines may be busy
@given(st.text(alphabet="\"'\\#\n[]{}=.,ab1 \t", max_size=60))
def test_whatever_a_reader_passes_hides_no_bomb(cover):
    try:
        tomllib.loads(cover)
    except tomllib.TOMLDecodeError:
        return
    with pytest.raises(BadRigSheet):
        refuse_large(f"{cover}\n{DOTS}", "rig.toml")


def test_dots_and_brackets_in_words_count_for_nothing():
    words = "." * 50 + "[" * 50 + "=" * 50
    text = f'a = "{words}"\nb = \'{words}\' # {words}\nc = """{words}\n"{words}"""\n' * 40
    assert refuse_large(text, "rig.toml") is None


def test_a_sheet_that_says_all_it_can_is_far_inside():
    readings = '[[bow.chronograph]]\nspeed = "278 ft/s ± 3"\nat = "1 yd"\n' * 100
    comments = "# a word about each of them, as people write it: measured twice.\n" * 600
    sheet = 'name = "Heron"\n[arrow]\nmass = "420 gr"\nshaft_diameter = "6 mm"\n'
    rig, _ = read_rig_sheet(sheet + comments + readings)
    assert len(rig.bow.chronograph) == 100


def test_a_file_of_a_bomb_is_refused_like_its_text(tmp_path):
    path = tmp_path / "dot.toml"
    path.write_text(DOTS, encoding="utf-8")
    with pytest.raises(BadRigSheet, match=r"^dot\.toml, line 1: a key has more than 8 parts"):
        load_rig_sheet(path)


def test_of_many_faults_the_first_thirty_are_told():
    with pytest.raises(BadRigSheet) as told:
        read_rig_sheet("".join(f"k{one} = 1\n" for one in range(500)), "rig.toml")
    *faults, last = str(told.value).split("\n")
    assert len(faults) == 30
    # 500 keys that are none, and no name and no arrow
    assert last == "rig.toml: 472 more faults are not told. Mend these first."
