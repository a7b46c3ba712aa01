import json
import os
import subprocess
import sys

import pytest

from tapewright.faces.cli.console_encoding import stand_in

ODD = 'name = "Łuk ø σ 弓"'
LONGEST_S = 120  # for one command; two seconds where nothing else runs


@pytest.mark.parametrize(
    ("sign", "plain"),
    [
        ("\u2212", "-"), ("±", "+-"), ("°", "deg"), ("→", "->"), ("½", "1/2"), ("²", "2"),
        ("é", "e"), ("Ł", "L"), ("ø", "o"), ("σ", "sigma"), ("Σ", "Sigma"), ("─", "-"), ("│", "|"),
        ("┼", "+"), ("…", "..."), ("弓", "?"), ("\udcff", "?"), ("\u0301", ""), ("“", '"'),
    ],
)  # fmt: skip
def test_a_sign_that_is_missing_is_spelt(sign, plain):
    assert stand_in(sign) == plain
    assert plain.isascii()


def test_behind_a_figure_a_fraction_stays_a_fraction():
    told = "1¾ in, 10², m², ½".encode("ascii", "tapewright-plain")
    assert told == b"1 3/4 in, 10^2, m2, 1/2"


def typed(bench, encoding, *words, sent=b""):
    env = os.environ | {"PYTHONIOENCODING": encoding, "PYTHONPATH": ":".join(sys.path)}
    return subprocess.run(
        [sys.executable, "-m", "tapewright", *words], cwd=bench, env=env, input=sent,
        capture_output=True, timeout=LONGEST_S, check=False,
    )  # fmt: skip


@pytest.fixture
def odd(bench):
    text = (bench / "rig.toml").read_text(encoding="utf-8").replace('name = "Heron"', ODD)
    (bench / "rig.toml").write_text(text, encoding="utf-8")
    return bench


def test_a_console_of_ascii_shows_the_whole_answer(odd):
    done = typed(odd, "ascii", "fit", "rig.toml")
    assert (done.returncode, done.stderr) == (0, b"")
    said = done.stdout.decode("ascii")
    assert said.startswith("Luk o sigma ?: ")
    assert " -0." in said or " -1." in said  # the lower end of an impact's band


def test_json_is_whole_whatever_the_console_lacks(odd):
    done = typed(odd, "cp1252", "target", "rig.toml", "--format", "svg", "--json", "--out", "Łuk")
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"\\u0141uk.svg" in done.stdout
    assert "Łuk.svg" in json.dumps(json.loads(done.stdout.decode("ascii")), ensure_ascii=False)


def test_a_refusal_is_readable_too_and_so_is_a_file_s_odd_name(bench):
    done = typed(bench, "ascii", "fit", "Łuk\udcff.toml")
    assert done.returncode == 2
    assert b"Traceback" not in done.stderr
    assert b"Luk" in done.stderr
    assert done.stderr.isascii()


def test_typed_letters_of_another_encoding_end_in_no_fault(bench):
    sent = "20 yd\n31 – wów\n".encode("cp1250")
    done = typed(bench, "utf-8", "add", "rig.toml", "more.csv", sent=sent)
    assert done.returncode == 2
    assert b"Traceback" not in done.stderr
    assert b"31" in done.stderr
