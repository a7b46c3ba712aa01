"""Import: a rig sheet with its shots, or an archive, into the notebook.

Holds:  the command ``import``.
Never:  what an archive holds (storage).
"""

from pathlib import Path

import click

from tapewright.faces.cli.input_files import load_rig_and_shots, warn
from tapewright.faces.cli.notebook import NOTEBOOK, counted, now, opened
from tapewright.faces.cli.options import FILE
from tapewright.faces.kept_rigs import keep_calibration, keep_next_shot, kept_answer, kept_rig
from tapewright.faces.settings import new_id, today
from tapewright.ground.errors import BadInput, BadRigSheet, TapewrightError
from tapewright.reading.text_file import load_text
from tapewright.services.keep import KeptGroup, KeptRig, KeptSession, Notebook, Write
from tapewright.services.move_notebook import load_archive, take_in
from tapewright.words.units import IMPERIAL


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
        with opened(notebook) as kept:
            click.echo(_import_rig(kept, file, shots_file))
        return
    if shots_file is not None:
        wrong = "shots are taken in together with a rig sheet"
        raise BadInput(file.name, wrong, "Name the rig sheet first, its name ending in .toml")

    archive = load_archive(file)
    with opened(notebook) as kept:
        click.echo(counted(take_in(kept, archive)))


def _import_rig(kept: Notebook, rig_file: Path, shots_file: Path | None) -> str:
    """Keep a rig with its shots; what to tell of it."""
    rig, observations, warnings = load_rig_and_shots(rig_file, shots_file)
    warn(warnings)
    sheet = load_text(rig_file, 1_000_000, BadRigSheet)
    rig_id, session_id = new_id(), new_id()
    writes: list[Write] = [Write(rig_id, KeptRig(sheet, rig.name))]
    if observations:
        note = f"From {shots_file.name}" if shots_file else ""
        session = KeptSession(today(), "sighting", note, 0)
        writes.append(Write(session_id, session, rig_id=rig_id))
    writes += [
        Write(new_id(), KeptGroup(session_id, one, ""), rig_id=rig_id) for one in observations
    ]
    kept.save_all(writes, now())
    arrows = sum(one.group.arrows for one in observations)
    told = f"Kept {rig.name} with {len(observations)} groups, {arrows} arrows."
    return told + _calibrated(kept, rig_id)


def _calibrated(kept: Notebook, rig_id: str) -> str:
    """Calibrate a rig just kept, so that lists can say how far it is trusted."""
    rig = kept_rig(kept, rig_id)
    try:
        answer = kept_answer(rig, IMPERIAL)
    except TapewrightError as refused:
        return f" It cannot be calibrated yet: {refused}"
    entry = keep_calibration(kept, rig_id, rig, answer, new_id(), now())
    if entry is not None:
        keep_next_shot(kept, entry, answer, now())
    return ""
