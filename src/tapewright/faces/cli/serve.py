"""Serve: the notebook open in a browser: everything the commands do, and what they keep.

Holds:  the command ``serve``.
Never:  pages (faces/web).
"""

import json
import os
import secrets
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime
from ipaddress import ip_address
from pathlib import Path
from typing import Any

import click
import segno

from tapewright.faces.cli.console_encoding import has_sign
from tapewright.faces.cli.notebook import NOTEBOOK, address, opened
from tapewright.faces.settings import VARIABLE, notebook_url
from tapewright.faces.web import serving
from tapewright.ground.errors import BadInput

PORT = 8640
LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # none that looks like another
PASSCODE_LETTERS = 10
HIGHEST_PORT = 65535


@click.command()
@click.option(
    "--port", default=PORT, show_default=True, type=click.IntRange(1, 65535), help="To listen on."
)
@click.option("--no-browser", is_flag=True, help="Do not open a browser.")
@click.option(
    "--lan", is_flag=True, help="Serve the local network, too: phones, after they give a passcode."
)
@click.option(
    "--https", is_flag=True,
    help="Encrypted as well, one port higher: phones then keep pages for where there is no signal.",
)  # fmt: skip
@click.option(
    "--new-authority", is_flag=True,
    help="Make the authority behind --https anew; every phone must take the new file.",
)  # fmt: skip
@click.option("--new-passcode", is_flag=True, help="Choose the passcode anew.")
@click.option(
    "--name", "names", multiple=True, metavar="HOST",
    help="A name that leads here, such as one your shop's network gives; asks for the passcode. "
    "Serves the network, unless a trusted proxy on this machine passes requests on.",
)  # fmt: skip
@click.option(
    "--workers", default=1, show_default=True, type=click.IntRange(1, 64),
    help="Processes; more than one is for many people and a notebook on PostgreSQL.",
)  # fmt: skip
@click.option(
    "--trusted-proxy", "proxies", default="", metavar="ADDRESS[,…]",
    help="Servers that pass requests on: what they say of the sender's address is believed.",
)  # fmt: skip
@click.option(
    "--metrics", default=None, metavar="[ADDRESS:]PORT",
    help="Tell a monitoring program what is counted, at a port of its own, on this machine only "
    "unless an address is named.",
)  # fmt: skip
@click.option(
    "--log", default="errors", show_default=True, type=click.Choice(("errors", "json")),
    help="What is written while it runs: what goes wrong, or a JSON object for each request, too.",
)  # fmt: skip
@click.option(
    "--only-passcode", is_flag=True,
    help="Choose the passcode, typed or on standard input, and serve nothing: before a service is "
    "started.",
)  # fmt: skip
@NOTEBOOK
def serve(port: int, lan: bool, names: tuple[str, ...], **typed: Any) -> None:  # noqa: ANN401 — options, read by name
    """Open the notebook in a browser: everything the commands do, and what they keep.

    Only this machine can see it, unless --lan is given; then a passcode is asked for, once, and a
    code to scan with a phone is shown.
    """
    url = address(typed["notebook"])
    if typed["only_passcode"]:
        file = _passcode_file(url)
        _ask_passcode(file, anew=True)
        click.echo(
            f"Kept: {file}, the hash alone. A service that runs takes it when it is restarted."
        )
        return
    lines = _json_lines if typed["log"] == "json" else click.echo
    with opened(typed["notebook"]) as kept:
        place = kept.place
    wants_https = typed["https"] or typed["new_authority"]
    trusted = tuple(map(_proxy, filter(None, typed["proxies"].split(","))))
    plan = serving.Plan(
        url, port, lan, tuple(map(_host_name, names)), None, typed["workers"], trusted,
        _passcode_file(url).with_suffix(".https") if wants_https else None,
        _metrics(typed["metrics"]), typed["log"],
    )  # fmt: skip
    serving.refuse_taken(plan)
    if plan.is_open or names:
        file = _passcode_file(url)
        _ask_passcode(file, anew=typed["new_passcode"], lines=lines)
        plan = replace(plan, passcode_file=file)
    lines(f"The notebook {place} is open at {plan.address}")
    for line in _names_told(plan):
        lines(line)
    if plan.metrics is not None:
        place, told_at = plan.metrics
        place = f"[{place}]" if ":" in place else place
        lines(f"Counts are told at http://{place}:{told_at}/metrics")
    if plan.https is not None:
        _show_https(plan, lines, anew=typed["new_authority"])
    elif plan.is_open and plan.log != "json":
        _show_way_in(plan.lan_address)
    lines("Stop with Ctrl-C.")
    serving.serve(plan, browser=not typed["no_browser"])


def _json_lines(line: str) -> None:
    """What is told at the start, as a log's lines are."""
    told = {"time": datetime.now(UTC).isoformat(timespec="milliseconds"), "level": "info"}
    click.echo(json.dumps(told | {"from": "tapewright.serve", "message": line}))


