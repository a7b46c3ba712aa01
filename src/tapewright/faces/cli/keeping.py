"""Keeping: the commands on the notebook, and the one that serves the web app.

Heavy imports stand inside the commands, so that help and mistakes answer at once.

Holds:  rigs, import, export, backup, restore, check, serve.
Never:  how anything is kept (storage), pages (faces/web).
"""

# ruff: noqa: PLC0415, FBT001 — see above; and click hands flags over by name
from __future__ import annotations

import datetime as dt
import json
import secrets
import sys
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from tapewright.faces.cli.asking import units_of, warn
from tapewright.faces.cli.options import FILE, JSON, METRIC, with_options
from tapewright.ground.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tapewright.faces.listing import Listed
    from tapewright.services.keep import Notebook, Write
    from tapewright.services.move_notebook import Counts
    from tapewright.words.units import Units

PORT = 8640
STOPPED = "STOP: correct the rig sheet first"
LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # none that looks like another
PASSCODE_LETTERS = 10
MOST_ALIKE, MOST_TOLD = 1000, 20  # rigs looked at for one name, and named in a refusal
NOTEBOOK = click.option(
    "--notebook",
    default=None,
    metavar="PATH|URL",
    help="Where the notebook is; default: TAPEWRIGHT_NOTEBOOK, else a file in your own folder.",
)


def _address(given: str | None) -> str:
    """Address of the notebook asked for."""
    from tapewright.faces.settings import VARIABLE, notebook_url

    return notebook_url() if given is None else notebook_url({VARIABLE: given})


@contextmanager
def _opened(given: str | None) -> Iterator[Notebook]:
    from tapewright.faces.kept_stops import stops_verdict
    from tapewright.services.keep import open_notebook

    notebook = open_notebook(_address(given), stops_verdict)
    try:
        yield notebook
    finally:
        notebook.close()


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)


def _today() -> str:
    return dt.datetime.now().astimezone().date().isoformat()


@click.command()
@click.option(
    "--find", default="", metavar="TEXT", help="Only rigs whose name holds this; accents aside."
)
@click.option(
    "--limit",
    default=1000,
    show_default=True,
    type=click.IntRange(1, 1_000_000),
    help="How many at most.",
)
@click.option("--after", default="", metavar="ID", help="Those that follow this rig in the list.")
@with_options(NOTEBOOK, METRIC, JSON)
def rigs(
    find: str, limit: int, after: str, notebook: str | None, metric: bool, as_json: bool
) -> None:
    """List the rigs in the notebook by name.

    Each with how far it is trusted, when it was shot last, and what is next. If there are more
    than the limit, the last line (in JSON: next_after) says how to go on.
    """
    from tapewright.faces.cli.tables import show
    from tapewright.faces.listing import found_words, list_rigs
    from tapewright.services.keep import RigsAsked
    from tapewright.words.blocks import Table

    units, asked = units_of(metric=metric), RigsAsked(find, after, limit=limit)
    with _opened(notebook) as kept:
        page, listed = list_rigs(kept, asked)
    if as_json:
        written = {
            "schema": "tapewright.rigs/1",
            "rigs": [_row(one, units) for one in listed],
            "next_after": page.after,
        }
        click.echo(json.dumps(written, indent=1, ensure_ascii=False))
        return
    if not listed:
        nobody = "No rig is kept yet. Try tapewright import RIG.toml, or tapewright serve."
        click.echo("No rig is found." if find or after else nobody)
        return
    key = f"trusted_distance_{units.distance}"
    lines = tuple(
        (
            f"{one.name} ({one.apart})" if one.apart else one.name,
            _said(row[key]),
            row["shot_on"] or "never",
            str(row["arrows"]),
            row["next"],
        )
        for one, row in ((one, _row(one, units)) for one in listed)
    )
    for one in listed:
        for line in one.stops:
            click.echo(f"{one.name}: {line}")
    heads = ("rig", f"trusted {units.distance}", "shot last", "arrows", "next")
    show((Table("Rigs", heads, lines),))
    if page.after is not None:
        click.echo(f"{found_words(page, asked)}. More: --after {page.after}, or --find TEXT")


def _said(distance: float | None) -> str:
    return f"{distance:.0f}" if distance else "–"


