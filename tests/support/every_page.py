"""Every page: addresses of all pages of the web app, from its own routers.

Holds:  addresses with ids filled in, so that a new page is not forgotten; what stands on them.
Never:  tests.
"""

import re

from tapewright.faces.web.app import PAGES
from tapewright.questions.all_questions import all_questions

QUESTIONS = all_questions()

HOLE = re.compile(r"\{(\w+)\}")
NO_PAGES = {"/health", "/", "/worker.js", "/app.webmanifest", "/phone/tapewright-authority.crt"}
# Further faces of pages: as text, with an answer, with a fault, with nothing found.
MORE = (
    "/rigs/new?text=1", "/rigs?find=nobody", "/rigs/ffffffffffffffffffff",
    "{here}/sheet?text=1", "{here}/sheet?saved=1", "{here}/sheet?why=changed",
    "{here}/change/try?text=1", "{here}/change?butt=nothing", "{here}/groups/{aside}",
    "{here}/groups/new?distance=40+yd&reading=29.4", "{here}/tape?distances=nothing",
    "{here}/ask/weather?temperature=-5+°C", "{here}/ask/card?distances=nothing",
    "{here}/compare?with={other}", "{here}/marks?distances=nothing",
    "{here}/prove?session={proof}&look=accept", "{here}/prove?between=nothing",
)  # fmt: skip


def get_paths():
    """Path of every page that is read, holes and all."""
    paths = dict.fromkeys(
        route.path for router in PAGES for route in router.routes if "GET" in route.methods
    )
    return [one for one in paths if "{ending}" not in one and one not in NO_PAGES]


def filled(path, ids):
    """Addresses of a path: one for each errand where it takes any. KeyError: tell the id here."""
    names = QUESTIONS if path.endswith("/ask/{name}") else [""]
    return [path.format(**(ids | {"name": name})) for name in names]


def addresses(ids, more=MORE):
    """Addresses of all pages; without a rig, of those that need none."""
    known = set(ids) | {"name"}
    if "rig_id" not in ids:
        paths = [one for one in get_paths() if not HOLE.search(one)]
        return [*paths, *more[:2]]
    mine = [path for path in get_paths() if not _is_unknown(path, known)]
    every = [one for path in mine for one in filled(path, ids)]
    here = f"/rigs/{ids['rig_id']}"
    further = [one.format(here=here, **ids) for one in more] if "proof" in ids else []
    return list(dict.fromkeys([*every, *further]))


def _is_unknown(path, known):
    """Whether a path takes an id of a thing that this rig has not; with everything, none may be."""
    holes = set(HOLE.findall(path))
    return not holes <= known and "proof" not in known


def errand_paths():
    """Ends of the addresses under a rig that need nothing but the rig."""
    return [
        one.removeprefix("/rigs/{rig_id}")
        for path in get_paths()
        if path.startswith("/rigs/{rig_id}") and set(HOLE.findall(path)) <= {"rig_id", "name"}
        for one in filled(path, {"rig_id": "{rig_id}"})
    ]
