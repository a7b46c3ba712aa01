import contextlib

import pytest
from browser import open_browser
from live import Live, visit


@pytest.fixture(scope="session")
def live(tmp_path_factory):
    """The server, started as a person starts it."""
    with Live(tmp_path_factory.mktemp("notebook")).serve() as one:
        yield one


@pytest.fixture(scope="module")
def chromium():
    with open_browser() as one:
        yield one


@pytest.fixture
def enter(live, chromium):
    """Enter the app with an empty notebook; as often as there are people."""
    live.empty()
    with contextlib.ExitStack() as stack:
        yield lambda **how: stack.enter_context(visit(chromium, live.home, **how))


@pytest.fixture
def notebook(live, enter):  # noqa: ARG001 — emptied first
    """The notebook behind the server."""
    with live.notebook() as opened:
        yield opened
