import re
import shlex
import sys
from importlib import metadata

import pytest

from tapewright.ground.errors import MissingExtra
from tapewright.ground.extras import adding, is_packed


@pytest.fixture
def clone(tmp_path):
    folder = tmp_path / "a clone"
    (folder / "locks").mkdir(parents=True)
    (folder / "locks" / "with-photo.lock").touch()
    return folder


def test_in_a_clone_the_command_is_short(clone, monkeypatch):
    monkeypatch.chdir(clone)
    assert adding("photo", clone) == "./run --with photo"


def test_elsewhere_the_clone_is_named_as_a_shell_reads_it(clone, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    words = shlex.split(adding("photo", clone))
    assert words == [str(clone / "run"), "--with", "photo"]


def test_where_it_was_installed_the_python_that_runs_it_is_told_what_to_add(tmp_path, monkeypatch):
    told = ["numpy<3,>=2", 'ezdxf<2,>=1.3; extra == "engrave"', "pillow<14 ; extra == 'photo'"]
    monkeypatch.setattr(metadata, "requires", lambda _name: told)
    monkeypatch.setattr(sys, "executable", "/a folder/python")
    assert adding("engrave", tmp_path) == '"/a folder/python" -m pip install "ezdxf<2,>=1.3"'
    assert shlex.split(adding("photo", tmp_path))[-2:] == ["install", "pillow<14"]


def test_this_project_says_itself_what_an_extra_needs(tmp_path):
    words = shlex.split(adding("photo", tmp_path))
    assert words[:4] == [sys.executable, "-m", "pip", "install"]
    names = {re.split(r"[<>=]", one)[0] for one in words[4:]}
    assert names == {"opencv-python-headless", "pillow", "pi-heif"}


def test_where_nothing_is_known_of_it_the_extra_is_named(tmp_path, monkeypatch):
    def gone(_name):
        raise metadata.PackageNotFoundError

    monkeypatch.setattr(metadata, "requires", gone)
    assert adding("photo", tmp_path).endswith(' -m pip install "tapewright[photo]"')
    monkeypatch.setattr(metadata, "requires", lambda _name: None)
    assert adding("photo", tmp_path).endswith(' -m pip install "tapewright[photo]"')


def test_the_packed_program_is_known_by_what_its_loader_says(monkeypatch):
    assert not is_packed()
    monkeypatch.setattr(sys, "frozen", True, raising=False)
    assert is_packed()
    told = str(MissingExtra("A notebook on PostgreSQL", "shop"))
    assert "Install Tapewright with Python for it" in told
    assert "pip" not in told


@pytest.mark.parametrize("extra", ["cluster", "engrave", "photo", "pictures", "shop"])
def test_this_clone_has_a_lock_for_each_extra(extra):
    assert adding(extra).endswith(f"run --with {extra}")
