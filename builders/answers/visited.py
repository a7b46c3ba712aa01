"""Visited: what the web app answers, to a browser without scripts and to another program.

Addresses are those of the app's own routes, filled with what the notebook holds; forms are read
from their pages and sent with a few fields changed, as a person would.

Holds:  one visitor of one app; its routes; its forms.
Never:  which forms are sent (walks.py).
"""

import re
from contextlib import suppress
from html.parser import HTMLParser
from urllib.parse import urlsplit

from answers.calls import slug
from starlette.testclient import TestClient

HEADERS = (
    "content-type", "location", "content-disposition", "cache-control", "content-security-policy",
    "link", "allow", "retry-after", "set-cookie",
)  # fmt: skip
HOLE = re.compile(r"\{(\w+)(?::\w+)?\}")
HERE = "http://127.0.0.1"
FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")


def routes_of(app):
    """Method and path of every route of an app, however it is wrapped.

    Parameters
    ----------
    app : ASGI app
        With an object that has routes somewhere inside.

    Returns
    -------
    list of (str, str)
        Without those that only say what another one would.
    """
    seen, ahead = set(), [app]
    while ahead:
        one = ahead.pop(0)
        if id(one) in seen or not hasattr(one, "__dict__"):
            continue
        seen.add(id(one))
        if isinstance(getattr(one, "routes", None), list):
            return list(dict.fromkeys(_flat(one.routes)))
        ahead += [inner for inner in vars(one).values() if callable(inner)]
    raise LookupError(f"{app!r} has no routes")


def _flat(routes):
    for route in routes:
        methods = getattr(route, "methods", None)
        if methods:
            yield from ((one, route.path) for one in sorted(methods) if one != "HEAD")
            continue
        inner = getattr(route, "original_router", route)
        prefix = getattr(route, "path", "") if inner is route else ""
        for method, path in _flat(getattr(inner, "routes", None) or ()):
            yield method, prefix + path


class _Forms(HTMLParser):
    """Forms of a page with what stands in them."""

    def __init__(self, text):
        super().__init__()
        self.forms, self._text, self._choice = [], None, None
        self.links = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        had = dict(attrs)
        self.links += [had[one] for one in ("href", "src") if had.get(one)]
        if tag == "form":
            action, method = had.get("action", ""), had.get("method", "get").casefold()
            self.forms.append((action.partition("#")[0], method, {}))
        if not self.forms:
            return
        fields, name = self.forms[-1][2], had.get("name")
        kind = had.get("type", "text")
        if tag == "textarea" and name:
            self._text, fields[name] = name, ""
        elif tag == "select" and name:
            self._choice = name
        elif tag == "option" and self._choice:
            value = had.get("value", "")
            if "selected" in had or self._choice not in fields:
                fields[self._choice] = value
        elif tag == "input" and name and kind not in ("file", "submit", "button"):
            if kind not in ("checkbox", "radio"):
                fields[name] = had.get("value", "")
            elif "checked" in had:
                fields[name] = had.get("value", "on")

    def handle_data(self, data):
        if self._text:
            self.forms[-1][2][self._text] += data

    def handle_endtag(self, tag):
        if tag == "textarea":
            self._text = None
        if tag == "select":
            self._choice = None


