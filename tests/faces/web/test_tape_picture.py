"""The tape as a small picture: ticks where the marks stand, and what is trusted."""

import itertools
import re

from written_out import IMPERIAL, METRIC

from tapewright.faces.web.tape_picture import strip

# Readings that fall to 9 yd and grow from there, in mm: the close ones are not on the strip.
MARKS = [(0.9144 * yards, 1e-3 * (0.01 * yards**2 + 81 / yards**2)) for yards in range(4, 126)]


def numbers(drawn):
    found = re.findall(r'class="(number[^"]*)" x="([\d.]+)" y="20">(\d+)<', drawn)
    return {int(number): (kind, float(x)) for kind, x, number in found}


def test_numbers_stand_where_the_marks_do_and_past_trust_they_are_guesses():
    drawn = strip(MARKS, 54.864, IMPERIAL)  # 60 yd
    seen = numbers(drawn)
    assert seen[60][0] == "number"
    assert all(kind == "number guess" for at, (kind, _) in seen.items() if at > 60)
    assert max(seen) == 60  # drawn to 67 yd: a little past what is trusted
    assert "Ticks from 10 to 67 yd. Trusted to 60 yd." in drawn
    share = (seen[60][1] - seen[50][1]) / (seen[50][1] - seen[40][1])
    assert abs(share - 11 / 9) < 0.05  # 36 - 25 against 25 - 16
    xs = sorted(x for _, x in seen.values())
    assert all(after - before >= 20.9 for before, after in itertools.pairwise(xs))


def test_without_trust_all_of_it_is_a_guess_and_says_so():
    drawn = strip(MARKS, 0.0, IMPERIAL)
    assert "not trusted at any distance yet" in drawn
    assert 'class="sure"' not in drawn
    assert {kind for kind, _ in numbers(drawn).values()} == {"number guess"}


def test_metres_have_metres_and_too_few_marks_make_no_tape():
    metres = [(float(metre), 1e-5 * metre**2) for metre in range(10, 71)]
    assert "Ticks from 10 to 60 m. Trusted to 30 m." in strip(metres, 30.0, METRIC)
    assert strip(metres[:1], 30.0, METRIC) == strip([], 0.0, METRIC) == ""
