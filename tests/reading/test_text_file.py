"""Files are taken by path or open, as text or bytes, and read alike."""

import io
import os

import pytest

from tapewright.ground.errors import BadInput
from tapewright.reading.rig_sheet import load_rig_sheet
from tapewright.reading.shots_reader import load_shots
from tapewright.reading.text_file import file_name, folder_of, load_text

SHEET = 'name = "Wrén"\n[arrow]\nmass = "420 gr"\nshaft_diameter = "6 mm"\n'


@pytest.fixture
def sheet(tmp_path):
    path = tmp_path / "wren.toml"
    path.write_text(SHEET, encoding="utf-8")
    return path


class Path:
    """What stands for a path without being one."""

    def __init__(self, path):
        self.path = path

    def __fspath__(self):
        return str(self.path)


def test_paths_and_open_files_are_read_alike(sheet):
    with sheet.open(encoding="utf-8") as text, sheet.open("rb") as raw:
        given = [sheet, str(sheet), Path(sheet), text, raw, io.StringIO(SHEET),
                 io.BytesIO(SHEET.encode("utf-8-sig"))]  # fmt: skip
        rigs = [load_rig_sheet(one)[0] for one in given]
    assert [one.name for one in rigs] == ["Wrén"] * 7
    assert len(set(rigs)) == 1


def test_an_open_file_is_called_by_its_name_and_stays_open(sheet):
    sheet.write_text("name = ", encoding="utf-8")
    with sheet.open(encoding="utf-8") as text:
        with pytest.raises(BadInput, match=r"^wren\.toml, line 1"):
            load_rig_sheet(text)
        assert not text.closed


def test_records_of_tapes_lie_beside_an_open_file(tmp_path):
    path = tmp_path / "shots.csv"
    path.write_text("distance_yd,dialled_yd,tape\n60,60,second\n", encoding="utf-8")
    with (
        path.open("rb") as raw,
        pytest.raises(BadInput, match=r"second\.tape\.json: there is no"),
    ):
        load_shots(raw)
    with pytest.raises(BadInput, match="here is no folder in which"):
        load_shots(io.StringIO(path.read_text(encoding="utf-8")))


def load(given):
    return load_text(given, 40, BadInput)


def writing(path):
    return path.open("w", encoding="utf-8")


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (io.StringIO("x" * 41), "file: the file is larger than 0 kB"),
        (io.BytesIO(b"\xff\xfea\x00"), "file: the file is saved as UTF-16"),
        (io.TextIOWrapper(io.BytesIO(b"a\xe9"), "utf-8"), "file: a letter is not utf-8"),
        (None, "file: a NoneType is no file"),
        ("one\ntwo", "file: this is a text of several lines, not the path of a file"),
    ],
)
def test_what_cannot_be_read_is_told(given, told):
    with pytest.raises(BadInput, match=told):
        load(given)


def test_a_file_open_for_writing_is_told(tmp_path):
    with (
        writing(tmp_path / "new.csv") as file,
        pytest.raises(BadInput, match=r"new\.csv: it cannot"),
    ):
        load(file)


def test_files_without_a_name_have_no_folder(tmp_path):
    assert folder_of(io.StringIO("")) is None
    assert folder_of(os.fspath(tmp_path / "a.csv")) == tmp_path
    assert file_name(io.StringIO("")) == "file"
    with (tmp_path / "b.csv").open("w") as file:
        assert folder_of(file) == tmp_path
        assert file_name(file) == "b.csv"
