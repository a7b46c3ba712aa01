"""The commands on the notebook, and the one that serves it."""

import contextlib
import hashlib
import json
import re
import shutil
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from tapewright.faces.cli import serve
from tapewright.faces.cli.commands import main
from tapewright.faces.web import serving
from tapewright.ground.errors import BadInput
from tapewright.services.keep import KeptRig, open_notebook

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


@pytest.fixture
def kept(bench, monkeypatch):
    """A place for the notebook, in the folder one works in."""
    monkeypatch.setenv("TAPEWRIGHT_NOTEBOOK", str(bench / "kept" / "notebook.db"))
    return bench / "kept" / "notebook.db"


@pytest.fixture(scope="module")
def imported(sample, tmp_path_factory):
    """A notebook with one rig, made as a person makes it, once."""
    file = tmp_path_factory.mktemp("imported") / "kept" / "notebook.db"
    words = [sample / "heron.toml", sample / "heron-shots.csv", "--notebook", file]
    told = CliRunner().invoke(main, ["import", *map(str, words)])
    assert told.exit_code == 0, told.output
    assert "Kept Heron with 8 groups, 40 arrows." in told.stdout
    return file


@pytest.fixture
def full(kept, imported):
    """A copy of it, rights and all."""
    kept.parent.mkdir()
    shutil.copy(imported, kept)
    return kept


def test_an_empty_notebook_says_what_to_do(run, kept):
    told = run("rigs")
    assert told.exit_code == 0
    assert "tapewright import RIG.toml" in told.stdout
    assert kept.exists()


def test_rigs_are_listed_with_how_far_they_are_trusted(run, full):
    assert full.exists()
    told = run("rigs").stdout
    assert re.search(r"Heron +9\d +\d{4}-\d\d-\d\d +40", told)
    rows = json.loads(run("rigs", "--metric", "--json").stdout)["rigs"]
    assert [row["name"] for row in rows] == ["Heron"]
    assert 80.0 < rows[0]["trusted_distance_m"] < 90.0  # as in yards


def test_the_sheet_is_kept_to_the_letter(run, full, bench):
    run("export", "--out", "all.json")
    entries = json.loads((bench / "all.json").read_text(encoding="utf-8"))["entries"]
    sheets = [one["versions"][0]["body"]["sheet"] for one in entries if one["kind"] == "rig"]
    assert sheets == [(bench / "rig.toml").read_text(encoding="utf-8")]
    assert full.exists()


def test_an_archive_goes_to_another_notebook_once(run, full, bench):
    assert full.exists()
    assert run("export", "--rig", "Heron", "--out", "one.json").exit_code == 0
    first = run("import", "one.json", "--notebook", bench / "other.db")
    assert "11 new entries" in first.stdout
    assert "Nothing new" in run("import", "one.json", "--notebook", bench / "other.db").stdout
    assert "Heron" in run("rigs", "--notebook", bench / "other.db").stdout


