"""What a person says with a question, read in the words of their face."""

import pytest
from written_out import IMPERIAL, METRIC

from tapewright.ground.errors import BadInput, UnknownUnit
from tapewright.questions.all_questions import all_questions
from tapewright.questions.question import Field, Measure, Said, heard, option

QUESTIONS = all_questions()
ALL = tuple(QUESTIONS.values())


TILT = Measure("angle", (-1.0, 1.0, "deg"))
CANT, LEVEL = Field("cant", "Cant", "1 deg", measure=TILT), Field("cant", "", "0 deg", measure=TILT)
ABOVE = Measure("length", example="1 in", wrong="is no gap", mend="Write it")
GAP = Field("gap", "Gap", measure=ABOVE)


def said(**texts):
    return Said(texts, option)


def test_an_option_is_named_as_it_is_typed():
    assert option("third_axis") == "--third-axis"


def test_nothing_said_means_the_usual():
    assert said().distances("distances", "20,40 m") == (20.0, 40.0)
    assert said(distances=" ").distance("distances", "20 m") == 20.0
    assert said().quantity(LEVEL, IMPERIAL) == 0.0
    assert said(cant="1 deg").quantity(CANT, IMPERIAL) == pytest.approx(0.0174533)
    assert said(cant="-1 deg").quantity(CANT, IMPERIAL) == pytest.approx(-0.0174533)
    assert said().quantity_if_said(GAP) is None
    assert said(gap="2 cm").quantity_if_said(GAP) == 0.02
    assert said(pin=None).whole("pin", 2, (1, 3)) == 2
    assert said().choice("paper", "A4", ("A4", "Letter")) == "A4"


@pytest.mark.parametrize(
    ("read", "words"),
    [
        (lambda: said(at="20,30 yd").distance("at", "20 yd"), '--at: "20,30 yd" is not one'),
        (
            lambda: said(cant="2 deg").quantity(CANT, IMPERIAL),
            '--cant: "2 deg" is too much. Write -1 to 1 deg, such as 1 deg.',
        ),
        (
            lambda: said(cant="-2 deg").quantity(CANT, IMPERIAL),
            "is too little",
        ),
        (lambda: said(cant="1.01 deg").quantity(CANT, IMPERIAL), "is too much"),
        (lambda: said(gap="0 in").quantity_if_said(GAP), '--gap: "0 in" is no gap. Write it.'),
        (lambda: said(gap="-1 in").quantity_if_said(GAP), '--gap: "-1 in" is no gap. Write it.'),
        (lambda: said(pin="x").whole("pin", 1, (1, 3)), '--pin: "x" is no whole number from 1'),
        (lambda: said(pin="²").whole("pin", 1, (1, 3)), "is no whole number"),
        (lambda: said(pin="9" * 99).whole("pin", 1, (1, 3)), "is no whole number"),
        (lambda: said(paper="A5").choice("paper", "A4", ("A4", "Letter")), "Choose A4 or Letter"),
    ],
)
def test_what_is_wrong_names_the_place_and_the_mend(read, words):
    with pytest.raises(BadInput, match=r"Write|Choose") as refused:
        read()
    assert words in str(refused.value)


def test_a_unit_of_another_kind_is_refused():
    with pytest.raises(UnknownUnit):
        said(cant="2 mm").quantity(CANT, IMPERIAL)


@pytest.mark.parametrize("question", ALL, ids=list(QUESTIONS))
def test_every_errand_says_what_it_is_and_what_is_usual(question):
    assert question.title
    assert question.about.endswith(".")
    names = [one.name for one in question.fields]
    assert len(set(names)) == len(names)
    for units in (IMPERIAL, METRIC):
        for one in question.fields:
            assert question.usual(one.name, units) == one.usual_in(units)


def test_an_earlier_name_is_heard_where_the_name_of_today_is_silent():
    fields = (Field("between", "Between", before="span"), Field("step", "Step"))
    assert heard(fields, {"span": "30,70", "step": "1 mm"}) == {"between": "30,70", "step": "1 mm"}
    assert heard(fields, {"between": "", "span": "30,70"}) == {"between": "30,70"}
    assert heard(fields, {"between": "20,60", "span": "30,70"}) == {"between": "20,60"}
    assert heard(fields, {"between": "20,60", "span": ""}) == {"between": "20,60"}


def test_a_bare_number_on_a_page_counts_in_the_readers_own_unit():
    size = Field("size", "", "8 in", "20 cm", measure=ABOVE)
    where = Field("wanted", "", takes="DISTANCE")
    assert [GAP.own_unit(one) for one in (IMPERIAL, METRIC)] == ["in", "cm"]
    assert (size.completed("12", METRIC), size.completed("12", IMPERIAL)) == ("12 cm", "12 in")
    assert where.completed("62,5", METRIC) == "62,5 m"
    assert where.completed("60 yd", METRIC) == "60 yd"
    assert where.completed("", METRIC) == ""
    some = Field("distances", "", takes="LIST")
    assert some.completed("18, 30", METRIC) == "18, 30 m"
    assert some.completed("20:60:10", IMPERIAL) == "20:60:10 yd"
    assert some.completed("18, 30 yd", METRIC) == "18, 30 yd"
    butt = Field("butt", "", takes="WIDTHxHEIGHT")
    assert (butt.completed("125x80", METRIC), butt.completed("36x36", IMPERIAL)) == (
        "125x80 cm", "36x36 in",
    )  # fmt: skip
    assert CANT.completed("1", METRIC) == "1"  # may be less than nothing: no keyboard of digits


def test_whoever_reads_metres_has_hints_in_metres():
    hint = Field("wanted", "", hint="Such as 60 yd, 3 in. Rows of distance_yd,right_in.")
    assert hint.hint_in(IMPERIAL) == hint.hint
    assert hint.hint_in(METRIC) == "Such as 60 m, 8 cm. Rows of distance_m,right_cm."
    told = [one.hint_in(METRIC) for question in ALL for one in question.fields]
    assert not [one for one in told if " yd" in one or "_yd" in one or "3 in" in one]
