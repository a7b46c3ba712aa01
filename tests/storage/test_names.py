import pytest
from hypothesis import given
from hypothesis import strategies as st

from tapewright.storage.names import folded


@pytest.mark.parametrize(
    ("written", "typed"),
    [
        ("Müller", "muller"),
        ("MÜLLER", "müller"),
        ("Mu\u0308ller", "m\u00fcller"),  # the same letter in one piece and in two
        ("Groß", "GROSS"),
        ("Jørgen Łukasz", "jorgen lukasz"),
        ("Zoë's  bow\t2", "zoe\u2019s bow 2"),
        ("Ætna–60", "aetna-60"),
        ("İpek Işık", "ipek isik"),
        ("Ёлка", "елка"),
        ("Σίσυφος", "σισυφοσ"),
        ("Ｗｉｄｅ ﬁn", "wide fin"),
        ("Heron\u200b\u0000", "heron"),
    ],
)
def test_one_name_written_in_two_ways_is_one(written, typed):
    assert folded(written) == folded(typed)


@pytest.mark.parametrize(
    ("one", "other"),
    [("Müller", "Mueller"), ("Heron 1", "Heron 11"), ("가", "각"), ("が", "か"), ("कि", "का")],
)
def test_names_that_differ_stay_apart(one, other):
    assert folded(one) != folded(other)


def test_a_syllable_half_typed_finds_the_whole_one():
    assert folded("각").startswith(folded("가"))


def test_what_is_kept_of_a_name_fits_into_a_key():
    assert folded("x" * 500) == "x" * 200
    assert len(folded("\ufdfa" * 200).encode()) <= 800  # one letter that folds to eighteen


@given(st.text(st.characters(exclude_categories=("Cs",)), max_size=40))
def test_folding_twice_changes_nothing(name):
    assert folded(folded(name)) == folded(name)
