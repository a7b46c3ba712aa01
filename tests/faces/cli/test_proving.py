"""The commands strips and prove."""

import json

import numpy as np
import pytest
from click.testing import CliRunner
from screen import answered_json as said
from screen import refused_words as refused

from tapewright.faces.cli.commands import main

PROOF_KEYS = {
    "schema", "stop", "rig", "fingerprint", "groups", "families", "causes", "mend", "spans_mm",
    "check_lengths_mm", "between_yd",
    "dispersion_mrad", "dispersion_low_mrad", "dispersion_high_mrad", "verdict", "advice",
    "cautions", "rivals", "telling_from", "may_accept",
}  # fmt: skip
HEAD = "group,distance_yd,reading_mm,right_in,up_in"
PROVED_YD = (20, 40, 60, 80)


@pytest.fixture(scope="module")
def marks(sample):
    """Marks by their distances, of the rig and the shots that every test begins with."""
    words = ["fit", str(sample / "heron.toml"), str(sample / "heron-shots.csv"), "--json"]
    answer = said(CliRunner().invoke(main, [*words, "--distances", "10:100:10yd"]))
    return {one["distance_yd"]: one["reading_mm"] for one in answer["marks"]}


@pytest.fixture
def proof(bench, marks):
    """Write a proof whose groups lie where the two functions of the distance say, in inches."""

    def write(up=lambda _: 0.0, right=lambda _: 0.0, distances=PROVED_YD, name="proof.csv"):
        even = np.array([-1.2, -0.6, -0.2, 0.2, 0.6, 1.2]) * 0.6e-3 * 36
        rows = [HEAD]
        for place, yards in enumerate(distances, 1):
            for one, other in zip(even, np.roll(even, 3), strict=True):
                x, y = right(yards) + one * yards, up(yards) + other * yards
                rows.append(f"{place},{yards},{marks[yards]:.2f},{x:.3f},{y:.3f}")
        (bench / name).write_text("\n".join(rows) + "\n", encoding="utf-8")
        return name

    return write


def prove(run, *typed):
    return said(run("prove", "rig.toml", "shots.csv", "proof.csv", *typed, "--json"))


# prove


def test_json_has_the_documented_keys_and_no_other(run, proof):
    proof(up=lambda yards: 0.1 * yards)
    answer = prove(run)
    assert set(answer) == PROOF_KEYS | {"telling_distance_yd"}
    assert answer["schema"] == "tapewright.proof/1"
    for one in answer["groups"]:
        assert set(one) == {
            "group", "distance_yd", "miss_up_in", "miss_right_in", "doubt_up_in", "doubt_right_in",
        }  # fmt: skip
    assert sum(one["odds"] for one in answer["causes"]) == pytest.approx(1, abs=0.01)
    assert sum(one["odds"] for one in answer["families"]) == pytest.approx(1, abs=0.01)
    keys = {
        "zero": "mrad", "height": "in", "span": "mm", "drag or air": "percent",
        "one distance": "yd", "windage": "mrad", "sideways": "in", "wind or cant": "deg",
        "speed": "percent",
    }  # fmt: skip
    for one in answer["causes"]:
        if one["cause"] != "nothing":
            unit = keys[one["cause"]]
            assert {f"size_{unit}", f"low_{unit}", f"high_{unit}"} <= set(one)
    assert set(answer["mend"]) == {
        "reading_mm", "reading_clicks", "pin_right_mm", "pin_right_clicks", "longer_mm",
        "longer_span_mm", "heavier_gr",
    }  # fmt: skip


def test_a_good_tape_is_said_to_be_right(run, proof):
    proof()
    done = run("prove", "rig.toml", "shots.csv", "proof.csv")
    assert "The tape is right" in done.stdout or "Nothing is clearly wrong" in done.stdout
    assert "Your dispersion" in done.stdout
    answer = prove(run)
    assert answer["families"][0]["family"] == "nothing"
    assert answer["advice"] == ""
    assert 0.3 < answer["dispersion_mrad"] < 0.9