def test_tapes_come_in_with_the_groups_that_dialled_them(run, kept, bench):
    assert run("tape", "rig.toml", "shots.csv", "--out", "first").exit_code == 0
    rows = ["group,distance_yd,reading_mm,dialled_yd,tape,up_in,right_in"]
    rows += [f"near,20,16.1,,,{up},0.1" for up in (0.2, 0.5, -0.2)]
    rows += [f"far,40,,40,first,{up},0.1" for up in (0.9, 0.2, -0.3)]
    (bench / "dialled.csv").write_text("\n".join(rows), encoding="utf-8")
    told = run("fit", "rig.toml", "dialled.csv").stdout
    assert re.search(r"distance yd +dial yd", told)  # it is still on
    told = run("import", "rig.toml", "dialled.csv").stdout
    assert re.search(r"Kept Heron with 2 groups, 6 arrows. On the sight: tape \S+ strip 2\.", told)
    assert re.search(r"\d+ yd: dial \d+", run("rigs").stdout)
    rows.append("again,20,16.1,,,0.2,0.1")  # on the gauge
    (bench / "off.csv").write_text("\n".join(rows), encoding="utf-8")
    told = run("import", "rig.toml", "off.csv", "--notebook", bench / "off.db").stdout
    assert "On the sight: no tape any more." in told
    assert re.search(r"yd: dial \d+\.\d mm", run("rigs", "--notebook", bench / "off.db").stdout)
    typed = ("rig.toml", "shots.csv", "--tape", "first.tape.json", "--notebook", bench / "on.db")
    assert "8 groups, 40 arrows. On the sight: tape " in run("import", *typed).stdout
    assert run("check", "--notebook", bench / "on.db").exit_code == 0
    assert kept.exists()


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (("export", "--rig", "Nobody"), "Choose from: Heron"),
        (("export", "--out", "rig.toml"), "is there already"),
        (("import", "shots.csv"), "no archive of Tapewright"),
        (("import", "one.json"), "one.json"),
        (("import", "shots.csv", "rig.toml"), "rig sheet first"),
        (("import", "shots.csv", "--tape", "rig.toml"), "rig sheet first"),
        (("backup", "rig.toml"), "already"),
        (("restore", "rig.toml"), "no archive of Tapewright"),
        (("rigs", "--notebook", "rig.toml"), "rig.toml"),
        (("rigs", "--notebook", "mysql://x/y"), "mysql"),
        (("serve", "--name", "http://x/"), "bare name"),
    ],
)
def test_refusals_are_one_paragraph(run, full, typed, words):
    before = full.read_bytes()
    told = run(*typed)
    assert told.exit_code == 2
    assert words in told.stderr
    assert "Traceback" not in told.stderr
    assert full.read_bytes() == before


