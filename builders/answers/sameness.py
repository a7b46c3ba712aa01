"""Sameness: what differs between two runs of one program is made the same.

The clock stands at one day and goes on a microsecond each time somebody looks; ids, salts and
made-up passcodes come in order.  What still depends on how often a program asks for them is
written down in one way: see PATTERNS.

Holds:  the clock, ids and chance put into a program that is loaded; the patterns of `plain`.
Never:  what is asked of the program.
"""

import datetime as dt
import importlib
import pkgutil
import random
import re
import secrets
import socket
import sys
import time
import types
import warnings
import webbrowser
from itertools import count

DAY = dt.datetime(2031, 4, 5, 10, 20, 30, tzinfo=dt.UTC)
TRUE_DAY = dt.datetime.now(dt.UTC).date().isoformat()
REAL = dt.datetime
# Moments; sums over ids and moments; a browser's kept files; what lets somebody in; places.
PATTERNS = (
    (re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:?\d\d)?"), "<moment>"),
    (re.compile(r'("(?:check|sum|salt)": ?)"[0-9a-f]{32,64}"'), r'\1"<sum>"'),
    (re.compile(r"(/static/[\w./-]+)\?[0-9a-f]+"), r"\1?<digest>"),
    (re.compile(r"(?m)^(set-cookie: \w+)=[^;]{20,}"), r"\1=<secret>"),
    (re.compile(r"(0x)[0-9a-f]{8,}"), r"\1<place>"),
)
ID = re.compile(r"(?<![0-9a-zA-Z])[0-9a-f]{20}(?![0-9a-zA-Z])")
_ticks, _numbers = count(), count(1)
_chance = random.Random(1)  # noqa: S311 — that it can be repeated is its purpose


class Standing(REAL):
    """A datetime whose now is the standing day, a microsecond later each time."""

    @classmethod
    def now(cls, tz=None):
        """The standing day."""
        moment = DAY + dt.timedelta(microseconds=next(_ticks))
        return moment.astimezone(tz) if tz else moment.replace(tzinfo=None)

    @classmethod
    def today(cls):
        """The same without a zone."""
        return cls.now()


class StandingDate(dt.date):
    """A date whose today is the standing day."""

    @classmethod
    def today(cls):
        """The standing day."""
        return DAY.date()


def begin_anew():
    """Clock, ids and chance as at the beginning: whatever was asked before."""
    global _ticks, _numbers
    _ticks, _numbers = count(), count(1)
    _chance.seed(1)


def stand_still(package):
    """Load all of a program and let its clock, ids, chance and machine stand still.

    Parameters
    ----------
    package : module
        The program.
    """
    warnings.simplefilter("ignore")  # they are told once a process, in an order of their own
    for one in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
        if "__main__" not in one.name and ".migrations." not in one.name:
            importlib.import_module(one.name)
    clock = types.ModuleType("datetime")
    clock.__dict__.update(vars(dt), datetime=Standing, date=StandingDate)
    others = {id(REAL): Standing, id(dt.date): StandingDate, id(dt): clock}
    for name, module in list(sys.modules.items()):
        if name.partition(".")[0] == package.__name__:
            for key, value in list(vars(module).items()):
                if id(value) in others:
                    setattr(module, key, others[id(value)])
    secrets.token_hex = lambda size=32: f"{next(_numbers):0{2 * size}x}"
    secrets.token_bytes = lambda size=32: _chance.randbytes(size)
    secrets.choice = _chance.choice
    time.time = DAY.timestamp
    socket.gethostname = lambda: "bench"
    socket.gethostbyname_ex = lambda name: (name, [], ["192.0.2.7"])
    webbrowser.open = lambda *_, **__: True


def plain(text, known=()):
    """Text in which moments, sums and ids are those of every run.

    Parameters
    ----------
    text : str
        An answer.
    known : mapping of str to str
        Ids and folders by what they are called; other ids are numbered as they come.

    Returns
    -------
    str
        The same, to be compared.
    """
    for one, called in dict(known).items():
        text = text.replace(one, f"<{called}>")
    for pattern, written in PATTERNS:
        text = pattern.sub(written, text)
    seen = {}
    return ID.sub(lambda hit: f"<id {seen.setdefault(hit[0], len(seen) + 1)}>", text)


JSON_PIECE = re.compile(r'("(?:\\.|[^"\\])*")|([{\[,])(?![\n\]}])')


def in_lines(text):
    """JSON with a line for each piece; not a digit of it changes."""
    return JSON_PIECE.sub(lambda hit: hit[1] or f"{hit[2]}\n", text)
