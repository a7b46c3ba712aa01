"""deploy/: what a server is put together from says what it says elsewhere, and the backup works."""

import os
import re
import shutil
import subprocess
import sys
from datetime import UTC, datetime

import pytest
from click.testing import CliRunner

from tapewright.faces.cli.commands import main
from tapewright.services.keep import KeptRig, open_notebook


def read(house, name):
    return (house / "deploy" / name).read_text(encoding="utf-8")


def served(text):
    """Options of ``serve`` that a text names."""
    return set(re.findall(r"(?<![\w-])--[a-z-]+", text))


def test_services_and_container_serve_with_options_that_there_are(house):
    options = {name for one in main.get_command(None, "serve").params for name in one.opts}
    lines = [
        re.search(r"ExecStart=.*serve (.*)", read(house, "tapewright.service"))[1],
        re.search(r'SERVE="(.*)"', read(house, "environment"))[1],
        re.search(r"CMD (\[\"serve.*\])", read(house, "Containerfile"))[1],
    ]
    assert all(served(line) <= options and served(line) for line in lines)


def test_a_service_and_its_backup_are_shut_in_alike(house):
    locks = [
        read(house, name).split("UMask=0077\n")[1].split("\n[Install]")[0].strip()
        for name in ("tapewright.service", "tapewright-backup.service")
    ]
    assert locks[0] == locks[1]
    assert "ProtectSystem=strict" in locks[0]


def test_proxies_hang_up_before_the_program_does_and_let_its_own_words_through(house):
    nginx, caddy = read(house, "nginx.conf"), read(house, "Caddyfile")
    assert int(re.search(r"keepalive_timeout (\d+)s", nginx)[1]) < 30  # connection_timeouts.py
    assert int(re.search(r"keepalive (\d+)s", caddy)[1]) < 30
    assert int(re.search(r"client_max_body_size (\d+)m", nginx)[1]) * 2**20 > 60_000_000
    assert int(re.search(r"max_size (\d+)MB", caddy)[1]) * 10**6 > 60_000_000
    assert "Host $http_host" in nginx
    assert "X-Forwarded-For $remote_addr" in nginx


def test_the_page_names_only_files_that_there_are(house):
    page = (house / "docs" / "deploy.md").read_text(encoding="utf-8")
    named = set(re.findall(r"\bdeploy/([A-Za-z.-]+)", page))
    assert named == {path.name for path in (house / "deploy").iterdir()}


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="systemd is not here")
def test_systemd_reads_the_services(house):
    units = [str(house / "deploy" / f"tapewright{end}") for end in (".service", "-backup.timer")]
    told = subprocess.run(
        ["systemd-analyze", "verify", "--man=no", *units],
        capture_output=True, text=True, check=False, timeout=60,
    ).stderr  # fmt: skip
    # The program is not where it would be, and where systemd does not run it says so
    faults = [one for one in told.splitlines() if "is not executable" not in one]
    assert not [one for one in faults if "deploy/tapewright" in one or "nknown" in one]


@pytest.fixture
def backed_up(house, tmp_path):
    """Runs the backup over a notebook with one rig; the folder of backups beside it."""
    notebook = open_notebook(f"sqlite:///{tmp_path / 'notebook.db'}")
    sheet = (house / "src/tapewright/faces/sample/heron.toml").read_text(encoding="utf-8")
    notebook.add(KeptRig(sheet, "Heron"), entry_id="0" * 20, now=datetime(2026, 11, 30, tzinfo=UTC))
    notebook.close()
    program, folder = tmp_path / "program", tmp_path / "backups"
    program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m tapewright "$@"\n')
    program.chmod(0o755)
    folder.mkdir()
    around = os.environ | {
        "TAPEWRIGHT": str(program), "TAPEWRIGHT_NOTEBOOK": str(tmp_path / "notebook.db"),
    }  # fmt: skip

    def run(*words):
        return subprocess.run(
            [house / "deploy" / "backup", folder, *words],
            env=around, capture_output=True, text=True, check=False, timeout=300,
        )  # fmt: skip

    return run, folder, program


def test_a_backup_is_restored_at_once_and_older_ones_go(backed_up):
    run, folder, program = backed_up
    for day in range(1, 4):
        (folder / f"notebook-2026010{day}T030000Z.backup").write_text("old")
    told = run("2")
    assert told.returncode == 0, told.stderr
    assert "All of it is as it was written." in told.stdout
    newest, *older = sorted((one.name for one in folder.iterdir()), reverse=True)
    assert older == ["notebook-20260103T030000Z.backup"]
    drill = folder.with_name("drill.db")
    done = CliRunner().invoke(main, ["restore", str(folder / newest), "--notebook", str(drill)])
    assert done.exit_code == 0, done.output
    assert "Heron" in CliRunner().invoke(main, ["rigs", "--notebook", str(drill)]).output

    program.write_text(f'#!/bin/sh\n[ "$1" = backup ] && exec touch "$2"\nexec {program}.gone\n')
    told = run("1")
    assert told.returncode == 1
    assert "cannot be restored" in told.stderr
    names = sorted(one.name for one in folder.iterdir())
    assert sum(name.endswith(".doubtful") for name in names) == 1
    assert newest in names
    assert run("0").returncode == 2  # none at all would stay, the new one neither
    assert sorted(one.name for one in folder.iterdir()) == names