def test_a_truncated_archive_changes_nothing(run, full, bench):
    run("export", "--out", "all.json")
    text = (bench / "all.json").read_text(encoding="utf-8")
    (bench / "cut.json").write_text(text[: len(text) // 2], encoding="utf-8")
    before = full.read_bytes()
    told = run("import", "cut.json")
    assert told.exit_code == 2
    assert "ends too early" in told.stderr
    assert full.read_bytes() == before


def test_a_backup_is_restored_into_an_empty_notebook_only(run, full, bench):
    assert full.exists()
    assert run("backup", "copy.db").exit_code == 0
    refused = run("restore", "copy.db")
    assert refused.exit_code == 2
    assert "not empty" in refused.stderr
    assert run("restore", "copy.db", "--notebook", bench / "new.db").exit_code == 0
    first, second = (run("export", "--out", f"{one}.json", "--notebook", place)
                     for one, place in (("a", full), ("b", bench / "new.db")))  # fmt: skip
    assert first.exit_code == second.exit_code == 0
    assert (bench / "a.json").read_text() == (bench / "b.json").read_text()


def test_a_rig_that_cannot_be_calibrated_is_kept_all_the_same(run, kept, bench):
    (bench / "bare.toml").write_text(
        "schema = 1\nname = 'Bare'\n[bow]\nlaunch_speed = '30 m/s'\n"
        "[arrow]\nmass = '420 gr'\nshaft_diameter = '6 mm'\n", encoding="utf-8",
    )  # fmt: skip
    told = run("import", "bare.toml")
    assert told.exit_code == 0, told.stderr
    assert "Kept Bare" in told.stdout
    assert "Bare" in run("rigs").stdout
    assert kept.exists()


def test_a_notebook_of_names_tells_which_rigs_share_one(run, full):
    run("import", "rig.toml")
    told = run("export", "--rig", "Heron")
    assert told.exit_code == 2
    assert "2 rigs are called 'Heron'" in told.stderr
    assert full.exists()


def free_port():
    with socket.socket() as tried:
        tried.bind(("127.0.0.1", 0))
        return tried.getsockname()[1]


def plan(port=8640, **more):
    usual = {"lan": False, "names": (), "passcode_file": None, "workers": 1}
    return serving.Plan("sqlite:///x", port, **(usual | more))


def test_only_this_machine_is_served_unless_asked():
    assert plan().bind == "127.0.0.1"
    assert set(plan().hosts) == {"127.0.0.1", "localhost"}
    wide = plan(lan=True, names=("Bows.Local",))
    assert wide.bind == "0.0.0.0"  # noqa: S104 — asked for
    assert {"127.0.0.1", "localhost", "bows.local"} <= set(wide.hosts)
    assert set(serving.lan_names()) <= set(wide.hosts)
    assert wide.lan_address == f"http://{serving.lan_names()[0]}:8640/"  # that name leads nowhere


def test_more_wait_at_a_port_than_one_queue_of_the_system_holds():
    port = free_port()
    sockets = serving.listening_sockets(plan(port=port))
    assert [one.getsockname() for one in sockets] == [("127.0.0.1", port)] * 4
    with pytest.raises(BadInput, match=f"somebody listens on port {port} already"):
        serving.refuse_taken(plan(port=port))
    for each in sockets:
        each.close()


def test_a_taken_port_is_refused_politely(run, kept):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        told = run("serve", "--port", port, "--no-browser")
    assert told.exit_code == 2
    assert f"port {port} already" in told.stderr
    assert "--port" in told.stderr
    assert kept.exists()


def test_a_worker_finds_everything_in_its_environment(full, bench):
    file = bench / "kept" / "notebook.passcode"
    told = serving.surroundings(plan(passcode_file=file), Path("g.db"))
    told["TAPEWRIGHT_NOTEBOOK"] = f"sqlite:///{full}"
    with pytest.raises(BadInput, match="passcode is gone"):
        serving.app_from_environment(told)
    serving.choose_passcode(file, "open the barn")
    assert oct(file.stat().st_mode)[-3:] == "600"
    assert "open the barn" not in file.read_text()
    surroundings = serving.surroundings(
        plan(passcode_file=file, names=("bows.local",), workers=2, proxies=("127.0.0.1",)),
        Path("g.db"),
    )
    assert surroundings["TAPEWRIGHT_HOSTS"] == "127.0.0.1,localhost,bows.local"
    assert surroundings["TAPEWRIGHT_TRUSTED_PROXIES"] == "127.0.0.1"
    assert surroundings["TAPEWRIGHT_GUESSES_FILE"] == "g.db"
    assert told["TAPEWRIGHT_HTTPS_FOLDER"] == ""
    secret = serving.surroundings(plan(https=Path("n.https")), Path("g.db"))
    assert secret["TAPEWRIGHT_HTTPS_FOLDER"] == "n.https"
    assert secret["TAPEWRIGHT_HTTPS_PORT"] == "8641"
    assert told["TAPEWRIGHT_GUESSES_FILE"] == ""  # one worker counts by itself


def test_serving_the_lan_makes_a_passcode_and_shows_the_way_in(run, kept, monkeypatch):
    served = []
    monkeypatch.setattr(serving, "serve", lambda plan, *, browser: served.append((plan, browser)))
    told = run("serve", "--lan", "--port", free_port(), "--workers", "3", "--name", "bows.local")
    assert told.exit_code == 0, told.output
    made = re.search(r"Passcode: (\w+)", told.stdout)[1]
    file = kept.with_name("notebook.passcode")
    assert serving.passcode_of(file).is_right(made)
    assert made not in file.read_text()
    assert "The name bows.local leads nowhere" in told.stdout
    assert f"http://{serving.lan_names()[0]}:" in told.stdout
    assert "not encrypted" in told.stdout
    assert "█" in told.stdout or "▀" in told.stdout  # the code to scan
    asked, browser = served[0]
    assert (asked.workers, asked.passcode_file, browser) == (3, file, True)
    again = run("serve", "--lan", "--port", free_port(), "--no-browser")
    assert "chosen before" in again.stdout
    assert serving.passcode_of(file).is_right(made)
    anew = run("serve", "--lan", "--new-passcode", "--port", free_port())
    assert "Passcode:" in anew.stdout
    assert not serving.passcode_of(file).is_right(made)


@pytest.mark.parametrize(
    ("called", "names"),
    [
        ("Büro-PC", ["xn--bro-pc-3ya", "xn--bro-pc-3ya.local"]),  # Python's own codec, RFC 3490
        ("Range.home", ["range.home", "range", "range.local"]),
        ("", []),
        ("ü" * 64, []),
    ],
)
def test_a_machine_is_asked_for_as_browsers_write_its_name(called, names, monkeypatch):
    monkeypatch.setattr(serving.socket, "gethostname", lambda: called)
    monkeypatch.setattr(serving.socket, "gethostbyname_ex", lambda _: (_, [], ["127.0.1.1"]))
    found = serving.lan_names()
    assert [one for one in found if not one[0].isdigit()] == names


@pytest.mark.usefixtures("kept")
def test_https_without_lan_sends_no_phone_to_where_it_cannot_come(run, monkeypatch):
    monkeypatch.setattr(serving, "serve", lambda *_, **__: None)
    told = run("serve", "--https", "--port", free_port(), "--no-browser")
    assert told.exit_code == 0, told.output
    assert "https://127.0.0.1:" in told.stdout
    assert "Only this machine is served" in told.stdout
    assert "--lan" in told.stdout
    assert "passcode" not in told.stdout
    assert "A phone takes" not in told.stdout
    words = ("--https", "--port", free_port(), "--no-browser", "--log", "json")
    lines = run("serve", *words).stdout.splitlines()
    assert any("https://127.0.0.1:" in json.loads(line)["message"] for line in lines)


def test_https_says_its_address_and_the_fingerprint_to_compare(run, kept, monkeypatch):
    served = []
    monkeypatch.setattr(serving, "serve", lambda plan, **_: served.append(plan))
    port = free_port()
    words = ("serve", "--lan", "--https", "--name", "bows.local", "--port", port, "--no-browser")
    told = run(*words)
    assert told.exit_code == 0, told.output
    here = serving.lan_names()[0]
    assert f"https://{here}:{port + 1}/" in told.stdout
    assert f"http://{here}:{port}/phone" in told.stdout
    pairs = re.findall(r"(?<= )[0-9A-F]{2}(?=[ \n])", told.stdout)
    assert len(pairs) == 32
    assert served[0].https == kept.with_name("notebook.https")
    assert served[0].ports == (port, port + 1)
    again = run(*words, "--name", "barn.example")
    assert "Not at barn.example" in again.stdout
    assert " ".join(pairs[:16]) in again.stdout
    anew = run(*words, "--name", "barn.example", "--new-authority")
    assert "Not at" not in anew.stdout
    assert " ".join(pairs[:16]) not in anew.stdout


def test_an_older_passcode_is_told_of_and_one_of_the_commonest_is_refused(run, kept, monkeypatch):
    monkeypatch.setattr(serving, "serve", lambda *_, **__: None)
    kept.parent.mkdir()
    file = kept.with_name("notebook.passcode")
    for typed, told in (("123456", None), ("heronq", "before its strength was looked at")):
        salt = b"0123456789abcdef"
        digest = hashlib.scrypt(typed.encode(), salt=salt, n=2**14, r=8, p=1)
        written = {"salt": salt.hex(), "digest": digest.hex(), "key": "00" * 32}
        file.write_text(json.dumps(written))  # as 0.1 wrote it
        answer = run("serve", "--lan", "--port", free_port(), "--no-browser")
        if told is None:
            assert answer.exit_code == 2
            assert "one of the commonest" in answer.stderr
            assert "--new-passcode" in answer.stderr
        else:
            assert answer.exit_code == 0, answer.output
            assert told in answer.stdout
            assert "--new-passcode" in answer.stdout


def test_a_proxy_is_named_by_its_address(run, kept, monkeypatch):
    served = []
    monkeypatch.setattr(serving, "serve", lambda plan, **_: served.append(plan))
    words = ("serve", "--port", free_port(), "--no-browser", "--trusted-proxy")
    assert run(*words, "192.0.2.1, ::1").exit_code == 0
    assert served[0].proxies == ("192.0.2.1", "::1")
    told = run(*words, "everybody")
    assert told.exit_code == 2
    assert "'everybody' is not the address" in told.stderr
    assert kept.exists()


def test_a_service_has_its_passcode_before_it_starts_and_tells_none_to_its_log(
    run, kept, monkeypatch
):
    served = []
    monkeypatch.setattr(serving, "serve", lambda plan, **_: served.append(plan))
    words = ("serve", "--name", "shop.example", "--trusted-proxy", "127.0.0.1", "--log", "json",
             "--port", free_port(), "--metrics", "[::1]:9465")  # fmt: skip
    told = run(*words)
    assert told.exit_code == 2
    assert "--only-passcode" in told.stderr
    kept.parent.mkdir(exist_ok=True)
    chosen = run("serve", "--only-passcode").stdout
    assert "notebook.passcode, the hash alone" in chosen
    made = re.search(r"Passcode: (\w+)", chosen)[1]
    assert serving.passcode_of(kept.with_name("notebook.passcode")).is_right(made)
    told = run(*words)
    assert told.exit_code == 0, told.output
    lines = [json.loads(one)["message"] for one in told.stdout.splitlines()]
    assert "It answers to shop.example, asked for by 127.0.0.1, which passes requests on." in lines
    assert "Counts are told at http://[::1]:9465/metrics" in lines
    assert (served[0].metrics, served[0].log, served[0].bind) == (
        ("::1", 9465),
        "json",
        "127.0.0.1",
    )
    told = run("serve", "--metrics", "70000")
    assert "'70000' is no port" in told.stderr


def test_without_the_lan_nobody_is_asked(run, kept, monkeypatch):
    served = []
    monkeypatch.setattr(serving, "serve", lambda plan, *, browser: served.append((plan, browser)))
    told = run("serve", "--no-browser", "--port", free_port())
    assert "Passcode" not in told.stdout
    assert served[0][0].passcode_file is None
    assert not served[0][1]
    assert not kept.with_name("notebook.passcode").exists()


def test_a_notebook_on_a_server_has_its_passcode_in_ones_own_folder(tmp_path, monkeypatch):
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("TAPEWRIGHT_NOTEBOOK", "postgresql://bows@shop/notebook")

    def file():
        return serve._passcode_file("postgresql://bows@shop/notebook")  # noqa: SLF001

    assert file() == tmp_path / "data" / "tapewright" / "notebook.passcode"
    old = tmp_path / ".local" / "share" / "tapewright" / "notebook.passcode"
    old.parent.mkdir(parents=True)
    old.write_text("{}")  # where 0.1 kept it
    assert file() == old


@pytest.mark.parametrize("workers", [1, 2])
def test_it_really_serves(full, workers):
    port = free_port()
    serving_it = subprocess.Popen(
        [sys.executable, "-m", "tapewright", "serve", "--port", str(port), "--no-browser",
         "--workers", str(workers), "--notebook", str(full)],
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
    )  # fmt: skip
    try:
        until = time.monotonic() + 90
        page = ""
        while not page and time.monotonic() < until:
            try:
                with urllib.request.urlopen(f"http://127.0.0.1:{port}/rigs", timeout=60) as told:
                    page = told.read().decode()
            except OSError:
                time.sleep(0.2)
        assert "Heron" in page
        address = f"http://127.0.0.1:{port}/rigs"
        asked = urllib.request.Request(address, headers={"Host": "evil.example"})
        with pytest.raises(urllib.error.HTTPError, match="421"):
            urllib.request.urlopen(asked, timeout=60)  # noqa: S310 — our own
    finally:
        serving_it.terminate()
        told = serving_it.communicate(timeout=120)[0].decode()
    assert f"is open at http://127.0.0.1:{port}/" in told
    assert "Traceback" not in told


def test_a_sound_notebook_is_said_to_be_one(run, full):
    assert full.exists()
    told = run("check")
    assert told.exit_code == 0
    assert "1 calibration, 8 groups, 1 rig, 1 session" in told.stdout
    assert "All of it is as it was written." in told.stdout
    found = json.loads(run("check", "--json").stdout)
    assert (found["schema"], found["is_sound"], found["faults"]) == ("tapewright.check/1", True, [])
    assert found["entries"] == {"calibration": 1, "group": 8, "rig": 1, "session": 1}


def test_a_notebook_with_a_changed_byte_is_not_sound_and_the_rest_is_saved(run, full, bench):
    with contextlib.closing(sqlite3.connect(full)) as file, file:
        file.execute(
            "UPDATE version SET body = replace(body, '\"distance_m\":1', '\"distance_m\":2') WHERE"
            " rowid = (SELECT min(rowid) FROM version WHERE body LIKE '%\"distance_m\":1%')"
        )
    told = run("check", "--save", "sound.json")
    assert told.exit_code == 2
    assert re.search(r"- group [0-9a-f]{20}, version 1: what is there is not what was", told.stdout)
    assert "tapewright check --save SOUND.json" in told.stdout
    assert oct((bench / "sound.json").stat().st_mode & 0o777) == "0o600"
    assert run("restore", "sound.json", "--notebook", "new.db").exit_code == 0
    again = json.loads(run("check", "--json", "--notebook", "new.db").stdout)
    assert (again["is_sound"], again["entries"]) == (True, {"group": 7, "rig": 1, "session": 1})
    refused = run("rigs", "--notebook", str(full))
    assert refused.exit_code in {0, 2}  # the list needs no group


def test_a_file_that_cannot_be_opened_is_not_sound(run, full):
    whole = full.read_bytes()
    full.write_bytes(whole[: len(whole) // 2])
    told = run("check")
    assert told.exit_code == 2
    assert "cut short" in told.stdout


def test_there_is_nothing_to_check_yet(run, kept):
    told = run("check")
    assert told.exit_code == 2
    assert "there is no notebook yet" in told.stderr
    assert not kept.exists()


def test_a_new_archive_and_notebook_are_the_owners_alone(run, full, bench):
    assert run("export", "--out", "all.json").exit_code == 0
    for path in (full, bench / "all.json"):
        assert oct(path.stat().st_mode & 0o777) == "0o600"


@pytest.fixture
def six(kept):
    """A notebook of six rigs, two of one name."""
    notebook = open_notebook(f"sqlite:///{kept}")
    for place, name in enumerate(("Wren", "Müller", "Heron 2", "Heron 10", "heron 2", "Anna")):
        notebook.add(KeptRig("", name), entry_id=f"{place + 1:06x}{0:014x}", now=NOW)
    notebook.close()
    return kept


def test_a_long_list_ends_with_how_to_go_on(run, six):
    assert six.exists()
    told = run("rigs", "--limit", "2").stdout
    assert [line.split("  ")[0] for line in told.splitlines() if "never" in line] == [
        "Anna", "Heron 10",
    ]  # fmt: skip
    assert f"6 rigs. More: --after 000004{0:014x}, or --find TEXT" in told
    told = run("rigs", "--limit", "3", "--after", f"000004{0:014x}").stdout
    assert "Heron 2 (sheet of 2026-11-25, id 000003)" in told
    assert "heron 2 (sheet of 2026-11-25, id 000005)" in told
    assert "Müller" in told
    assert "Anna" not in told
    told = run("rigs").stdout
    assert "Wren" in told
    assert "More:" not in told


def test_rigs_are_found_by_a_part_of_their_names(run, six):
    assert six.exists()
    written = json.loads(run("rigs", "--find", "HERON", "--limit", "2", "--json").stdout)
    assert written["schema"] == "tapewright.rigs/1"
    assert [row["name"] for row in written["rigs"]] == ["Heron 10", "Heron 2"]
    assert written["next_after"] == f"000003{0:014x}"
    last = json.loads(run("rigs", "--find", "muller", "--json").stdout)
    assert [row["id"] for row in last["rigs"]] == [f"000002{0:014x}"]
    assert last["next_after"] is None
    assert "No rig is found." in run("rigs", "--find", "nobody").stdout
    assert run("rigs", "--after", "nobody").exit_code == 2


def test_one_rig_of_a_name_is_chosen_by_its_id(run, six, bench):
    assert six.exists()
    told = run("export", "--rig", "Heron 2", "--out", "one.json")
    assert told.exit_code == 0, told.stderr  # "heron 2" is another name
    told = run("export", "--rig", f"000005{0:014x}", "--out", "two.json")
    assert told.exit_code == 0, told.stderr
    entries = json.loads((bench / "two.json").read_text(encoding="utf-8"))["entries"]
    assert [one["versions"][0]["body"]["name"] for one in entries] == ["heron 2"]


def test_erasing_is_told_before_it_is_done_and_leaves_no_byte(full, run):
    told = run("erase", "Heron").stdout
    for words in ("Would be erased", "with every version", "cannot reach", "--yes"):
        assert words in told, words
    found = json.loads(run("erase", "Heron", "--json").stdout)
    assert (found["names"], found["erased_entries"]) == (["Heron"], 0)
    assert b"Heron" in full.read_bytes()
    done = json.loads(run("erase", "Heron", "--yes", "--also", "Hedwig", "--json").stdout)
    assert (done["is_swept"], done["still_named"], done["erased_entries"]) == (True, [], 11)
    assert b"Heron" not in full.read_bytes()
    assert "All of it is as it was written" in run("check").stdout
    assert "No byte of them" in run("erase", "--sweep").stdout
    assert "No rig is kept" in run("rigs").stdout


def test_a_rig_put_aside_is_erased_by_its_name_and_one_in_the_list_first(full, run):
    archive = full.parent / "one.json"
    run("export", "--out", archive)
    with contextlib.closing(open_notebook(f"sqlite:///{full}")) as notebook:
        (rig,) = notebook.entries("rig")
        notebook.withdraw(rig.id, seen=rig.number, now=NOW)
    assert "Erased: 11 entries." in run("erase", "Heron", "--yes").stdout
    again = run("import", archive)
    assert "or were erased here (11) and stay out" in again.stdout


@pytest.mark.usefixtures("full")
@pytest.mark.parametrize("words", [(), ("Heron", "--sweep"), ("Egret", "--yes")])
def test_nothing_is_erased_by_a_slip(run, words):
    assert run("erase", *words).exit_code == 2
    assert "Heron" in run("rigs").stdout


def test_a_bow_is_given_without_its_person_and_begins_with_the_first_arrow(bench, run):
    told = run("give", "rig.toml", "bow.toml", "--name", "Pupil")
    assert "nothing is trusted" in told.stdout
    assert "With the giver it was: draw weight" in told.stdout
    sheet = (bench / "bow.toml").read_text(encoding="utf-8")
    assert "Heron" not in sheet
    asked = run("plan", "bow.toml")
    assert asked.exit_code == 2
    assert "draw_length" in asked.output
    bow = '[bow]\ndraw_weight = "41 lbf"\ndraw_length = "26 in"\nrest = "1.8 in"\n'
    sheet = sheet.replace("[bow]\n", bow).replace("[arrow]\n", '[arrow]\nlength = "27.5 in"\n')
    (bench / "bow.toml").write_text(sheet, encoding="utf-8")
    plan = json.loads(run("plan", "bow.toml", "--json").stdout)
    assert plan["plan"][0]["distance_yd"] <= 10
    assert plan["first_arrow"]
    assert plan["trusted_distance_yd"] is None
    given = json.loads(run("give", "rig.toml", "more.toml", "--json").stdout)
    assert given["sheet"] == (bench / "more.toml").read_text(encoding="utf-8")
    assert run("give", "rig.toml", "bow.toml").exit_code == 2  # never over a file


def test_a_set_up_record_goes_along_without_its_person(bench, run):
    record = """name = "Heron"
measured_on = "2026-11-20"
photo = "giver.jpg"
note = "as the Giver likes it"
[limbs]
brace_height = "6.5 in ± 0.04"  # by the Giver
[string]
string = "the Giver's spare"
shots = 900
peep_height = "140 mm"
"""
    (bench / "old.toml").write_text(record, encoding="utf-8")
    told = run("give", "rig.toml", "bow.toml", "--record", "old.toml", "--name", "Pupil")
    assert "Wrote bow-setup.toml" in told.stdout
    assert "set-up record goes along" in told.stdout
    text = (bench / "bow-setup.toml").read_text(encoding="utf-8")
    for gone in ("Heron", "iver", "peep"):
        assert gone not in text
    for kept in ('name = "Pupil"', '"2026-11-20"', 'brace_height = "6.5 in ± 0.04"', "900"):
        assert kept in text
    alone = run("give", "rig.toml", "more.toml")
    assert "No set-up record goes along" in alone.stdout
    assert not (bench / "more-setup.toml").exists()
    (bench / "third-setup.toml").write_text("mine", encoding="utf-8")
    assert run("give", "rig.toml", "third.toml", "--record", "old.toml").exit_code == 2
    assert not (bench / "third.toml").exists()  # both or none


def test_the_page_for_whoever_takes_the_bow_is_told_as_json_too(bench, run):
    words = ("rig.toml", "shots.csv", "--json", "--by", "A. Giver", "--sign", "yes")
    told = json.loads(run("handover", *words).stdout)
    assert told["by"] == "A. Giver"
    assert told["trusted_distance_yd"] == 92
    assert told["facts"]["Guesses"].startswith("Past 92 yd")
    assert len(told["stop_signs"]) == 5
    assert (bench / "rig-handover.pdf").read_bytes().startswith(b"%PDF")