def test_a_moved_zero_is_mended_in_clicks(run, proof):
    proof(up=lambda yards: 0.1 * yards)  # 2.8 mrad high
    answer = prove(run)
    assert answer["families"][0]["family"] == "zero"
    assert answer["mend"]["reading_mm"] < 0
    assert answer["mend"]["reading_clicks"] == round(answer["mend"]["reading_mm"] / 0.1)
    text = run("prove", "rig.toml", "shots.csv", "proof.csv").stdout
    assert "pin up" in text
    assert "clicks" in text
    assert "before you accept" in text


@pytest.mark.parametrize(
    ("up", "words", "mend"),
    [
        (lambda yards: 0.1 * yards, "(zero)", "prove again"),
        # 36 mm a yard over 20 yd, and a zero: 5 % slower, in angle as the distance
        (lambda yards: -0.0021 * yards**2, "(speed)", "with change"),
    ],
)
def test_what_the_equipment_missed_is_not_taken_in(run, proof, bench, up, words, mend):
    proof(up=up)
    answer = prove(run)
    assert not answer["may_accept"]
    done = run("prove", "rig.toml", "shots.csv", "proof.csv", "--accept", "all.csv")
    assert words in refused(done)
    assert mend in refused(done)
    assert not (bench / "all.csv").exists()


def test_a_slower_arrow_is_told_with_its_mass_and_leads_to_change(run, proof):
    proof(up=lambda yards: -0.0021 * yards**2)
    answer = prove(run)
    assert answer["families"][0]["family"] == "speed"
    speed = next(one for one in answer["causes"] if one["cause"] == "speed")
    assert speed["high_percent"] < -1.0
    assert answer["mend"]["heavier_gr"] > 15.0
    text = run("prove", "rig.toml", "shots.csv", "proof.csv").stdout
    assert "slower" in text
    assert "gr heavier would do as much" in text
    assert "tapewright change" in text


def test_arrows_low_far_out_want_a_longer_strip(run, proof):
    proof(up=lambda yards: -9 * ((yards - 20) / 60) ** 2)
    answer = prove(run)
    assert answer["families"][0]["family"] == "far marks"
    assert answer["mend"]["longer_span_mm"] > 0.5
    text = run("prove", "rig.toml", "shots.csv", "proof.csv").stdout
    assert "Far arrows land low" in text
    assert "Take the strip +" in text


def test_arrows_high_far_out_want_the_shorter_neighbour(run, proof):
    # common practice, no source: high at the long distances, the next shorter strip
    proof(up=lambda yards: 4.5 * ((yards - 20) / 60) ** 2)
    text = run("prove", "rig.toml", "shots.csv", "proof.csv").stdout
    assert "Far arrows land high" in text
    assert "Take the strip −" in text


def test_windage_follows_the_arrows(run, proof):
    proof(right=lambda yards: -0.08 * yards)
    answer = prove(run)
    assert answer["families"][0]["family"] == "windage"
    assert answer["mend"]["pin_right_mm"] < 0
    assert answer["mend"]["pin_right_clicks"] is None  # the sheet has no windage click
    assert "pin left" in run("prove", "rig.toml", "shots.csv", "proof.csv").stdout


@pytest.mark.parametrize(
    ("up", "right", "family", "words"),
    [
        (lambda _: 4.0, lambda _: 0.0, "height", "anchor"),
        (lambda _: 0.0, lambda _: -4.0, "sideways", "centre shot"),
        (lambda _: 0.0, lambda yards: 12 * (yards / 80) ** 2, "wind or cant", "plumb line"),
        (lambda yards: -9.0 * (yards == 60), lambda _: 0.0, "one distance", "Measure that"),
    ],
)
def test_other_causes_say_what_to_look_at(run, proof, up, right, family, words):
    proof(up=up, right=right)
    answer = prove(run)
    assert answer["families"][0]["family"] == family
    assert words in answer["advice"]
    assert words in run("prove", "rig.toml", "shots.csv", "proof.csv").stdout


def test_few_distances_are_cautioned(run, proof):
    proof(distances=(20, 60))
    assert any("three distances" in one for one in prove(run)["cautions"])