def _row(rig: Listed, units: Units) -> dict[str, Any]:
    """A rig of the list, ready for JSON."""
    from tapewright.words.quantities import in_unit

    found, far_m = rig.calibration, rig.trusted_m
    trusted = None if far_m is None else round(in_unit(far_m, units.distance), 3)
    return {
        "id": rig.entry.id,
        "name": rig.name,
        "version": rig.entry.number,
        "stop": list(rig.stops),
        f"trusted_distance_{units.distance}": trusted,
        "shot_on": rig.shot_on or None,
        "arrows": found.arrows if found else 0,
        "next": STOPPED if rig.stops else found.next_shot if found else "",
    }


@click.command("import")
@click.argument("file", metavar="RIG.toml|ARCHIVE", type=FILE)
@click.argument("shots_file", metavar="[SHOTS.csv]", type=FILE, required=False)
@NOTEBOOK
def import_(file: Path, shots_file: Path | None, notebook: str | None) -> None:
    """Take a rig sheet with its shots, or an archive, into the notebook.

    A file that ends in .toml is a rig sheet and becomes a new rig; SHOTS.csv becomes its first
    session. Anything else is an archive: all of it is taken in or nothing, and what is there
    already stays as it is.
    """
    if file.suffix.casefold() == ".toml":
        with _opened(notebook) as kept:
            click.echo(_import_rig(kept, file, shots_file))
        return
    if shots_file is not None:
        wrong = "shots are taken in together with a rig sheet"
        raise BadInput(file.name, wrong, "Name the rig sheet first, its name ending in .toml")
    from tapewright.services.move_notebook import load_archive, take_in

    archive = load_archive(file)
    with _opened(notebook) as kept:
        click.echo(_counted(take_in(kept, archive)))


def _counted(counts: Counts) -> str:
    """What taking in an archive did."""
    if not counts.new + counts.longer:
        return f"Nothing new: all {counts.same} entries were there already."
    return (
        f"Taken in: {counts.new} new entries, {counts.longer} with later versions; "
        f"{counts.same} were there already."
    )


def _import_rig(kept: Notebook, rig_file: Path, shots_file: Path | None) -> str:
    """Keep a rig with its shots; what to tell of it."""
    from tapewright.faces.cli.asking import load_rig_and_shots
    from tapewright.faces.settings import new_id
    from tapewright.ground.errors import BadRigSheet
    from tapewright.reading.text_file import load_text
    from tapewright.services.keep import KeptGroup, KeptRig, KeptSession, Write

    rig, observations, warnings = load_rig_and_shots(rig_file, shots_file)
    warn(warnings)
    sheet = load_text(rig_file, 1_000_000, BadRigSheet)
    rig_id, session_id = new_id(), new_id()
    writes: list[Write] = [Write(rig_id, KeptRig(sheet, rig.name))]
    if observations:
        note = f"From {shots_file.name}" if shots_file else ""
        session = KeptSession(_today(), "sighting", note, 0)
        writes.append(Write(session_id, session, rig_id=rig_id))
    writes += [
        Write(new_id(), KeptGroup(session_id, one, ""), rig_id=rig_id) for one in observations
    ]
    kept.save_all(writes, _now())
    arrows = sum(one.group.arrows for one in observations)
    told = f"Kept {rig.name} with {len(observations)} groups, {arrows} arrows."
    return told + _calibrated(kept, rig_id)


def _calibrated(kept: Notebook, rig_id: str) -> str:
    """Calibrate a rig just kept, so that lists can say how far it is trusted."""
    from tapewright.faces.kept import (
        keep_calibration,
        keep_next_shot,
        kept_answer,
        kept_rig,
    )
    from tapewright.faces.settings import new_id
    from tapewright.ground.errors import TapewrightError
    from tapewright.words.units import IMPERIAL

    now = kept_rig(kept, rig_id)
    try:
        answer = kept_answer(now, IMPERIAL)
    except TapewrightError as refused:
        return f" It cannot be calibrated yet: {refused}"
    entry = keep_calibration(kept, rig_id, now, answer, new_id(), _now())
    if entry is not None:
        keep_next_shot(kept, entry, answer, _now())
    return ""


