"""Why a set-up must not be shot, what is odd about it, what is asked: word for word."""

from types import SimpleNamespace

import pytest

from tapewright.ground.errors import BadInput, Withheld
from tapewright.reading.rig_sheet import read_rig_sheet
from tapewright.services.stops import Doubt, Stop
from tapewright.words.stops import (
    check_list,
    doubt_words,
    question_lines,
    refused_words,
    stop_lines,
    stop_title,
    stop_words,
    unjudged_words,
    withheld_json,
)

LEAST = 'name = "Heron"\n[arrow]\nmass = "420 gr"\nshaft_diameter = "6 mm"\n'

# 280 gr are 18.144 g, 300 gr 19.440 g; 370 ft/s are 112.776 m/s; 231.6 N are 52.1 lbf
LIGHT = Stop("light arrow", "arrow.mass", (0.01814369, 0.01943967))


@pytest.mark.parametrize(
    ("stop", "wrong", "mend"),
    [
        (
            LIGHT,
            (
                "STOP: an arrow of 280 gr (18.1 g) is too light for this bow, which needs 300 gr "
                "(19.4 g) or more: do not shoot it. It strains the bow like a shot without an arrow"
            ),
            "Take a heavier arrow, or correct the arrow's mass, draw_weight or least_arrow_mass",
        ),
        (
            Stop("fast arrow", "bow.launch_speed", (0.01619973, 112.776, 231.6, 0.0168672)),
            (
                "STOP: 370 ft/s (113 m/s) with 250 gr (16.2 g) takes a bow of about 52 lbf or "
                "more, and that needs an arrow of 260 gr (16.9 g): do not shoot it"
            ),
            "Weigh the arrow, read the speed again, and correct the one that is wrong",
        ),
        (
            Stop("short arrow", "arrow.length", (0.0076, 0.0127)),
            (
                "STOP: at full draw the shaft ends 8 mm (0.3 in) before the rest, and 13 mm (0.5 "
                "in) before it is the least: do not shoot it. A shaft that slips off the rest, or "
                "blades at the hand, wound you"
            ),
            "Take a longer arrow, or correct the arrow's length, draw_length or rest",
        ),
        (
            Stop("short arrow", "arrow.length", (-0.0051, 0.0254)),
            (
                "STOP: at full draw the shaft ends 5 mm (0.2 in) behind it, and 25 mm (1.0 in) "
                "before it is the least: do not shoot it. A shaft that slips off the rest, or "
                "blades at the hand, wound you"
            ),
            "Take a longer arrow, or correct the arrow's length, draw_length or rest",
        ),
        (
            Stop("housing", "sight.housing_below_pin", (0.0023,)),
            (
                "STOP: the sight's housing meets the arrow at every distance: 2 mm (0.1 in) are "
                "missing where it stands highest. Do not shoot it"
            ),
            (
                "Raise the peep or change the housing, or correct housing_below_pin, peep_height, "
                "vane_height or blade_diameter"
            ),
        ),
        (
            Stop("blades", "arrow.blade_diameter", (0.0104,)),
            (
                "STOP: the sight's housing meets the blades of the point at every distance: 10 mm "
                "(0.4 in) are missing where it stands highest. Do not shoot it"
            ),
            (
                "Raise the peep or change the housing, or correct housing_below_pin, peep_height, "
                "vane_height or blade_diameter"
            ),
        ),
        (
            Stop("damaged", "checks.shafts"),
            "STOP: damaged, by the check list: shafts, points, nocks. Do not shoot it",
            ("Have it mended; press work belongs to a qualified technician. Then tick it sound"),
        ),
    ],
)
def test_why_it_must_not_be_shot_is_told_with_what_ends_it(stop, wrong, mend):
    assert stop_words(stop) == (wrong, mend)


@pytest.mark.parametrize(
    ("doubt", "wrong", "mend"),
    [
        (
            Doubt("light arrow", "arrow.mass", (0.01950447, 0.01943967)),
            "301 gr (19.5 g) is hardly more than the least, 300 gr (19.4 g)",
            "Weigh the arrow well before you shoot it",
        ),
        (
            Doubt("over the hand", "arrow.length", (0.0236, 0.0064)),
            "at full draw the shaft ends 6 mm (0.3 in) behind the grip, over the hand",
            "Check length, draw_length and rest; never let an arrow slip off the rest",
        ),
        (
            Doubt("short arrow", "arrow.length", (0.0178, 0.0254)),
            "at full draw only 18 mm (0.7 in) of the shaft stand before the rest",
            "Usual is 25 mm (1.0 in) or more; check length, draw_length and rest",
        ),
    ],
)
def test_what_is_odd_is_told_with_what_to_look_at(doubt, wrong, mend):
    assert doubt_words(doubt) == (wrong, mend)


ASKED = (
    (
        'how heavy an arrow this bow needs: write draw_weight = "60 lbf", or the maker\'s '
        'least_arrow_mass = "350 gr", under [bow].'
    ),
    'how far you draw: write draw_length = "29 in" under [bow].',
    (
        'where the arrow lies: write rest = "5 mm" under [bow]: how far the rest stands before the '
        'grip\'s deepest place, behind it less than 0; "shelf" without a rest.'
    ),
    'how long the shaft is: write length = "28.5 in" under [arrow].',
    (
        'how wide the blades are as the arrow flies: write blade_diameter = "29 mm" under [arrow]; '
        '"none" if they are folded in.'
    ),
)
KEYS = ("bow.draw_weight", "bow.draw_length", "bow.rest", "arrow.length", "arrow.blade_diameter")


