from pathlib import Path

import pytest

from tapewright.faces.settings import new_id, notebook_url

HOME = Path("/home/archer")


@pytest.mark.parametrize(
    ("environment", "platform", "url"),
    [
        ({}, "linux", "sqlite:////home/archer/.local/share/tapewright/notebook.db"),
        ({"XDG_DATA_HOME": "/keep"}, "linux", "sqlite:////keep/tapewright/notebook.db"),
        (
            {"XDG_DATA_HOME": "keep"},
            "linux",
            "sqlite:////home/archer/.local/share/tapewright/notebook.db",
        ),
        (
            {},
            "darwin",
            "sqlite:////home/archer/Library/Application Support/tapewright/notebook.db",
        ),
        ({"APPDATA": "/roaming"}, "win32", "sqlite:////roaming/tapewright/notebook.db"),
        ({}, "win32", "sqlite:////home/archer/AppData/Roaming/tapewright/notebook.db"),
        ({"TAPEWRIGHT_NOTEBOOK": "/shop/notes.db"}, "linux", "sqlite:////shop/notes.db"),
        ({"TAPEWRIGHT_NOTEBOOK": " ~/notes.db "}, "linux", "sqlite:////home/archer/notes.db"),
        ({"TAPEWRIGHT_NOTEBOOK": "sqlite:///x.db"}, "linux", "sqlite:///x.db"),
        ({"TAPEWRIGHT_NOTEBOOK": "postgresql://me@shop/n"}, "linux", "postgresql://me@shop/n"),
    ],
)
def test_the_notebook_is_where_the_user_says_or_in_the_users_own_folder(environment, platform, url):
    assert notebook_url(environment, platform, HOME) == url


def test_a_bare_name_is_a_file_where_one_stands(monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    assert notebook_url({"TAPEWRIGHT_NOTEBOOK": "n.db"}) == f"sqlite:///{tmp_path / 'n.db'}"


def test_ids_are_ids_and_never_the_same():
    from tapewright.storage.records import is_id

    ids = {new_id() for _ in range(1000)}
    assert len(ids) == 1000
    assert all(map(is_id, ids))
