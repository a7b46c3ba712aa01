"""Serve: the notebook open in a browser: everything the commands do, and what they keep.

Holds:  the command ``serve``.
Never:  pages (faces/web).
"""

import secrets
import sys
from datetime import UTC, datetime
from ipaddress import ip_address
from pathlib import Path
from typing import Any

import click
import segno

from tapewright.faces.cli.notebook import NOTEBOOK, address, opened
from tapewright.faces.cli.plain_signs import has_sign
from tapewright.faces.settings import notebook_url
from tapewright.faces.web import serving
from tapewright.ground.errors import BadInput

PORT = 8640
LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # none that looks like another
PASSCODE_LETTERS = 10


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
    help="A name that leads here, such as one your shop's network gives; asks for the passcode.",
)  # fmt: skip
@click.option(
    "--workers", default=1, show_default=True, type=click.IntRange(1, 64),
    help="Processes; more than one is for many people and a notebook on PostgreSQL.",
)  # fmt: skip
@click.option(
    "--trusted-proxy", "proxies", default="", metavar="ADDRESS[,…]",
    help="Servers that pass requests on: what they say of the sender's address is believed.",
)  # fmt: skip
@NOTEBOOK
def serve(port: int, lan: bool, names: tuple[str, ...], **typed: Any) -> None:  # noqa: ANN401 — options, read by name
    """Open the notebook in a browser: everything the commands do, and what they keep.

    Only this machine can see it, unless --lan is given; then a passcode is asked for, once, and a
    code to scan with a phone is shown.
    """
    url = address(typed["notebook"])
    with opened(typed["notebook"]) as kept:
        place = kept.place
    wants_https = typed["https"] or typed["new_authority"]
    file = _passcode_file(url) if lan or names else None
    trusted = tuple(map(_proxy, filter(None, typed["proxies"].split(","))))
    plan = serving.Plan(
        url, port, lan, tuple(map(_host_name, names)), file, typed["workers"], trusted,
        _passcode_file(url).with_suffix(".https") if wants_https else None,
    )  # fmt: skip
    serving.refuse_taken(plan)
    if file is not None:
        _ask_passcode(file, anew=typed["new_passcode"])
    click.echo(f"The notebook {place} is open at {plan.address}")
    if plan.https is not None:
        _show_https(plan, anew=typed["new_authority"])
    elif lan or names:
        _show_way_in(plan.lan_address)
    click.echo("Stop with Ctrl-C.")
    serving.serve(plan, browser=not typed["no_browser"])


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
    if not url.startswith(start):
        url = notebook_url({})
    path = Path(url.removeprefix(start))
    return path.with_name(f"{path.stem}.passcode")


def _ask_passcode(file: Path, *, anew: bool) -> None:
    """Let somebody choose a passcode, or make one; it is told only now."""
    if serving.passcode_of(file) is not None and not anew:
        click.echo(serving.passcode_words(file))
        return
    made = "".join(secrets.choice(LETTERS) for _ in range(PASSCODE_LETTERS))
    typed = ""
    if sys.stdin.isatty():
        asked = "Choose a passcode, or press Enter to have one made"
        typed = click.prompt(asked, default="", show_default=False, hide_input=True)
    serving.choose_passcode(file, typed or made)
    if not typed:
        click.echo(f"Passcode: {made}   (only its hash is kept: write it down now)")


def _show_https(plan: serving.Plan, *, anew: bool) -> None:
    """The encrypted address, what a phone must take first, and how to know that it is ours."""
    ready = serving.make_ready(plan, datetime.now(UTC), anew=anew)
    first = f"{plan.lan_address}phone"
    click.echo(f"Encrypted: {plan.https_address(ready.left_out)}")
    click.echo(f"Its certificate lasts until {ready.until:%Y-%m-%d}; a start of the program in the")
    click.echo("two months before renews it, and phones need nothing new.")
    for name in ready.left_out:
        click.echo(f"Not at {name}, which is new since the authority was made: it may not vouch")
        click.echo("for it. --new-authority makes one that may.")
    is_shared = plan.passcode_file is not None
    who = "phone" if is_shared else "browser"
    click.echo(f"A {who} takes the authority {ready.named!r} once, at {first}")
    if is_shared:
        _show_code(first)
    click.echo(f"Take it only if the {who} shows this fingerprint (SHA-256):")
    pairs = ready.fingerprint.split(":")
    for half in (pairs[:16], pairs[16:]):
        click.echo(f"  {' '.join(half)}")
    if is_shared:
        click.echo("Whoever is on this network and knows the passcode can read and write.")
    else:
        click.echo("Only this machine is served; phones come in where --lan is given, too.")


def _show_code(address: str) -> None:
    segno.make(address, error="m", micro=False).terminal(out=sys.stdout, compact=has_sign("▀"))


def _show_way_in(address: str) -> None:
    """Address for phones, and the same as a code to scan."""
    click.echo(f"On the local network: {address}")
    _show_code(address)
    click.echo("Whoever is on this network and knows the passcode can read and write. The line")
    click.echo("is not encrypted: use it on a network you trust, and not on the open internet.")
