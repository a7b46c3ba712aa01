"""Folded: what hardly anyone uses stands behind --help --more, named, and works as ever."""

import click
import pytest

from tapewright.faces.cli.commands import main
from tapewright.faces.cli.shared_options import Rare

# All that is folded, in one place
SELDOM = {"house", "strips", "compare", "picture", "batch", "family"}
EVERYWHERE = {"--band", "--seed", "--house"}
OF_COMMANDS = {
    "batch": {"--cluster", "--workers"},
    "tape": {"--between", "--step", "--number-every", "--length", "--side-scale", "--labels",
             "--wheel", "--thickness", "--notches", "--rules"},
    "next": {"--arrows", "--distances", "--walk", "--temperature", "--windage"},
    "card": {"--radius", "--pin", "--rules"},
    "weather": {"--pressure", "--sea-level-pressure", "--humidity", "--distances", "--pin"},
    "cold": {"--to", "--butt", "--groups", "--distances"},
}  # fmt: skip


def commands():
    context = click.Context(main, info_name="tapewright")
    return {name: main.get_command(context, name) for name in main.list_commands(context)}


def folded(command):
    return {one.opts[0] for one in command.params if isinstance(one, Rare)}


def test_commands_that_hardly_anyone_needs_are_named_below_the_others(run):
    short, full = run("--help").output, run("--help", "--more").output
    for name in SELDOM:
        assert f"\n  {name} " not in short
        assert f"\n  {name} " in full
    (named,) = [line for line in short.splitlines() if line.startswith("More: ")]
    assert set(named.removeprefix("More: ").partition(".")[0].split(", ")) == SELDOM
    assert "More: " not in full
    listed = {line.split()[0] for line in full.splitlines() if line.startswith("  ")}
    assert set(commands()) <= listed


def test_every_folded_option_is_told_of_by_more_and_named_without():
    for name, command in commands().items():
        rare = folded(command)
        if not rare:
            continue
        assert rare & EVERYWHERE or name in OF_COMMANDS, name
        if name in OF_COMMANDS:
            assert rare - EVERYWHERE == OF_COMMANDS[name], name
        records = [one.get_help_record(click.Context(command)) for one in command.params]
        told = " ".join(one[0] for one in records if one)
        assert not {one for one in rare if f"{one} " in f"{told} "}, name
        words = set(command.epilog.replace(",", " ").replace(".", " ").split())
        assert rare <= words, name


@pytest.mark.parametrize(("typed", "told"), [
    (["fit", "--help", "--more"], "--seed INTEGER"), (["tape", "--more", "-h"], "--wheel"),
    (["cold", "-h", "--more"], "--groups"), (["batch", "--help", "--more"], "--cluster"),
    (["gauge", "--help", "--more"], "--paper"),
])  # fmt: skip
def test_more_tells_all(run, typed, told):
    assert told in run(*typed).output
    assert "Seldom needed" not in run(*typed).output
    if typed[0] != "gauge":
        lines = run(typed[0], "--help").output.splitlines()
        assert not [one for one in lines if one.startswith(f"  {told}")]


def test_how_it_was_drawn_is_told_when_more_is_wanted(run):
    short = run("fit", "rig.toml", "shots.csv").output
    assert "effective draws" not in short
    assert "How it was drawn: see --more." in short
    assert "effective draws" in run("fit", "rig.toml", "shots.csv", "--more").output
