"""A process killed at any moment loses nothing that was confirmed.

The writer is a process of its own and is ended by SIGKILL, which nothing can catch; on PostgreSQL
the server's own process for that writer is killed in turn.
"""

import os
import signal
import sqlite3
from contextlib import closing
from random import Random
from time import monotonic, sleep

import psycopg
import pytest
from crowd import write_until_killed

from tapewright.storage.notebook import open_notebook

LONGEST_S = 0.01  # a round of writes takes some 5 ms where nobody else works
ANSWER_S = 60  # for what takes milliseconds there
SOON_S = 10  # until a writer notices that its server's process died


class Confirmed:
    """What writers were told is kept, and whether it is.

    Parameters
    ----------
    url : str
        The notebook.
    """

    def __init__(self, url):
        self._notebook = open_notebook(url)
        self._told = []
        self.writes = 0

    def hear(self, line):
        """Take down all that a dead writer said; the sentence it was told, if it was."""
        try:
            while True:
                self._told.append(line.recv())
        except EOFError:
            return next((said[1] for said in self._told if said[0] == "told"), None)

    def wait(self, writer, line, chance):
        """Wait for a random moment: in starting, in opening, mostly in writing."""
        for _ in range(chance.choice((0, 1, 2, 3, 4, 5, 6, 7, 8, 9))):
            assert line.poll(ANSWER_S), "the writer says nothing"
            self._told.append(line.recv())
        sleep(chance.uniform(0, LONGEST_S))
        assert writer.is_alive()

    def check(self):
        """Look up every confirmed write since the last time."""
        for said in self._told:
            match said:
                case ("pair", rig, session):
                    first = self._notebook.entry(rig, 1)
                    assert first.body.name == session
                    assert self._notebook.entry(session).sources[0].entry_id == rig
                case ("second", rig):
                    assert self._notebook.entry(rig).body.sheet.endswith("2")
                case ("withdrawn", session):
                    assert self._notebook.entry(session).is_withdrawn
            self.writes += said[0] not in {"open", "told"}
        self._told.clear()

    def check_pairs(self):
        """Whether every pair, confirmed or not, is there as a whole."""
        rigs = {one.id: one.body.name for one in self._notebook.entries("rig")}
        marked = (False, True)
        sessions = [
            one for mark in marked for one in self._notebook.entries("session", withdrawn=mark)
        ]
        assert {one.body.note: one.id for one in sessions} == rigs
        self._notebook.close()


def start(fork, url, seed):
    """A writer, and the end of the line on which it tells what was confirmed."""
    hear, tell = fork.Pipe(duplex=False)
    writer = fork.Process(target=write_until_killed, args=(url, tell, seed), daemon=True)
    writer.start()
    tell.close()
    return writer, hear


def end(writer):
    """SIGKILL."""
    writer.kill()
    writer.join(ANSWER_S)
    assert writer.exitcode == -signal.SIGKILL


def intact(path):
    with closing(sqlite3.connect(path)) as file:
        assert file.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert file.execute("PRAGMA foreign_key_check").fetchall() == []


@pytest.mark.parametrize("kills", [30, pytest.param(300, marks=pytest.mark.long)])
def test_a_file_survives_every_kill_of_its_writer(kills, fork, tmp_path):
    path, chance = tmp_path / "notebook.db", Random(kills)
    confirmed = Confirmed(f"sqlite:///{path}")
    for kill in range(kills):
        writer, line = start(fork, f"sqlite:///{path}", kill)
        confirmed.wait(writer, line, chance)
        end(writer)
        assert confirmed.hear(line) is None
        confirmed.check()
        if kill % 10 == 9:
            intact(path)
    confirmed.check_pairs()
    assert confirmed.writes > kills
    print(f"{kills} kills, {confirmed.writes} confirmed writes, none lost")  # noqa: T201


def answers(server):
    try:
        server.ask("SELECT 1")
    except psycopg.OperationalError:
        return False
    return True


def wait_for_server(server):
    until = monotonic() + 30
    while not answers(server):
        assert monotonic() < until
        sleep(0.02)


@pytest.mark.parametrize("kills", [10, pytest.param(100, marks=pytest.mark.long)])
def test_a_server_survives_every_kill_of_client_or_backend(kills, fork, server):
    name, chance = server.new_database(), Random(kills)
    url = server.url(name)
    confirmed, went_away = Confirmed(url), 0
    for kill in range(kills):
        writer, line = start(fork, url, kill)
        confirmed.wait(writer, line, chance)
        backends = server.ask(
            f"SELECT pid FROM pg_stat_activity WHERE datname = '{name}' ORDER BY backend_start DESC"  # noqa: S608
        )
        if kill % 2 and backends:
            os.kill(backends[0][0], signal.SIGKILL)
            writer.join(SOON_S)
        if writer.exitcode == 0:
            assert "does not answer, or went away" in confirmed.hear(line)
            went_away += 1
        else:  # the server was back before the writer's next word, or the writer is killed itself
            end(writer)
            assert confirmed.hear(line) is None
        wait_for_server(server)
        confirmed.check()
    confirmed.check_pairs()
    assert 0 < went_away <= kills // 2
    assert confirmed.writes > kills
    print(f"{kills} kills, {confirmed.writes} confirmed writes, none lost")  # noqa: T201
