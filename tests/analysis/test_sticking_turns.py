# SPDX-License-Identifier: GPL-3.0-or-later
"""Paths of orientations that stick and catch up, told by numbers alone."""

import numpy as np
import pytest

from analysis.sticking_turns import find_stuck, most_to_catch_up

DT = 1.0 / 24.0
LEAST = 5.5


def path(*sizes):
    """(T,3) turns about one axis, degrees a sample."""
    return np.outer(np.concatenate(sizes), [0.0, 0.6, 0.8])


def even(count, pace=2.0):
    return np.full(count, pace)


def eased(degrees, count):
    """(count,) steps that start and stop softly: a smooth step of a spline between flat keys."""
    u = np.linspace(0.0, 1.0, count + 1)
    return degrees * np.diff(u * u * (3.0 - 2.0 * u))


@pytest.mark.parametrize("frozen", [3, 5, 8])
@pytest.mark.parametrize("caught_up", [1, 2])
def test_it_stands_and_catches_up(frozen, caught_up):
    hidden = 2.0 * (frozen + caught_up)
    burst = even(caught_up, hidden / caught_up)
    (stuck,) = find_stuck(path(even(10), np.zeros(frozen), burst, even(10)), DT, LEAST)
    assert (stuck.first, stuck.last, stuck.end) == (10, 10 + frozen, 10 + frozen + caught_up)
    assert stuck.burst == pytest.approx(hidden)
    assert stuck.pace == pytest.approx(2.0)
    assert stuck.before == pytest.approx(2.0)
    assert stuck.frozen == 0.0


def test_an_even_turn_and_a_still_part_stick_nowhere():
    assert find_stuck(path(even(40)), DT, LEAST) == []
    assert find_stuck(path(np.zeros(40)), DT, LEAST) == []
    rng = np.random.default_rng(2)
    assert find_stuck(path(even(200) + rng.normal(size=200)), DT, LEAST) == []


@pytest.mark.parametrize(("burst", "found"), [(5.0, 0), (6.0, 1)])
def test_from_the_least_burst_on(burst, found):
    pace = burst / 5
    turns = path(even(10, pace), np.zeros(4), [burst], even(10, pace))
    assert len(find_stuck(turns, DT, LEAST)) == found


@pytest.mark.parametrize("hold", [3, 5, 8])
def test_a_hold_that_is_eased_into_and_out_of_is_none(hold):
    assert find_stuck(path(eased(40.0, 6), np.zeros(hold), eased(40.0, 6)), DT, LEAST) == []


def test_a_snappy_move_out_of_a_hold_is_none():
    """Nothing turns before, and the move ends in a hold as well."""
    strike = [20.0, 45.0, 15.0, 2.0, -1.0]
    assert find_stuck(path(np.zeros(12), strike, np.zeros(12)), DT, LEAST) == []
    wind_up = eased(-30.0, 10)
    assert find_stuck(path(wind_up, np.zeros(5), strike, np.zeros(12)), DT, LEAST) == []


def test_a_long_hold_is_a_hold():
    for count, found in ((11, 1), (16, 0)):
        turns = path(even(10), np.zeros(count), [2.0 * (count + 1)], even(10))
        assert len(find_stuck(turns, DT, LEAST)) == found


def test_two_steps_that_stand_are_too_few():
    assert find_stuck(path(even(10, 4.0), np.zeros(2), [12.0], even(10, 4.0)), DT, LEAST) == []


def test_what_creeps_on_is_a_moving_hold_unless_it_stopped_with_a_jerk():
    creeping = even(5, 0.15)
    stops_dead = path(even(10), creeping, [11.25], even(10))
    assert len(find_stuck(stops_dead, DT, LEAST)) == 1
    slows_down = path(even(6), [1.5, 1.1, 0.8, 0.5], creeping, [11.25], even(10))
    assert find_stuck(slows_down, DT, LEAST) == []
    faster = path(even(10), even(5, 0.5), [9.5], even(10))
    assert find_stuck(faster, DT, LEAST) == []


def test_a_burst_much_faster_than_what_is_beside_is_a_snap():
    quick = path(even(10), np.zeros(5), [12.0], even(10))
    slow = path(even(10, 10.0), np.zeros(5), [12.0], even(10, 10.0))
    assert [find_stuck(each, DT, LEAST)[0].snaps for each in (quick, slow)] == [True, False]


def test_turning_back_meanwhile_is_hidden_too():
    """It would have turned on and back: after it stood it goes the other way."""
    (stuck,) = find_stuck(path(even(10, 4.0), np.zeros(6), [-7.0], even(10, -4.0)), DT, LEAST)
    assert (stuck.first, stuck.last, stuck.end) == (10, 16, 17)


@pytest.mark.parametrize("width", [1, 2])
def test_what_comes_back_at_once_pops(width):
    out = even(width, 9.0 / width)
    assert find_stuck(path(even(6), np.zeros(5), out, -out, np.zeros(5), even(6)), DT, LEAST) == []


def test_each_place_is_told_once():
    once = (np.zeros(5), [12.0], even(10))
    found = find_stuck(path(even(10), *once, *once, *once), DT, LEAST)
    assert [stuck.last for stuck in found] == [15, 31, 47]


def test_the_same_in_seconds_at_any_rate():
    for rate in (1, 2, 3):
        dt, pace = DT / rate, 2.0 / rate
        burst = even(2 * rate, 7.0 / rate)
        turns = path(even(10 * rate, pace), np.zeros(5 * rate), burst, even(10 * rate, pace))
        (stuck,) = find_stuck(turns, dt, LEAST)
        assert (stuck.first, stuck.end) == (10 * rate, 17 * rate)


def test_poses_that_are_shown_long_cannot_snap():
    assert [most_to_catch_up(1 / fps) for fps in (60, 30, 24, 12, 8)] == [5, 2, 2, 1, 0]
    assert find_stuck(path(even(10), np.zeros(3), [8.0], even(10)), 1 / 8, LEAST) == []


def test_paths_too_short_to_say_have_none():
    for count in range(1, 6):
        assert find_stuck(path(even(count, 9.0)), DT, LEAST) == []
