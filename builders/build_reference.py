"""Build the references in docs/: commands from their help, keys of sheets, addresses.

Rewrites what stands between markers; ``--check`` only compares.

Holds:  every command and option, every key of a rig sheet and of house values, every address and
        body of the notebook's API, as Markdown.
Never:  text written by hand, numbers.
"""

import re
import sys
from pathlib import Path

import click

from tapewright.faces.cli.commands import main as program
from tapewright.reading.house_fields import HOUSE
from tapewright.reading.rig_sheet_fields import SHEET
from tapewright.reading.sheet_schema import Declared, Key
from tapewright.reading.sheet_values import heading

DOCS = Path(__file__).resolve().parents[1] / "docs"
NAMES = ("command-line", "rig-sheet", "house-values", "http-api")
PAGES = tuple(DOCS / f"{name}.md" for name in NAMES)
BEGIN, END = "<!-- reference -->\n", "<!-- /reference -->"
SHEET_BEGIN, SHEET_END = "<!-- rig sheet -->\n", "<!-- /rig sheet -->"
HTTP_BEGIN, HTTP_END = "<!-- http -->\n", "<!-- /http -->"
BODIES = """## Bodies

Those that end in *Body* are sent, the others answered; `?`: may be left out or null.

| body | holds |
| --- | --- |
"""
HOUSE_BEGIN, HOUSE_END = "<!-- house values -->\n", "<!-- /house values -->"


def typed(context: click.Context, command: click.Command) -> str:
    """What a person types, arguments included."""
    pieces = " ".join(command.collect_usage_pieces(context))
    return f"tapewright {context.info_name} {pieces}".rstrip()


def option_rows(context: click.Context, command: click.Command) -> list[str]:
    """One table row for each option."""
    options = [one for one in command.get_params(context) if isinstance(one, click.Option)]
    rows = []
    for option in options:
        record = option.get_help_record(context)
        if record is not None and "--help" not in option.opts:
            name, words = record
            rows.append(f"| `{name.replace('|', ', ')}` | {words.replace('|', '/')} |")
    return rows


def command_section(parent: click.Context, name: str, command: click.Command) -> str:
    """Heading, usage, what it is for, options."""
    context = click.Context(command, info_name=name, parent=parent)
    words = (command.help or "").replace("\b\n", "").strip()
    paragraphs = [" ".join(one.split()) for one in words.split("\n\n")]
    rows = option_rows(context, command)
    table = ["\n".join(["| option | what it does |", "| --- | --- |", *rows])] if rows else []
    return "\n\n".join([f"### {name}", f"```\n{typed(context, command)}\n```", *paragraphs, *table])


def reference() -> str:
    """Sections of all commands, in the order the program lists them."""
    context = click.Context(program, info_name="tapewright")
    names = program.list_commands(context)
    found = {name: program.get_command(context, name) for name in names}
    sections = [command_section(context, name, one) for name, one in found.items() if one]
    return "\n" + "\n\n".join(sections) + "\n\n"


def key_row(word: str, key: Key) -> str:
    """One table row for a key of the rig sheet."""
    choices = " or ".join(f"`{choice}`" for choice, _ in key.choices if choice)
    words = [f"{key.label}.", key.purpose, key.measure, f"Write {choices}." if choices else ""]
    examples = dict.fromkeys(key.examples if key.kind else ())
    written = " or ".join(f'`"{one}"`' for one in examples)
    if key.many:
        written = f"`{key.list_example()}`"
    offered = [key.examples[0], *(choice for choice, _ in key.choices)]
    shown = written or f'`"{next(filter(None, offered))}"`'
    usual = (f"`{value}`" if value else meaning for value, meaning in key.choices[:1])
    left_out = "needed" if key.needed else key.left_open or next(usual, "")
    limits = f"{key.span}; ± counts" if key.doubt else key.span
    cells = (f"`{word}`", " ".join(filter(None, words)), shown, limits, left_out)
    return f"| {' | '.join(cells)} |"