@click.command()
@click.option("--rig", default=None, metavar="NAME", help="Only this rig; default: all.")
@click.option("--out", type=FILE, default=None, help="A new file; default: by the day's date.")
@NOTEBOOK
def export(rig: str | None, out: Path | None, notebook: str | None) -> None:
    """Write everything that is kept, or one rig of it, to one readable file.

    The file can be imported on another machine, or again here: what is there already stays.
    """
    from tapewright.services.move_notebook import archive_text

    out = out or Path(f"tapewright-{_today()}.json")
    if out.exists():
        raise BadInput("--out", f"{out.name} is there already", "Name a new file")
    with _opened(notebook) as kept:
        text = archive_text(kept, None if rig is None else (_rig_id(kept, rig),))
    _write_private(out, text)
    click.echo(f"Wrote {out}")


def _write_private(out: Path, text: str) -> None:
    """Write a new file that is the owner's alone: it holds what a notebook holds."""
    from tapewright.services.move_notebook import make_private

    draft = out.with_name(f"{out.name}.part")
    draft.unlink(missing_ok=True)
    make_private(draft)
    draft.write_text(text, encoding="utf-8")
    draft.replace(out)


def _rig_id(kept: Notebook, name: str) -> str:
    """Id of the rig of a name, or of an id."""
    from tapewright.ground.errors import NotKept
    from tapewright.services.keep import KeptRig, RigsAsked, kept_as

    page = kept.rigs(RigsAsked(name, limit=MOST_ALIKE))
    found = [one.id for one in page.rigs if name == kept_as(one, KeptRig).name]
    if not found:
        with suppress(NotKept):
            found = [kept.entry(name).id]
    if len(found) == 1:
        return found[0]
    wrong = f"{len(found) or 'no'} rigs are called {name!r}"
    if found:
        mend = f"Give the id of one: {', '.join(found[:MOST_TOLD])}"
    else:
        rigs = page.rigs or kept.rigs(RigsAsked(limit=MOST_TOLD)).rigs
        names = ", ".join(sorted(kept_as(one, KeptRig).name for one in rigs[:MOST_TOLD]))
        mend = f"Choose from: {names or 'none yet'}; or give its id, see tapewright rigs --json"
    raise BadInput("--rig", wrong, mend)


@click.command()
@click.argument("file", type=FILE)
@NOTEBOOK
def backup(file: Path, notebook: str | None) -> None:
    """Copy the whole notebook into a new file, while others may go on writing."""
    from tapewright.services.move_notebook import backup as copy

    with _opened(notebook) as kept:
        copy(kept, file)
    click.echo(f"Wrote {file}")


@click.command()
@click.argument("file", type=FILE)
@NOTEBOOK
def restore(file: Path, notebook: str | None) -> None:
    """Take a backup or an archive into an empty notebook.

    Nothing is ever replaced: if the notebook is not empty, name a new one with --notebook.
    """
    from tapewright.services.move_notebook import restore as take_back

    with _opened(notebook) as kept:
        click.echo(_counted(take_back(kept, file)))


@click.command()
@click.option(
    "--save",
    type=FILE,
    default=None,
    metavar="SOUND.json",
    help="Write what is sound to a new archive, to be restored into a new notebook.",
)
@with_options(NOTEBOOK, JSON)
@click.pass_context
def check(ctx: click.Context, save: Path | None, notebook: str | None, as_json: bool) -> None:
    """Look at every row of the notebook and say what is not as it was written.

    Status 2 if anything is not. Nothing is changed: what is damaged stays as it is.
    """
    from tapewright.faces.soundness import checked_at, checked_json, checked_lines
    from tapewright.services.move_notebook import text_of

    if save is not None and save.exists():
        raise BadInput("--save", f"{save.name} is there already", "Name a new file")
    url = _address(notebook)
    if url.startswith("sqlite:///") and not Path(url.removeprefix("sqlite:///")).exists():
        wrong = "there is no notebook yet"
        raise BadInput(url.removeprefix("sqlite:///"), wrong, "Name another with --notebook")
    checked, sound = checked_at(url)
    if as_json:
        click.echo(json.dumps(checked_json(checked), indent=1, ensure_ascii=False))
    else:
        click.echo("\n".join((f"Notebook {checked.place}", *checked_lines(checked))))
    if save is not None and sound is not None:
        _write_private(save, text_of(sound))
        click.echo(f"Wrote {save}: {len(sound.histories)} sound entries.", err=as_json)
    if not checked.is_sound:
        ctx.exit(2)


