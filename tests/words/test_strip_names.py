import pytest

from tapewright.words.strip_names import check_words, lengths_told, longer_words, strip_names


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.02, "+2 %"), (-0.02, "−2 %"), (0.0234, "+2.3 %"), (-0.1, "−10 %"), (0.0004, "+0.04 %"),
     (0.00004, "+0.004 %")],
)  # fmt: skip
def test_a_strip_is_called_by_how_much_longer_it_is(share, words):
    assert longer_words(share) == words


def test_the_middle_strip_is_the_one_to_start_with():
    assert strip_names([29.9, 30.5, 31.1]) == ("−2 %", "start here", "+2 %")


def test_lengths_are_told_from_tick_to_tick():
    assert check_words((20.0, 60.0), "30.5 mm") == "from the tick 20 to the tick 60: 30.5 mm"
    assert check_words((18.5, 60.0), "30.5 mm", "m") == "from 18.5 to 60 m: 30.5 mm"


def test_lengths_that_differ_little_are_told_apart():
    assert lengths_told([29.9, 30.5, 31.1]) == "29.9, 30.5, 31.1 mm"
    assert lengths_told([30.48, 30.5, 30.52]) == "30.48, 30.50, 30.52 mm"
