from tapewright.reading.rig_sheet import load_rig_sheet
from tapewright.reading.shots_reader import load_shots


def test_the_demo_does_the_main_job(run, bench):
    done = run("demo")
    assert done.exit_code == 0, done.output
    folder = bench / "tapewright-demo"
    assert {path.name for path in folder.iterdir()} == {
        "heron.toml", "heron-shots.csv", "heron-tape.pdf", "heron-tape.svg",
        "heron-tape.tape.json",
    }  # fmt: skip
    assert (folder / "heron-tape.pdf").read_bytes().startswith(b"%PDF")
    for words in ("$ tapewright fit", "$ tapewright tape", "Trusted to", "Marks", "Open the PDF"):
        assert words in done.stdout


def test_the_demo_goes_where_it_is_told_twice_over(run, bench):
    first, second = run("demo", "here"), run("demo", "here")
    assert first.exit_code == second.exit_code == 0
    assert first.stdout == second.stdout
    assert (bench / "here" / "heron.toml").exists()


def test_the_sample_is_sound(run, bench):
    run("demo", "here")
    rig, notes = load_rig_sheet(bench / "here" / "heron.toml")
    shots, more = load_shots(bench / "here" / "heron-shots.csv", rig)
    assert notes + more == ()
    assert len(shots) >= 5
    assert "odd" not in run("demo", "here").stdout