@click.command()
@click.option(
    "--port", default=PORT, show_default=True, type=click.IntRange(1, 65535), help="To listen on."
)
@click.option("--no-browser", is_flag=True, help="Do not open a browser.")
@click.option(
    "--lan", is_flag=True, help="Serve the local network, too: phones, after they give a passcode."
)
@click.option("--new-passcode", is_flag=True, help="Choose the passcode anew.")
@click.option(
    "--name",
    "names",
    multiple=True,
    metavar="HOST",
    help="A name that leads here, such as one your shop's network gives; asks for the passcode.",
)
@click.option(
    "--workers",
    default=1,
    show_default=True,
    type=click.IntRange(1, 64),
    help="Processes; more than one is for many people and a notebook on PostgreSQL.",
)
@click.option(
    "--trusted-proxy",
    "proxies",
    default="",
    metavar="ADDRESS[,…]",
    help="Servers that pass requests on: what they say of the sender's address is believed.",
)
@NOTEBOOK
def serve(
    port: int,
    no_browser: bool,
    lan: bool,
    new_passcode: bool,
    names: tuple[str, ...],
    workers: int,
    proxies: str,
    notebook: str | None,
) -> None:
    """Open the notebook in a browser: everything the commands do, and what they keep.

    Only this machine can see it, unless --lan is given; then a passcode is asked for, once, and a
    code to scan with a phone is shown.
    """
    from tapewright.faces.web.serving import Plan, refuse_taken
    from tapewright.faces.web.serving import serve as run

    url = _address(notebook)
    with _opened(notebook) as kept:
        place = kept.place
    file = _passcode_file(url) if lan or names else None
    trusted = tuple(map(_proxy, filter(None, proxies.split(","))))
    plan = Plan(url, port, lan, tuple(map(_host_name, names)), file, workers, trusted)
    refuse_taken(plan)
    if file is not None:
        _ask_passcode(file, anew=new_passcode)
    click.echo(f"The notebook {place} is open at {plan.address}")
    if lan or names:
        _show_way_in(plan.lan_address)
    click.echo("Stop with Ctrl-C.")
    run(plan, browser=not no_browser)


def _host_name(name: str) -> str:
    """A name without scheme and port."""
    plain = name.strip().casefold()
    if not plain or not plain.isascii() or not plain.replace("-", "").replace(".", "").isalnum():
        wrong = f"{name!r} is not the name of a machine"
        raise BadInput("--name", wrong, "Write the bare name, such as bows.local")
    return plain


def _proxy(address: str) -> str:
    """Address of a server that passes requests on."""
    from ipaddress import ip_address

    try:
        return str(ip_address(address.strip()))
    except ValueError:
        wrong = f"{address.strip()!r} is not the address of a machine"
        mend = "Write the proxy's own address, such as 127.0.0.1 or 192.168.1.2"
        raise BadInput("--trusted-proxy", wrong, mend) from None


def _passcode_file(url: str) -> Path:
    """Where the passcode's hash is kept: beside the notebook, else in the user's own folder."""
    from tapewright.faces.settings import notebook_url

    start = "sqlite:///"
    if not url.startswith(start):
        url = notebook_url({})
    path = Path(url.removeprefix(start))
    return path.with_name(f"{path.stem}.passcode")


def _ask_passcode(file: Path, *, anew: bool) -> None:
    """Let somebody choose a passcode, or make one; it is told only now."""
    from tapewright.faces.web.serving import choose_passcode, passcode_of, passcode_words

    if passcode_of(file) is not None and not anew:
        click.echo(passcode_words(file))
        return
    made = "".join(secrets.choice(LETTERS) for _ in range(PASSCODE_LETTERS))
    typed = ""
    if sys.stdin.isatty():
        asked = "Choose a passcode, or press Enter to have one made"
        typed = click.prompt(asked, default="", show_default=False, hide_input=True)
    choose_passcode(file, typed or made)
    if not typed:
        click.echo(f"Passcode: {made}   (only its hash is kept: write it down now)")


def _show_way_in(address: str) -> None:
    """Address for phones, and the same as a code to scan."""
    import segno

    click.echo(f"On the local network: {address}")
    segno.make(address, error="m", micro=False).terminal(out=sys.stdout, compact=True)
    click.echo("Whoever is on this network and knows the passcode can read and write. The line")
    click.echo("is not encrypted: use it on a network you trust, and not on the open internet.")
