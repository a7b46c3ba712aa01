"""Extras: the command that adds an optional library.

Holds:  how it is added, where the program runs from a clone and where it was installed.
Never:  whether a library is there.
"""

import shlex
from pathlib import Path

CLONE = Path(__file__).resolve().parents[3]


def adding(extra: str, clone: Path = CLONE) -> str:
    """Command that adds an extra, ready to be typed where the program is run.

    Parameters
    ----------
    extra : str
        The name of the extra in ``pyproject.toml``.
    clone : pathlib.Path
        The folder of the program's source, if it runs from there.

    Returns
    -------
    str
        ``./run --with …`` in a clone, with its path where somebody stands elsewhere; else pip's
        words, for which the folder of the source has to be put in.
    """
    if not (clone / "locks" / f"with-{extra}.lock").exists():
        return f"pip install 'FOLDER[{extra}]' (FOLDER: the folder of the program's source)"
    run = "./run" if clone == Path.cwd() else shlex.quote(str(clone / "run"))
    return f"{run} --with {extra}"