def test_a_refusal_for_questions_says_what_to_write():
    assert question_lines(KEYS) == ASKED
    assert refused_words(Withheld(questions=KEYS)) == "\n".join(
        ("Before the first arrow the rig sheet must tell:", *ASKED, "Then ask again.")
    )
    assert withheld_json(Withheld(questions=KEYS[1:2])) == {
        "stop": [],
        "questions": [
            {
                "key": "bow.draw_length",
                "asked": "how far you draw",
                "answer": 'draw_length = "29 in" under [bow]',
            }
        ],
    }


def test_a_refusal_for_stops_tells_each_and_what_follows():
    damaged = Stop("damaged", "checks.peep")
    line = (
        "STOP: damaged, by the check list: peep. Do not shoot it. Have it mended; press work "
        "belongs to a qualified technician. Then tick it sound."
    )
    first, second, last = refused_words(Withheld((LIGHT, damaged))).split("\n")
    assert first.startswith("STOP: an arrow of 280 gr (18.1 g) is too light")
    assert second == line
    assert last == "Until the rig sheet is corrected nothing is planned, printed or trusted."
    assert withheld_json(Withheld((damaged,))) == {"stop": [line], "questions": []}


def test_any_other_refusal_keeps_its_own_words():
    other = BadInput("rig.toml", "name is missing", "Add a name")
    assert refused_words(other) == str(other)


def test_a_sheet_that_stops_says_so_in_its_title():
    rig, _ = read_rig_sheet(LEAST.replace("420", "280") + '[bow]\ndraw_weight = "60 lbf"\n')
    (line,) = stop_lines(rig)
    assert stop_title("Heron", (line,)) == "STOP, do not shoot: Heron"
    assert stop_title("Heron", ()) == "Heron"


def test_what_nobody_can_judge_is_told_of_a_bow_that_was_shot():
    rig, _ = read_rig_sheet(LEAST + '[bow]\ndraw_length = "29 in"\nrest = "5 mm"\n')
    assert unjudged_words(rig) == (
        "Not on the rig sheet, so nobody can judge whether this set-up is safe to shoot: how heavy "
        "an arrow this bow needs; how long the shaft is."
    )


def checked(kind=None):
    return SimpleNamespace(
        damaged=("rest",), sound=("bow", "screws"), bow=SimpleNamespace(kind=kind)
    )


def test_the_check_list_tells_what_was_found():
    table = check_list(checked())
    assert (table.title, table.heads) == (
        "Before the first arrow", ("part", "how", "who", "found"),
    )  # fmt: skip
    assert [(row[0], row[3]) for row in table.rows] == [
        ("bow, limbs, string, cables", "sound"),
        ("shafts, points, nocks", "not looked at yet"),
        ("arrow rest", "damaged"),
        ("centre shot", "not looked at yet"),
        ("nock and nocking point", "not looked at yet"),
        ("timing of the cams", "not looked at yet"),
        ("peep", "not looked at yet"),
        ("screws", "sound"),
    ]
    assert table.rows[5][1:3] == (
        (
            "Both cams reach their stops together; a second person looks while you draw with an "
            "arrow nocked, on a range, pointed at a butt. A bow without cams: tick it sound"
        ),
        "a qualified technician: press work",
    )


@pytest.mark.parametrize(
    ("stop", "mend"),
    [
        (
            Stop("housing", "sight.housing_below_pin", (0.0023,), "recurve"),
            (
                "Anchor lower or change the housing, or correct housing_below_pin, eye_height, "
                "vane_height or blade_diameter"
            ),
        ),
        (
            Stop("damaged", "checks.bow", (), "longbow"),
            "Have it mended by its maker or a qualified technician. Then tick it sound",
        ),
        (
            Stop("light arrow", "arrow.mass", (0.012, 0.013), "recurve"),
            "Take a heavier arrow, or correct the arrow's mass, draw_weight or least_arrow_mass",
        ),
    ],
)
def test_what_ends_a_stop_is_in_the_words_of_the_bow(stop, mend):
    assert stop_words(stop)[1] == mend


def test_a_part_is_called_as_its_bow_has_it():
    assert "part" not in stop_words(Stop("damaged", "checks.bow", (), "recurve"))[0]
    told = [
        stop_words(Stop("damaged", "checks.bow", (), kind))[0] for kind in ("compound", "recurve")
    ]
    assert told == [
        "STOP: damaged, by the check list: bow, limbs, string, cables. Do not shoot it",
        "STOP: damaged, by the check list: bow, limbs, string. Do not shoot it",
    ]
    assert (
        "by the check list: peep." in stop_words(Stop("damaged", "checks.peep", (), "recurve"))[0]
    )


@pytest.mark.parametrize(("kind", "screws"), [("recurve", "screws"), ("longbow", "sight")])
def test_a_bow_without_cams_is_looked_at_in_its_own_words(kind, screws):
    rows = check_list(checked(kind)).rows
    assert [(row[0], row[3]) for row in rows] == [
        ("bow, limbs, string", "sound"),
        ("shafts, points, nocks", "not looked at yet"),
        ("arrow rest", "damaged"),
        ("centre shot", "not looked at yet"),
        ("nock and nocking point", "not looked at yet"),
        (screws, "sound"),
    ]
    told = " ".join(cell for row in rows for cell in row)
    for word in ("cam", "cable", "peep", "press", "release"):
        assert word not in told
