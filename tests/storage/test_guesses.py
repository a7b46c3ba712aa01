"""Guesses are counted before they are looked at, by all workers together."""

import random
import threading

from tapewright.storage.guesses import Guesses


def test_one_address_has_five_a_minute_and_others_are_not_kept_waiting():
    guesses = Guesses(5, 60.0)
    assert [guesses.begin("a", 100.0 + second) for second in range(6)] == [0.0] * 5 + [55.0]
    assert guesses.begin("b", 106.0) == 0.0
    assert guesses.begin("a", 159.5) == 0.5
    assert guesses.begin("a", 160.0) == 0.0  # the first one is a minute old
    assert guesses.begin("a", 160.5) == 0.5


def test_a_guess_that_was_right_is_not_held_against_anybody():
    guesses = Guesses(2, 60.0)
    for second in (1.0, 2.0, 3.0):
        assert guesses.begin("a", second) == 0.0
        guesses.take_back("a", second)
    guesses.begin("a", 4.0)
    guesses.begin("a", 4.0)
    guesses.take_back("a", 4.0)  # only one of the two
    assert guesses.begin("a", 5.0) == 0.0
    assert guesses.begin("a", 5.0) == 59.0


def test_workers_that_share_a_file_count_together(tmp_path):
    first, second = (Guesses(5, 60.0, tmp_path / "guesses.db") for _ in range(2))
    told, chance = [], random.Random(5)  # whoever looked at the clock first may come second

    def guess(worker):
        told.extend(worker.begin("a", 7.0 + chance.random()) for _ in range(20))

    threads = [threading.Thread(target=guess, args=(one,)) for one in (first, second) * 3]
    for one in threads:
        one.start()
    for one in threads:
        one.join(60)
    assert len(told) == 120
    assert told.count(0.0) == 5
    assert all(59.0 < wait_s < 61.0 for wait_s in told if wait_s)
