"""Who may come in from the local network."""

import json
import random
import stat

import pytest

from tapewright.faces.web.server.passcode import (
    Passcode,
    is_commonest,
    new_passcode,
    passcode_of,
    save_passcode,
    weakness,
)
from tapewright.ground.errors import BadInput


def test_only_the_passcode_itself_is_right():
    passcode = new_passcode("quiet heron")
    assert passcode.is_right("quiet heron")
    assert not passcode.is_right("quiet Heron")
    assert not passcode.is_right("quiet heron" * 1000)


def test_the_file_holds_no_passcode_and_is_its_owners_alone(tmp_path):
    path = tmp_path / "new" / "passcode.json"
    kept = new_passcode("quiet heron")
    save_passcode(kept, path)
    assert passcode_of(path) == kept
    assert "heron" not in path.read_text()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert passcode_of(tmp_path / "none.json") is None


@pytest.mark.parametrize("text", ["", "{}", "[1]", json.dumps({"salt": "zz"})])
def test_a_file_that_holds_something_else_is_told_of(tmp_path, text):
    path = tmp_path / "passcode.json"
    path.write_text(text)
    with pytest.raises(BadInput, match="no passcode of this program"):
        passcode_of(path)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "too short"), ("123456", "too short"), ("q7#Lm2x", "too short"),
        ("x" * 201, "too long"),
        ("aaaaaaaa", "different letters"), ("abababab", "different letters"),
        ("12345678", "in a row"), ("87654321", "in a row"), ("abcdefgh", "in a row"),
        ("qwertyuiop", "in a row"), ("Qwertz123", "in a row"), ("1q2w3e4r5t", "in a row"),
        ("123456abc", "in a row"), ("password", "commonest"), ("Passw0rd123", "commonest"),
        ("p@ssw0rd!", "commonest"), ("sunshine2026", "commonest"), ("Bullseye1!", "commonest"),
        ("archeryarchery", "commonest"), ("1234archery", "commonest"),
    ],
)  # fmt: skip
def test_a_passcode_that_is_tried_first_is_refused(text, why):
    assert why in weakness(text)
    with pytest.raises(BadInput, match="three words that do not belong together"):
        new_passcode(text)


@pytest.mark.parametrize(
    "text", ["open the barn", "quiet heron", "Ulmenweg 14b", "9407182635", "rain-on-tin"]
)
def test_a_passcode_that_nobody_tries_first_is_taken(text):
    assert weakness(text) == ""


def test_passcodes_that_the_program_makes_are_strong():
    chance = random.Random(4)
    for _ in range(2000):
        made = "".join(chance.choice("abcdefghjkmnpqrstuvwxyz23456789") for _ in range(10))
        assert weakness(made) == "", made


def test_the_file_of_an_older_passcode_says_that_nobody_looked_at_its_strength(tmp_path):
    path = tmp_path / "passcode.json"
    kept = new_passcode("quiet heron")
    written = {one: getattr(kept, one).hex() for one in ("salt", "digest", "key")}
    path.write_text(json.dumps(written))  # as 0.1 wrote it
    old = passcode_of(path)
    assert not old.is_looked_at
    assert old.is_right("quiet heron")
    save_passcode(kept, path)
    assert passcode_of(path).is_looked_at


def test_the_commonest_are_found_behind_their_hash(monkeypatch):
    monkeypatch.setattr(Passcode, "is_right", lambda _, typed: typed == "123456")
    assert is_commonest(new_passcode("quiet heron"))
    monkeypatch.setattr(Passcode, "is_right", lambda _, typed: typed == "quiet heron")
    assert not is_commonest(new_passcode("quiet heron"))


def test_a_cookie_is_signed_and_grows_old():
    passcode, other = new_passcode("quiet heron"), new_passcode("quiet heron")
    cookie = passcode.cookie(1000)
    assert passcode.is_valid_cookie(cookie, now_s=999.0)
    assert not passcode.is_valid_cookie(cookie, now_s=1000.0)
    assert not passcode.is_valid_cookie(cookie)
    assert not other.is_valid_cookie(cookie, now_s=999.0)
    for forged in ("", "1000", "9999.é", f"2000{cookie[4:]}", cookie[:-1], "9" * 99 + ".a", "².a"):
        assert not passcode.is_valid_cookie(forged, now_s=0.0)
