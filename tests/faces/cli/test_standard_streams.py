"""Streams: whole, or not at all; "-" for a file; nothing overwritten that nobody wished away."""

import pytest
from click.testing import CliRunner

from tapewright.faces.cli import standard_streams
from tapewright.faces.cli.commands import main


@pytest.mark.parametrize("ended", [KeyboardInterrupt(), OSError(28, "No space left on device")])
def test_what_was_interrupted_leaves_no_draft(tmp_path, ended):
    def prepare(draft):
        draft.write_bytes(b"half")
        raise ended

    with pytest.raises(type(ended)):
        standard_streams.write_whole(tmp_path / "all.json", b"whole", prepare)
    assert list(tmp_path.iterdir()) == []


def type_in(text, *words):
    return CliRunner().invoke(main, words, input=text)


def test_a_sheet_or_shots_may_come_from_standard_input(run, bench):
    sheet, shots = ((bench / one).read_bytes() for one in ("rig.toml", "shots.csv"))
    plain = run("fit", "rig.toml", "shots.csv").stdout
    assert type_in(sheet, "fit", "-", "shots.csv").stdout == plain.rpartition("Next:")[0]
    assert type_in(shots, "fit", "rig.toml", "-").stdout == plain.rpartition("Next:")[0]
    assert type_in(shots, "gauge", "-").exit_code == 2
    assert "-, line 1" in type_in("moon\n", "fit", "rig.toml", "-").stderr
    twice = type_in(sheet, "fit", "-", "-")
    assert twice.exit_code == 2
    assert "two files are to come from standard input" in twice.stderr
    assert type_in(sheet, "tape", "-", "shots.csv").exit_code == 0
    assert (bench / "rig-tape.pdf").exists()  # where somebody stands


def test_one_file_may_go_to_standard_output(run, bench):
    before = set(bench.iterdir())
    done = run("tape", "rig.toml", "shots.csv", "--out", "-", "--format", "svg")
    assert done.stdout.startswith("<?xml") or done.stdout.startswith("<svg")
    assert "Trusted to 91 yd" in done.stderr
    assert run("card", "rig.toml", "--csv", "-").stdout.startswith("distance_yd,")
    assert run("new", "-", "--name", "Wren").stdout.count('name = "Wren"') == 1
    for words, why in (
        (("tape", "rig.toml", "--out", "-"), "2 files cannot share"),
        (("gauge", "--out", "-", "--format", "svg", "--json"), "the answer as JSON"),
        (("backup", "-"), "no stream"),
    ):
        refused = run(*words)
        assert refused.exit_code == 2, words
        assert why in refused.stderr or "No such option" in refused.stderr
    assert set(bench.iterdir()) == before


def test_an_archive_goes_through_a_pipe(run, bench):
    at = ("--notebook", str(bench / "one.db"))
    assert run("import", "rig.toml", "shots.csv", *at).exit_code == 0
    archive = run("export", "--out", "-", *at).stdout
    done = type_in(archive, "import", "-", "--notebook", str(bench / "two.db"))
    assert done.stdout.startswith("Taken in: ")
    sheet = (bench / "rig.toml").read_bytes()
    assert type_in(sheet, "import", "-", *at).stdout.startswith("Kept Heron")


@pytest.mark.parametrize(
    ("words", "file"),
    [
        (("new", "rig.toml"), "rig.toml"),
        (("gauge", "rig.toml"), "rig-gauge.svg"),
        (("tape", "rig.toml", "shots.csv"), "rig-tape.tape.json"),
        (("card", "rig.toml", "--csv", "card.csv"), "card.csv"),
        (("pocket", "rig.toml"), "rig-pocket.html"),
        (("stuck", "rig.toml", "--ticks", "20=15, 60=46", "--out", "x"), "x.tape.json"),
        (("export", "--out", "all.json"), "all.json"),
        (("batch", ".", "--workers", "1", "--no-tapes", "--out", "."), "summary.csv"),
    ],
)
def test_nothing_is_overwritten_unless_that_is_wished(run, bench, monkeypatch, words, file):
    monkeypatch.setenv("TAPEWRIGHT_NOTEBOOK", str(bench / "notes.db"))
    (bench / file).write_text("mine", encoding="utf-8")
    before = {one: one.read_bytes() for one in bench.iterdir() if one.suffix != ".db"}
    refused = run(*words)
    assert refused.exit_code == 2, refused.output
    assert "is there already" in refused.stderr
    assert "--force" in refused.stderr
    assert {one: one.read_bytes() for one in before} == before
    assert not [one for one in bench.glob("rig-*") if one.name != file]  # none of several
    assert run(*words, "--force").exit_code in (0, 1)
    assert (bench / file).read_bytes() != b"mine"
    if words[0] != "batch":
        assert run(*words, "--force").exit_code == 0


def test_the_same_once_more_is_no_overwriting(run):
    for words in (("tape", "rig.toml", "shots.csv"), ("gauge",), ("new", "fresh.toml")):
        assert [run(*words).exit_code for _ in range(2)] == [0, 0], words
    changed = run("tape", "rig.toml", "shots.csv", "--number-every", "10")
    assert "rig-tape.pdf is there already" in changed.stderr