def test_metric_answers(run, proof):
    proof(up=lambda yards: 0.1 * yards)
    answer = prove(run, "--metric")
    assert "telling_distance_m" in answer
    assert "miss_up_cm" in answer["groups"][0]
    assert "cm" in run("prove", "rig.toml", "shots.csv", "proof.csv", "--metric").stdout


@pytest.mark.parametrize("form", ["text", "json"])
def test_an_accepted_proof_is_a_file_that_fits(run, proof, bench, form):
    proof()
    typed = ["prove", "rig.toml", "shots.csv", "proof.csv", "--accept", "all.csv"]
    done = run(*typed, "--json") if form == "json" else run(*typed)
    assert done.exit_code == 0, done.output
    if form == "json":
        accepted = json.loads(done.stdout)["accepted"]
        assert set(accepted) == {
            "fingerprint", "trusted_distance_yd", "once_zeroed_distance_yd",
            "trusted_distance_before_yd", "two_bows_odds", "marks",
        }  # fmt: skip
        again = said(run("fit", "rig.toml", "all.csv", "--json", "--distances", "10:100:10yd"))
        for one, other in zip(accepted["marks"], again["marks"], strict=True):
            # written to ten digits: draws differ by nothing that a tick would show
            assert one["reading_mm"] == pytest.approx(other["reading_mm"], abs=0.02)
        assert again["trusted_distance_yd"] == pytest.approx(accepted["trusted_distance_yd"], abs=1)
    else:
        assert "Marks moved by at most" in done.stdout
        assert "Wrote all.csv" in done.stdout
    rows = (bench / "all.csv").read_text(encoding="utf-8").splitlines()
    before = (bench / "shots.csv").read_text(encoding="utf-8").splitlines()
    assert sum(row.endswith(",proof") for row in rows) == 6 * len(PROVED_YD)
    assert len(rows) == len(before) + 6 * len(PROVED_YD)
    assert not list(bench.glob("*.part"))


def test_nothing_is_overwritten(run, proof, bench):
    proof()
    before = (bench / "shots.csv").read_bytes()
    done = run("prove", "rig.toml", "shots.csv", "proof.csv", "--accept", "shots.csv")
    assert "is there already" in refused(done)
    assert (bench / "shots.csv").read_bytes() == before


def test_files_without_arrows_are_refused(run, proof, bench):
    proof()
    (bench / "none.csv").write_text(HEAD + "\n", encoding="utf-8")
    assert "none.csv" in refused(run("prove", "rig.toml", "none.csv", "proof.csv"))
    assert "none.csv" in refused(run("prove", "rig.toml", "shots.csv", "none.csv"))
    assert "no such file" in refused(run("prove", "rig.toml", "shots.csv", "lost.csv"))


# strips


def strips(run, *typed):
    return said(run("strips", "rig.toml", *typed, "--json"))


def ready_set(bench, marks, way=1):
    rows = ["strip,distance_yd,position_mm"]
    for one in range(10):
        for yards in range(20, 90, 10):
            length = (marks[yards] - marks[20]) * (1 + 0.06 * (one - 4))
            rows.append(f"{one + 10},{yards},{way * length:.3f}")
    (bench / "set.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")


def test_neighbours_are_told_with_what_each_changes(run):
    answer = strips(run, "shots.csv", "--step", "0.5 mm")
    assert set(answer) == {"schema", "stop", "rig", "fingerprint", "near_yd", "far_yd", "strips"}
    assert answer["schema"] == "tapewright.strips/1"
    lengths = [one["check_length_mm"] for one in answer["strips"]]
    assert lengths == [one["span_mm"] for one in answer["strips"]]
    assert np.diff(lengths) == pytest.approx([0.5, 0.5], abs=2e-3)
    for one in answer["strips"]:
        assert set(one["marks"][0]) == {"distance_yd", "reading_mm", "impact_up_in"}
    assert all(one["impact_up_in"] == 0 for one in answer["strips"][1]["marks"])
    text = run("strips", "rig.toml", "shots.csv").stdout
    assert "Far arrows high: take −" in text


