# SPDX-License-Identifier: GPL-3.0-or-later
"""Inside declared events force is measured and not blamed; what follows is judged."""

from dataclasses import replace

import numpy as np
import pytest
from test_push import ASK, LASTS_S, PUSHED_S, RATE2, airborne, topple
from walker import joined

from analysis import Event, check_clip

# Frame on which the push of `topple` begins, at 24 frames a second.
BEGINS = 1.0 + 24.0 * PUSHED_S


def declaring(clip, first, last, kind="hit", part=None):
    event = Event(frames=(first, last), kind=kind, part=part)
    return replace(clip, meta=replace(clip.meta, events=(event,)))


def measures_of(clip):
    return check_clip(clip, ASK).measures


@pytest.mark.parametrize("body_weights", [0.6, 1.2, 2.0])
@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_a_push_on_a_body_that_topples_is_measured(body_weights, fps):
    """A force F for .12 s on a stiff body that tips about its toes makes its centre of mass, 1.03 m
    up, faster by F .12 s h2 / k2; its toes give the rest. Of that, feet could have given some: a
    sixth of the weight, for the fifth of a second over which it is smoothed, is .3 m/s."""
    first = 1.0 + fps * PUSHED_S
    clip = declaring(topple(body_weights, fps=fps), first, first + fps * LASTS_S)
    shot = check_clip(clip, ASK)
    assert not shot.findings
    given = body_weights * LASTS_S * RATE2 * 1.03
    assert 0.95 * given - 0.3 < shot.measures["event_speed_m_s"] < 1.05 * given
    assert 0.3 * body_weights < shot.measures["event_force_peak_bw"] < 1.2 * body_weights


def test_twice_the_force_is_twice_the_measure():
    one, two = (
        measures_of(declaring(topple(force), BEGINS, BEGINS + 3.0))["event_speed_m_s"]
        for force in (1.0, 2.0)
    )
    assert two == pytest.approx(2.0 * one, rel=0.3)


@pytest.mark.parametrize("speed", [0.6, 1.0])
def test_a_push_in_the_air_is_measured(speed):
    at = 1.0 + 13.0 + 24.0 * 0.3
    shot = check_clip(declaring(airborne(speed), at - 1.0, at + 1.0), ASK)
    assert not shot.findings
    assert shot.measures["event_speed_m_s"] == pytest.approx(speed, rel=0.05)
    assert shot.measures["event_force_peak_bw"] > 0.2


@pytest.mark.parametrize("kind", ["hit", "pull", "catch", "load", "freeze"])
@pytest.mark.parametrize("part", [None, "chest", "hand.L"])
def test_whatever_reaches_whichever_part(kind, part):
    clip = declaring(topple(1.2), BEGINS, BEGINS + 3.0, kind, part)
    assert measures_of(clip)["event_force_peak_bw"] > 0.36


def test_an_event_in_which_nothing_happens_measures_next_to_nothing():
    measures = measures_of(declaring(topple(0.0), BEGINS, BEGINS + 3.0))
    assert measures["event_force_peak_bw"] < 0.05
    assert measures["event_speed_m_s"] < 0.05


def test_without_an_event_there_is_no_such_measure():
    assert not {"event_force_peak_bw", "event_speed_m_s"} & measures_of(topple(1.2)).keys()
    of_camera = declaring(topple(1.2), BEGINS, BEGINS + 3.0, part="camera")
    assert "event_force_peak_bw" not in measures_of(of_camera)


def test_what_follows_is_judged():
    """The same push in two hops, of which the first was declared."""
    once, at = airborne(0.6), 1.0 + 13.0 + 24.0 * 0.3
    shot = check_clip(declaring(joined(once, once), at - 1.0, at + 1.0), ASK)
    assert shot.measures["event_speed_m_s"] == pytest.approx(0.6, rel=0.05)
    (finding,) = shot.findings
    assert abs(finding.peak_frame - len(once.frames) - at) <= 2.0


def test_numbers_where_all_is_a_gap():
    clip = declaring(topple(1.2), BEGINS, BEGINS + 3.0)
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[10:22] = False
    assert "event_force_peak_bw" not in measures_of(replace(clip, valid=valid))


def test_of_a_throw_and_a_push_in_the_air_each_is_told_apart():
    """What threw it lies at the take-off; the speed before the push is that after the throw."""
    at = 1.0 + 13.0 + 24.0 * 0.3
    pushed = declaring(airborne(0.6), at - 0.5, at + 0.5)
    events = (Event(frames=(11.0, 14.0), kind="hit"), *pushed.meta.events)
    both = replace(pushed, meta=replace(pushed.meta, events=events))
    assert measures_of(both)["event_speed_m_s"] == pytest.approx(0.6, rel=0.05)


def test_a_flight_too_short_for_speeds_before_and_after_tells_none():
    at = 1.0 + 13.0 + 24.0 * 0.3
    assert "event_speed_m_s" not in measures_of(declaring(airborne(0.6), at - 5.0, at + 5.0))