def _names_told(plan: serving.Plan) -> Iterator[str]:
    """Where each name of its own leads, and what is still to be done that it leads here."""
    astray = {} if plan.proxies else plan.astray
    for name in plan.names:
        if plan.proxies:
            behind = ", ".join(plan.proxies)
            yield f"It answers to {name}, asked for by {behind}, which passes requests on."
        elif name in astray:
            found = " and ".join(astray[name])
            yield f"The name {name} leads {f'to {found}' if found else 'nowhere'}, seen from here:"
            here = plan.lan_address.partition("//")[2].partition(":")[0]
            yield f"have your network say that it is {here}."


def _metrics(typed: str | None) -> tuple[str, int] | None:
    """Address and port at which counts are told."""
    if typed is None:
        return None
    place, _, port = typed.rpartition(":")
    try:
        found = str(ip_address(place.strip("[]") or "127.0.0.1")), int(port)
    except ValueError:
        found = "", 0
    if not 1 <= found[1] <= HIGHEST_PORT:
        wrong = f"{typed!r} is no port, nor an address and a port"
        raise BadInput("--metrics", wrong, "Write 9464, or 0.0.0.0:9464 for others, too")
    return found


def _host_name(name: str) -> str:
    """A name without scheme and port."""
    plain = name.strip().casefold()
    if not plain or not plain.isascii() or not plain.replace("-", "").replace(".", "").isalnum():
        wrong = f"{name!r} is not the name of a machine"
        raise BadInput("--name", wrong, "Write the bare name, such as bows.local")
    return plain


def _proxy(address: str) -> str:
    """Address of a server that passes requests on."""
    try:
        return str(ip_address(address.strip()))
    except ValueError:
        wrong = f"{address.strip()!r} is not the address of a machine"
        mend = "Write the proxy's own address, such as 127.0.0.1 or 192.168.1.2"
        raise BadInput("--trusted-proxy", wrong, mend) from None


def _passcode_file(url: str) -> Path:
    """Where the passcode's hash is kept: beside the notebook, else in the user's own folder."""
    start = "sqlite:///"
    if url.startswith(start):
        return Path(url.removeprefix(start)).with_suffix(".passcode")
    # Until 0.2.0 no other folder was looked at than the usual one.
    own, usual = (
        Path(notebook_url(told).removeprefix(start)).with_suffix(".passcode")
        for told in ({**os.environ, VARIABLE: ""}, {})
    )
    return usual if usual.exists() and not own.exists() else own


def _ask_passcode(file: Path, *, anew: bool, lines: Callable[[str], None] | None = None) -> None:
    """Let somebody choose a passcode, or make one; it is told only now, and never to a log.

    Without lines to tell it in, it is all that was asked for, and may come from standard input.
    """
    if serving.passcode_of(file) is not None and not anew:
        (lines or click.echo)(serving.passcode_words(file))
        return
    if lines is _json_lines:
        mend = "Choose one first: tapewright serve --only-passcode, for the same notebook"
        raise BadInput("--log", "no passcode is chosen, and a log is no place for one", mend)
    made = "".join(secrets.choice(LETTERS) for _ in range(PASSCODE_LETTERS))
    typed = ""
    if sys.stdin.isatty():
        asked = "Choose a passcode, or press Enter to have one made"
        typed = click.prompt(asked, default="", show_default=False, hide_input=True)
    elif lines is None:
        typed = sys.stdin.readline().strip()
    serving.choose_passcode(file, typed or made)
    if not typed:
        click.echo(f"Passcode: {made}   (only its hash is kept: write it down now)")


def _show_https(plan: serving.Plan, lines: Callable[[str], None], *, anew: bool) -> None:
    """The encrypted address, what a phone must take first, and how to know that it is ours."""
    ready = serving.make_ready(plan, datetime.now(UTC), anew=anew)
    first = f"{plan.lan_address}phone"
    lines(f"Encrypted: {plan.https_address(ready.left_out)}")
    lines(f"Its certificate lasts until {ready.until:%Y-%m-%d}; a start of the program in the")
    lines("two months before renews it, and phones need nothing new.")
    for name in ready.left_out:
        lines(f"Not at {name}, which is new since the authority was made: it may not vouch")
        lines("for it. --new-authority makes one that may.")
    is_shared = plan.passcode_file is not None
    who = "phone" if is_shared else "browser"
    lines(f"A {who} takes the authority {ready.named!r} once, at {first}")
    if is_shared and plan.log != "json":
        _show_code(first)
    lines(f"Take it only if the {who} shows this fingerprint (SHA-256):")
    pairs = ready.fingerprint.split(":")
    for half in (pairs[:16], pairs[16:]):
        lines(f"  {' '.join(half)}")
    if is_shared:
        lines("Whoever is on this network and knows the passcode can read and write.")
    else:
        lines("Only this machine is served; phones come in where --lan is given, too.")


def _show_code(address: str) -> None:
    segno.make(address, error="m", micro=False).terminal(out=sys.stdout, compact=has_sign("▀"))


def _show_way_in(address: str) -> None:
    """Address for phones, and the same as a code to scan."""
    click.echo(f"On the local network: {address}")
    _show_code(address)
    click.echo("Whoever is on this network and knows the passcode can read and write. The line")
    click.echo("is not encrypted: use it on a network you trust, and not on the open internet.")
