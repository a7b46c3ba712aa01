from pathlib import Path
from types import SimpleNamespace

import pytest

from tapewright.ground import errors

SENTENCES = [
    (
        errors.BadInput("rig.toml, [bow]", "no number here", "Write 285 ft/s"),
        "rig.toml, [bow]: no number here. Write 285 ft/s.",
    ),
    (
        errors.OutsideValidRange("Humidity", 120.0, 0, 100, "%"),
        "Humidity 120 % is outside 0 to 100 %, where the formula holds.",
    ),
    (
        errors.LaunchUnreachable(114.3),
        (
            "No launch angle carries this arrow to 114.3 m. "
            "Ask for a shorter distance, or check arrow speed and mass."
        ),
    ),
    (errors.CalibrationFailed("Nothing fits", "Shoot again"), "Nothing fits. Shoot again."),
    (
        errors.DoesNotFit(310.0, 277.0, "Choose a shorter strip"),
        "The drawing needs 310.0 mm and the paper has room for 277.0 mm. Choose a shorter strip.",
    ),
    (
        errors.MissingExtra("Engraving", "engrave"),
        "Engraving needs an optional library. Add it with: ./run --with engrave",
    ),
    (
        errors.NotKept("0123"),
        (
            "Nothing is kept as '0123' in this notebook. "
            "Go back to the list and choose from what is there."
        ),
    ),
    (
        errors.NotKept("0123", 4),
        (
            "Nothing is kept as '0123' in version 4 in this notebook. "
            "Go back to the list and choose from what is there."
        ),
    ),
    (
        errors.EditedMeanwhile(SimpleNamespace(number=3, is_withdrawn=False)),
        (
            "It was saved meanwhile by somebody else and is now at version 3. "
            "Look at what they changed, then save yours on top of it."
        ),
    ),
    (
        errors.EditedMeanwhile(SimpleNamespace(number=3, is_withdrawn=True)),
        (
            "It was withdrawn, and nothing can be saved on what is withdrawn. "
            "Restore it first, then save again."
        ),
    ),
    (
        errors.Withheld((SimpleNamespace(kind="light arrow"), SimpleNamespace(kind="blades"))),
        "STOP, this set-up must not be shot: light arrow, blades. Correct the rig sheet first.",
    ),
    (
        errors.Withheld(questions=("draw_weight", "rest")),
        "Before the first arrow the rig sheet must tell: draw_weight, rest. Then ask again.",
    ),
    (
        errors.NotebookUnusable("notebook.db", "the disk is full", "Make room"),
        "notebook.db: the disk is full. Make room.",
    ),
]


@pytest.mark.parametrize(("error", "sentence"), SENTENCES)
def test_every_error_says_what_is_wrong_and_what_to_do(error, sentence, monkeypatch):
    monkeypatch.chdir(Path(__file__).parents[2])  # what is told depends on where one stands
    assert str(error) == sentence
    with pytest.raises(errors.TapewrightError):
        raise error


@pytest.mark.parametrize(
    "kind",
    [
        errors.UnknownUnit,
        errors.UnreadableQuantity,
        errors.BadRigSheet,
        errors.BadShots,
        errors.BadArchive,
    ],
)
def test_every_fault_of_typing_is_bad_input(kind):
    with pytest.raises(errors.BadInput, match="there: wrong"):
        raise kind("there", "wrong", "Mend it")