class Visitor:
    """Somebody who asks an app, and writes down what comes back.

    Parameters
    ----------
    app : ASGI app
        What is asked.
    record : Record
        Where answers go.
    lives : bool
        Whether the app works in the background, as when it is served.
    """

    def __init__(self, app, record, *, lives=False):
        self.app, self.record, self.asked = app, record, set()
        self.routes = routes_of(app)
        self.http = TestClient(
            app, base_url=HERE, follow_redirects=False, raise_server_exceptions=False
        )
        if lives:
            self.http.__enter__()

    def close(self):
        """End its background."""
        self.http.__exit__(None, None, None)

    def wish(self, units):
        """Read on in these units."""
        self.http.cookies.set("units", units)

    def know(self, **ids):
        """Call ids by what they are from now on."""
        self.record.known.update({one: name.replace("_", " ") for name, one in ids.items() if one})

    def ask(self, method, address, label="", **sent):
        """Send a request and record the answer."""
        answer = self.http.request(method, address, **sent)
        self.asked.add((method, urlsplit(address).path))
        lines = [f"{method} {self.named(address)}\n"]
        if sent.get("json") is not None:
            lines += [f"sent {self.record.told(str(sent['json']).encode())}"]
        lines += [f"status {answer.status_code}\n"]
        lines += [
            f"{name}: {text}\n"
            for name in HEADERS
            for text in answer.headers.get_list(name)
        ]  # fmt: skip
        head = self.record.told("".join(lines).encode()).partition("\n")[2]
        kind = answer.headers.get("content-type", "")
        name = slug([method, self.named(address), *filter(None, [label])])
        self.record.write(name, head + self.record.told(answer.content, kind))
        return answer

    def get(self, address, label=""):
        """Look at an address."""
        return self.ask("GET", address, label)

    def api(self, method, address, body=None, label=""):
        """Ask as another program; what was sent back as JSON."""
        answer = self.ask(method, address, label, **({} if body is None else {"json": body}))
        with suppress(ValueError):
            return answer.json()
        return None

    def send(self, page, action=None, label="", files=None, drop=(), **changed):
        """Send the form of a page that leads to an action, with some fields changed.

        Parameters
        ----------
        page : str
            Where the form stands.
        action : str, optional
            Where it leads; absent: to the page itself.
        label : str
            Tells this sending from others.
        files : dict, optional
            Files sent along: field to (name, bytes).
        drop : tuple of str
            Fields that are left out.
        **changed : str
            Fields with another text; _ in a name stands for what names of arguments may not have.
        """
        action = action or urlsplit(page).path
        text = self.http.get(page).text
        fields = {}
        for leads_to, method, had in _Forms(text).forms:
            if method == "post" and (urlsplit(leads_to).path or urlsplit(page).path) == action:
                fields = dict(had)
                break
        else:
            label = f"{label} no form".strip()
        fields |= changed
        fields = {name: one for name, one in fields.items() if name not in drop}
        return self.ask(
            "POST", action, label, data=fields, files=files,
            headers={"Origin": HERE, "Referer": f"{HERE}{page}"},
        )  # fmt: skip

    def links(self, address):
        """Addresses of this app that a page leads to."""
        found = _Forms(self.http.get(address).text).links
        return [one.partition("#")[0] for one in found if one.startswith("/")]

    def named(self, address):
        """Address with ids called by what they are."""
        path, mark, query = address.partition("?")
        for one, name in self.record.known.items():
            path, query = path.replace(one, name), query.replace(one, name)
        return f"{path}{mark}{query}"

    def filled(self, known, method="GET"):
        """Addresses of all routes of a method, as far as their holes are known.

        Parameters
        ----------
        known : dict of str to list of str
            Texts by hole; the hole of an ending or a name may be known by the path before it.
        """
        found = []
        for how, path in self.routes:
            if how == method:
                found += _fill(path, known)
        return list(dict.fromkeys(found))

    def unasked(self):
        """Routes that nobody asked for."""
        return [
            f"{method} {path}"
            for method, path in self.routes
            if not any(
                how == method and re.fullmatch(HOLE.sub("[^/]+", _plain(path)), asked)
                for how, asked in self.asked
            )
        ]


def _plain(path):
    return path.replace(".", r"\.")


def _fill(path, known):
    """Addresses of one path, hole by hole."""
    hole = HOLE.search(path)
    if hole is None:
        return [path]
    before = path[: hole.start()]
    texts = known.get(hole[1], ())
    for ending, some in known.items():
        if ending.endswith("*") and before.endswith(ending[:-1]):
            texts = some
    return [whole for text in texts for whole in _fill(before + text + path[hole.end() :], known)]
