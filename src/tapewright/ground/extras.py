"""Extras: the command that adds an optional library.

Holds:  how it is added, where the program runs from a clone, where it was installed, and where it
        is packed and nothing can be added.
Never:  whether a library is there.
"""

import shlex
import sys
from pathlib import Path

CLONE = Path(__file__).resolve().parents[3]


def is_packed() -> bool:
    """Whether this is the program that brings its own Python along, to which nothing is added."""
    return bool(getattr(sys, "frozen", False))


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
        words for the Python that runs the program, in quotation marks that every shell takes.
    """
    if (clone / "locks" / f"with-{extra}.lock").exists():
        run = "./run" if clone == Path.cwd() else shlex.quote(str(clone / "run"))
        return f"{run} --with {extra}"
    needs = " ".join(f'"{one}"' for one in _needs(extra))
    return f'"{sys.executable}" -m pip install {needs}'


def _needs(extra: str) -> list[str]:
    """What the extra asks for, as the installed program says it; else the extra of its source."""
    from importlib import metadata  # noqa: PLC0415 — loads much, and only a refusal needs it

    try:
        told = metadata.requires("tapewright") or []
    except metadata.PackageNotFoundError:
        told = []
    split = [line.partition(";") for line in told]
    wanted = f"extra=='{extra}'"
    found = [
        need.strip() for need, _, when in split if wanted == when.replace(" ", "").replace('"', "'")
    ]
    return found or [f"tapewright[{extra}]"]
