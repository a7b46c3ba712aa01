"""Every command: all commands of the program by name, loaded.

Holds:  one function.
Never:  what a command does.
"""

import click

from tapewright.faces.cli.commands import main


def every_command():
    context = click.Context(main)
    return {name: main.get_command(context, name) for name in main.list_commands(context)}