@pytest.mark.parametrize("option", ["--between", "--span"])
def test_strips_are_told_apart_where_one_likes(run, option):
    answer = strips(run, "shots.csv", option, "30,70")
    assert (answer["near_yd"], answer["far_yd"]) == (30, 70)


def test_strips_are_told_apart_as_far_as_the_bands_carry(run):
    assert strips(run, "shots.csv", "--metric")["far_m"] == 80  # trusted to 92 yd, 84 m


def test_the_right_strip_of_a_set_is_chosen(run, bench, marks):
    ready_set(bench, marks)
    found = strips(run, "shots.csv", "--set", "set.csv")["set"]
    assert found["ranked"][0]["strip"] == "14"
    assert found["good_enough"]
    assert found["to_yd"] == 80
    best = found["ranked"][0]
    assert set(best) == {
        "strip", "chance", "worst_in", "align_distance_yd", "align_reading_mm",
        "runs_against_scale", "errors",
    }  # fmt: skip
    assert best["align_distance_yd"] == 20
    assert best["align_reading_mm"] == pytest.approx(marks[20], abs=0.1)
    text = run("strips", "rig.toml", "shots.csv", "--set", "set.csv").stdout
    assert "Take strip 14" in text
    assert "20 yd tick stands at" in text


@pytest.mark.parametrize("name", ["{24}", "A{"])
def test_a_strip_may_have_any_name(run, bench, marks, name):
    ready_set(bench, marks)
    named = (bench / "set.csv").read_text(encoding="utf-8").replace("14,", f"{name},")
    (bench / "set.csv").write_text(named, encoding="utf-8")
    text = run("strips", "rig.toml", "shots.csv", "--set", "set.csv").stdout
    assert f"Take strip {name}" in text
    assert f"strip {name}" in text.partition("Impact that the best leave")[2].splitlines()[1]


def test_a_set_measured_the_other_way_round(run, bench, marks):
    ready_set(bench, marks, way=-1)
    text = run("strips", "rig.toml", "shots.csv", "--set", "set.csv").stdout
    assert "run against your scale" in text


def test_two_zeroed_marks_are_enough(run, bench, marks):
    ready_set(bench, marks)
    two = f"{HEAD}\na,20,{marks[20]:.2f},,\nb,60,{marks[60]:.2f},,\n"
    (bench / "two.csv").write_text(two, encoding="utf-8")
    found = strips(run, "two.csv", "--set", "set.csv", "--to", "70 yd")["set"]
    assert found["ranked"][0]["strip"] in ("13", "14", "15")
    assert found["ranked"][0]["errors"][-1]["distance_yd"] == 70
    assert "Strip" in run("strips", "rig.toml", "two.csv", "--set", "set.csv").stdout


def test_before_the_first_arrow_a_strip_is_stuck_on_once_zeroed(run, bench, marks):
    ready_set(bench, marks)
    assert "Zero the bow at 20 yd" in run("strips", "rig.toml", "--set", "set.csv").stdout


def test_a_set_in_which_none_fits_is_said_to_be_so(run, bench):
    text = "strip,distance_yd,position_mm\nlong,20,0\nlong,50,60\nlong,80,160\n"
    (bench / "set.csv").write_text(text, encoding="utf-8")
    done = run("strips", "rig.toml", "shots.csv", "--set", "set.csv")
    assert "no strip of this set will do" in done.stdout
    assert not strips(run, "shots.csv", "--set", "set.csv")["set"]["good_enough"]


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (("--step", "0 mm"), "tells no strips apart"),
        (("--step", "x"), "--step"),
        (("--between", "20"), "not two distances"),
        (("--between", "60,20"), "--between"),
        (("--set", "none.csv"), "no such file"),
        (("--set", "shots.csv"), "no use in a file of strips"),
        (("--set", "set.csv", "--to", "20 yd"), "fewer than two ticks"),
        (("--set", "set.csv", "--to", "20,40 yd"), "not one distance"),
        (("--distances", "x"), "--distances"),
    ],
)
def test_wrong_options_are_refused_in_a_paragraph(run, bench, marks, typed, told):
    ready_set(bench, marks)
    assert told in refused(run("strips", "rig.toml", "shots.csv", *typed))
