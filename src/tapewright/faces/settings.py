"""Settings: where the notebook is kept; the day, and ids for what goes into it.

Holds:  the address from TAPEWRIGHT_NOTEBOOK, or a place in the user's own folder; today; new ids.
Never:  opening the notebook, settings of a single command.
"""

import os
import secrets
import sys
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

VARIABLE = "TAPEWRIGHT_NOTEBOOK"


def notebook_url(
    environment: Mapping[str, str] = os.environ,
    platform: str = sys.platform,
    home: Path | None = None,
) -> str:
    """The address of the notebook: a database's URL as it is given, a file as sqlite:///PATH."""
    home = home or Path.home()
    given = environment.get(VARIABLE, "").strip()
    if "://" in given:
        return given
    if given:
        path = home / given[2:] if given.startswith("~/") else Path(given)
    else:
        path = _user_folder(environment, platform, home) / "tapewright" / "notebook.db"
    return f"sqlite:///{path.absolute()}"


def _user_folder(environment: Mapping[str, str], platform: str, home: Path) -> Path:
    if platform == "win32":
        return Path(environment.get("APPDATA") or home / "AppData" / "Roaming")
    if platform == "darwin":
        return home / "Library" / "Application Support"
    given = environment.get("XDG_DATA_HOME", "")
    # The base directory specification says to ignore a path that is not absolute.
    return Path(given) if given.startswith("/") else home / ".local" / "share"


def today() -> str:
    """The day as this machine has it, as pages, prints and cards tell it."""
    return datetime.now().astimezone().date().isoformat()


def new_id() -> str:
    """A new id for an entry: twenty hexadecimal digits that nobody can guess."""
    return secrets.token_hex(10)
