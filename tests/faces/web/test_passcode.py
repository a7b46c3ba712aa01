"""Who may come in from the local network."""

import json
import stat

import pytest

from tapewright.faces.web.passcode import Guesses, load_passcode, new_passcode, save_passcode
from tapewright.ground.errors import BadInput

GUESSES = 5  # of one address in a minute
GUESSES_OF_ALL = 30  # of all addresses in a minute
WINDOW_S = 60.0


def test_only_the_passcode_itself_is_right():
    passcode = new_passcode("quiet heron")
    assert passcode.is_right("quiet heron")
    assert not passcode.is_right("quiet Heron")
    assert not passcode.is_right("quiet heron" * 1000)


def test_the_file_holds_no_passcode_and_is_its_owners_alone(tmp_path):
    path = tmp_path / "new" / "passcode.json"
    kept = new_passcode("quiet heron")
    save_passcode(kept, path)
    assert load_passcode(path) == kept
    assert "heron" not in path.read_text()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert load_passcode(tmp_path / "none.json") is None


@pytest.mark.parametrize("text", ["", "{}", "[1]", json.dumps({"salt": "zz"})])
def test_a_file_that_holds_something_else_is_told_of(tmp_path, text):
    path = tmp_path / "passcode.json"
    path.write_text(text)
    with pytest.raises(BadInput, match="no passcode of this program"):
        load_passcode(path)


@pytest.mark.parametrize("text", ["", "12345", "x" * 201])
def test_a_passcode_too_short_to_keep_anybody_out_is_refused(text):
    with pytest.raises(BadInput, match="too short or too long"):
        new_passcode(text)


def test_a_cookie_is_signed_and_grows_old():
    passcode, other = new_passcode("quiet heron"), new_passcode("quiet heron")
    cookie = passcode.cookie(1000)
    assert passcode.is_valid_cookie(cookie, now_s=999.0)
    assert not passcode.is_valid_cookie(cookie, now_s=1000.0)
    assert not passcode.is_valid_cookie(cookie)
    assert not other.is_valid_cookie(cookie, now_s=999.0)
    for forged in ("", "1000", "9999.é", f"2000{cookie[4:]}", cookie[:-1], "9" * 99 + ".a", "².a"):
        assert not passcode.is_valid_cookie(forged, now_s=0.0)


def test_one_address_must_wait_and_all_together_too():
    guesses = Guesses()
    for _ in range(GUESSES):
        assert guesses.wait_s("a", 0.0) == 0.0
        guesses.note_wrong("a", 0.0)
    assert guesses.wait_s("a", 10.0) == WINDOW_S - 10.0
    assert guesses.wait_s("b", 10.0) == 0.0
    assert guesses.wait_s("a", WINDOW_S) == 0.0
    for number in range(GUESSES_OF_ALL):
        guesses.note_wrong(f"c{number}", 100.0)
    assert guesses.wait_s("b", 100.0) == WINDOW_S
