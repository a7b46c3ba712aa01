import pytest
from starlette.testclient import TestClient

from tapewright.faces.web.app import build_app
from tapewright.faces.web.safety import Rules
from tapewright.services.keep import open_notebook


@pytest.fixture
def notebook(tmp_path):
    kept = open_notebook(f"sqlite:///{tmp_path}/notebook.db")
    yield kept
    kept.close()


@pytest.fixture
def client(notebook):
    """A browser without scripts; it does not follow where a form leads."""
    app = build_app(notebook, Rules(frozenset({"127.0.0.1"})))
    with TestClient(app, base_url="http://127.0.0.1", follow_redirects=False) as browser:
        yield browser


@pytest.fixture
def rig_id(client):
    """The invented sample rig with its arrows."""
    return client.post("/sample").headers["location"].rpartition("/")[2]
