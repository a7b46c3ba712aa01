"""Hand-over: the limits that go along with a bow."""

from types import SimpleNamespace

from written_out import IMPERIAL, METRIC

from tapewright.printing.handover import _limits, _stops


def test_the_coldest_air_that_the_maker_allows_stands_among_the_limits():
    bow = SimpleNamespace(least_arrow_mass_kg=0.02268, least_temperature_k=253.15)
    answer = SimpleNamespace(
        rig=SimpleNamespace(bow=bow), limits=SimpleNamespace(far=None), tape=None
    )
    assert _limits(answer, IMPERIAL) == (
        "Where housing and arrow meet is not known: measure it before a far shot. No arrow lighter "
        "than 350 gr, by the bow's maker. Not in air colder than −20 °C, by the bow's maker."
    )
    bow.least_temperature_k = None
    assert _limits(answer, IMPERIAL).endswith("350 gr, by the bow's maker.")
    assert "lighter than 22.7 g, by" in _limits(answer, METRIC)


def test_only_a_compound_hears_of_a_peep():
    for kind, peeps in (("recurve", 0), ("longbow", 0), ("compound", 2)):
        told = " ".join(_stops(SimpleNamespace(bow=SimpleNamespace(kind=kind))))
        assert told.count("peep") == peeps
        assert "cracked at bow, string, shafts, nocks, rest" in told
