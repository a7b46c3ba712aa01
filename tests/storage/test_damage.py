"""Damaged notebooks: each reading is exactly right, or a sentence that names the fault."""

from collections import Counter
from random import Random

import pytest
from damages import broken, make_sound, questions, read, write

from tapewright.faces.notebook_check import checked_at
from tapewright.ground.errors import NotebookUnusable
from tapewright.storage.notebook import open_notebook


@pytest.fixture(scope="module")
def sound(tmp_path_factory):
    folder = tmp_path_factory.mktemp("sound")
    away, busy = make_sound(folder)
    notebook = open_notebook(f"sqlite:///{folder / 'source.db'}")
    asked = questions(notebook)
    notebook.close()
    right = read(folder / "source.db", asked)
    assert not any(isinstance(one, Exception) for one in right.values())
    return away, busy, asked, right


def test_both_sound_notebooks_are_read_as_they_are(sound, tmp_path):
    import shutil

    away, busy, asked, right = sound
    for path, ends in ((away, ("",)), (busy, ("", "-wal", "-shm"))):
        for end in ends:
            shutil.copyfile(f"{path}{end}", tmp_path / f"copy.db{end}")
        assert read(tmp_path / "copy.db", asked) == right


@pytest.mark.parametrize("times", [32, pytest.param(2016, marks=pytest.mark.long)])
def test_no_damage_goes_unnoticed(sound, tmp_path, times):
    away, busy, asked, right = sound
    told = Counter()
    for number in range(times):
        path, name = broken(away, busy, tmp_path, Random(number), number)
        found = read(path, asked)
        for question, answer in found.items():
            if isinstance(answer, Exception):
                assert isinstance(answer, NotebookUnusable), (number, name, question, answer)
                assert "server" not in str(answer), (number, name, question, answer)
            else:
                assert answer == right[question], (number, name, question)
        refused = any(isinstance(one, Exception) for one in found.values())
        told[name, refused] += 1
        if number % 10 == 0:
            try:
                checked, _ = checked_at(f"sqlite:///{path}")
            except NotebookUnusable:
                pass
            else:
                assert not (refused and checked.is_sound), (number, name)
        write(path)
    print(sorted(told.items()))  # noqa: T201
    assert sum(count for (_, refused), count in told.items() if refused) > times / 2
