import shlex

import pytest

from tapewright.ground.extras import adding


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


def test_installed_from_elsewhere_pip_is_told_of_the_source_s_folder(tmp_path):
    assert adding("photo", tmp_path).startswith("pip install 'FOLDER[photo]' ")


@pytest.mark.parametrize("extra", ["cluster", "engrave", "photo", "pictures", "shop"])
def test_this_clone_has_a_lock_for_each_extra(extra):
    assert adding(extra).endswith(f"run --with {extra}")
