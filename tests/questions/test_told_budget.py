"""A miss budget, told from numbers written by hand: its table by whole cells."""

from types import SimpleNamespace

from written_out import IMPERIAL

from tapewright.questions.budget import QUESTION as BUDGET
from tapewright.words.answer_blocks import Mind, Table

budget_blocks = BUDGET.tell


def test_a_budget_stands_sideways_then_up(quiet):
    shares = tuple(
        SimpleNamespace(name=name, right_m=right_m, up_m=up_m, saved=saved)
        for name, right_m, up_m, saved in [
            ("dispersion", 0.0254, 0.0508, 0.51),
            ("distance", 0.0, 0.0381, 0.19),
            ("together", 0.0305, 0.0762, 1.0),
        ]
    )
    found = SimpleNamespace(answer=quiet, distance_m=54.864, shares=shares)
    quiet.limits.far = SimpleNamespace(reading_m=0.0421, kind="measured clearance")
    table, cost, one, two, stop = budget_blocks(found, IMPERIAL)
    assert table == Table(
        "Miss budget at 60 yd, one deviation each",
        ("error alone", "left or right in", "up or down in", "share"),
        (
            ("dispersion", "1.00", "2.00", "51 %"),
            ("wrong distance", "0.00", "1.50", "19 %"),
            ("all together", "1.20", "3.00", "100 %"),
        ),
    )
    assert cost == (
        "At 60 yd, when all of this comes together, one arrow in three misses by more than 3.00 in "
        "up or down; one in three by more than 1.20 in left or right."
    )
    # without half of the variance, misses shrink to the root of a half
    assert one == (
        "First improve: dispersion (without it misses shrink by 30 %): practice, and arrows that "
        "match."
    )
    assert two == (
        "Then improve: wrong distance (without it misses shrink by 10 %): measure distances, or "
        "practise judging them."
    )
    assert stop == Mind("Do not set the sight past 42.1 mm: there the housing meets the arrow.")


def test_a_bow_without_a_peep_is_told_of_its_string(quiet):
    shares = tuple(
        SimpleNamespace(name=name, right_m=right_m, up_m=up_m, saved=saved)
        for name, right_m, up_m, saved in [
            ("peep", 0.0254, 0.0508, 0.51),
            ("cant", 0.0127, 0.0, 0.19),
            ("together", 0.0305, 0.0762, 1.0),
        ]
    )
    quiet.rig.bow.kind = "recurve"
    found = SimpleNamespace(answer=quiet, distance_m=54.864, shares=shares)
    table, _, one, two = budget_blocks(found, IMPERIAL)
    assert [row[0] for row in table.rows] == ["eye beside the string", "cant", "all together"]
    assert one == (
        "First improve: eye beside the string (without it misses shrink by 30 %): the string seen "
        "at the same place in every shot."
    )
    quiet.rig.bow.kind = "compound"
    assert budget_blocks(found, IMPERIAL)[0].rows[0][0] == "eye in the peep"
    assert two.startswith("Then improve: cant")