def sheet_reference(declared: Declared = SHEET) -> str:
    """Every key of a kind of sheet, table by table."""
    rows = ["| key | what it is, and how to measure it | example | limits | left out |"]
    rows.append("| --- | --- | --- | --- | --- |")
    rows.append("| `schema` | Version of the sheet's keys. | `1` | always 1 | 1 |")
    for name, table in declared.tables.items():
        rows += [f"| **{heading(name, declared)}** | {table.about} | | | |"] if name else []
        rows += [key_row(word, key) for word, key in table.keys.items()]
    return "\n" + "\n".join(rows) + "\n\n"


def house_reference() -> str:
    """Every key of house values."""
    return sheet_reference(HOUSE)


def http_reference() -> str:
    """Every address by its kind, and what bodies hold."""
    from fastapi import FastAPI  # noqa: PLC0415 — only this page needs the web

    from tapewright.faces.web.api.endpoints import describe  # noqa: PLC0415
    from tapewright.faces.web.app import API  # noqa: PLC0415

    app = FastAPI(title="Tapewright", version="1", summary="")
    for router in API:
        app.include_router(router)
    describe(app)
    told = app.openapi()
    rows: dict[str, list[str]] = {}
    for path, ways in told["paths"].items():
        for way, one in ways.items():
            rows.setdefault((one.get("tags") or ["other"])[0], []).append(http_row(path, way, one))
    head = "\n\n| address | what it does | may be asked |\n| --- | --- | --- |\n"
    sections = [f"## {tag.capitalize()}{head}" + "\n".join(found) for tag, found in rows.items()]
    shapes = sorted(told["components"]["schemas"].items())
    bodies = "\n".join(body_row(name, one) for name, one in shapes if one.get("properties"))
    return "\n" + "\n\n".join([*sections, BODIES + bodies]) + "\n\n"


def http_row(path: str, way: str, one: dict) -> str:
    """One table row for an address."""
    where = re.sub(r"\{(\w+?)(_id)?\}", lambda found: found[1].upper().replace("ENTRY", "ID"), path)
    about = " ".join((one.get("description") or one.get("summary", "")).split()).replace("|", "/")
    asked = " ".join(
        f"`{said['name']}`" for said in one.get("parameters", []) if said["in"] == "query"
    )
    sent = one.get("requestBody", {}).get("content", {}).get("application/json", {})
    body = sent.get("schema", {}).get("$ref", "").rpartition("/")[2]
    return f"| `{way.upper()} {where}` | {about}{f' Body: `{body}`.' if body else ''} | {asked} |"


def body_row(name: str, shape: dict) -> str:
    """One table row for a body: its keys, each with its kind."""
    needed = shape.get("required", [])
    keys = (
        f"`{key}`{'' if key in needed else '?'} {kind_of(one)}"
        for key, one in shape["properties"].items()
    )
    return f"| `{name}` | {', '.join(one.strip() for one in keys)} |"


def kind_of(one: dict) -> str:
    """What a key holds, in a word or two."""
    if "$ref" in one:
        return str(one["$ref"]).rpartition("/")[2]
    if "enum" in one:
        return " or ".join(f"`{word}`" for word in one["enum"])
    if one.get("type") == "array":
        return f"list of {kind_of(one.get('items', {}))}".rstrip()
    either = [kind_of(each) for each in one.get("anyOf", []) if each.get("type") != "null"]
    return " or ".join(either) or str(one.get("type", ""))


def rebuilt(text: str) -> str:
    """The page with everything between its markers made anew."""
    made = (
        (BEGIN, END, reference),
        (SHEET_BEGIN, SHEET_END, sheet_reference),
        (HOUSE_BEGIN, HOUSE_END, house_reference),
        (HTTP_BEGIN, HTTP_END, http_reference),
    )
    for begin, end, make in made:
        if begin in text:
            before, rest = text.split(begin)
            text = before + begin + make() + end + rest.split(end)[1]
    return text


def main() -> int:
    """Write or check."""
    for page in PAGES:
        told = page.read_text(encoding="utf-8")
        fresh = rebuilt(told)
        if told == fresh:
            continue
        if "--check" in sys.argv:
            print(f"docs/{page.name} is older than the program: python builders/build_reference.py")
            return 1
        page.write_text(fresh, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
