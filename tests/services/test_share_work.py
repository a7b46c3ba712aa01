from collections import deque
from itertools import count, islice

import pieces_of_work as given
import pytest

from tapewright.services import share_work
from tapewright.services.job import Answered, Died, Failed, Untouched
from tapewright.services.share_work import GivenUp, shared_by_processes


class Fated:
    """A crew that meets what was written down for a piece, then doubles it."""

    def __init__(self, fates, most=3):
        self.most, self.closed = most, False
        self.fates = {piece: deque(fate) for piece, fate in fates.items()}
        self.in_hand, self.together, self.given = deque(), {}, []

    def give(self, job):
        self.in_hand.append(job)
        self.given.append(job.piece)
        for one in self.in_hand:
            self.together.setdefault(one.piece, []).append(len(self.in_hand))

    def hear(self):
        job = self.in_hand.popleft()
        fate = self.fates.get(job.piece)
        return job, fate.popleft() if fate else Answered(2 * job.piece)

    def close(self):
        self.closed = True


def done_by(crew, pieces):
    return dict(share_work.shared_by(crew, pieces))


@pytest.mark.parametrize("deaths", [1, 2, 3, 4])
def test_four_deaths_that_a_stranger_may_have_brought_blame_nobody(deaths):
    done = done_by(Fated({5: [Died()] * deaths}), range(8))
    assert done == {number: 2 * number for number in range(8)}


def test_a_piece_is_given_up_after_two_deaths_beside_others_and_three_alone():
    crew = Fated({5: [Died()] * 5})
    done = done_by(crew, range(8))
    assert done.pop(5) == GivenUp(
        "3 workers died at it, one after the other, with nothing beside. Try it by itself."
    )
    assert done == {number: 2 * number for number in range(8) if number != 5}
    assert crew.given.count(5) == 5
    assert crew.together[5][-3:] == [1, 1, 1]  # the last three with nothing else in hand


def test_deaths_in_turn_at_every_piece_blame_none():
    crew = Fated({number: [Died()] * 4 for number in range(12)})
    assert done_by(crew, range(12)) == {number: 2 * number for number in range(12)}


def test_a_cluster_that_counts_four_deaths_together_needs_a_second_count_alone():
    innocent, killer = [Died(4)], [Died(4), Died(4)]
    done = done_by(Fated({2: innocent, 5: killer}), range(8))
    assert done[2] == 4
    assert done[5] == GivenUp(
        "4 workers died at it, one after the other, with nothing beside. Try it by itself."
    )


def test_a_worker_that_never_began_costs_its_piece_nothing():
    crew = Fated({5: [Untouched()] * 40 + [Died()] * 4})
    assert done_by(crew, range(8))[5] == 10


def test_a_fault_of_the_work_is_told_with_its_piece():
    done = done_by(Fated({5: [Failed("ZeroDivisionError: by zero")]}), range(8))
    assert done[5] == GivenUp("It could not be worked on: ZeroDivisionError: by zero.")
    assert done[6] == 12


def test_no_more_is_in_hand_than_keeps_the_crew_busy():
    crew = Fated({}, most=3)
    done_by(crew, range(50))
    assert max(map(max, crew.together.values())) == 3


@pytest.mark.parametrize("workers", [1, 2])
def test_every_piece_is_done_once_on_any_number_of_workers(workers):
    done = list(shared_by_processes(given.double, range(20), workers))
    assert sorted(done) == [(number, 2 * number) for number in range(20)]


def test_no_piece_is_no_work():
    assert list(shared_by_processes(given.double, [], 2)) == []


def test_pieces_are_taken_as_they_are_needed():
    endless = count()
    done = shared_by_processes(given.double, endless, 1)
    assert len(list(islice(done, 4))) == 4
    done.close()
    assert next(endless) < 12  # those done and the few that were in hand


def test_a_piece_that_always_kills_its_worker_is_given_up_and_no_other():
    done = dict(shared_by_processes(given.double_but_not_seven, range(12), 2))
    assert isinstance(done.pop(7), GivenUp)
    assert done == {number: 2 * number for number in range(12) if number != 7}
