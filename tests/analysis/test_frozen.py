# SPDX-License-Identifier: GPL-3.0-or-later
"""`frozen` on a figure whose root is known to stand, or not: when, how long, and nothing else."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, names
from walker import box, turned, walk, with_supports

from analysis import Settings, check_clip
from analysis.meta import Event
from tests.quality.figure import Channels, channels_of, posed
from tests.quality.timing import blend, sampled, smooth_step

ONCE = Settings(cycle="no", checks=("frozen",))
ROLES = {name: (name,) for name in figure().joints}


def strides(**how):
    return figure(**{"frames": 96, "roles": ROLES, **how})


def standing(clip, first, last, out_s=0.4):
    """The clip with its root where it is at sample `first` until `last`; then it catches up
    within `out_s` seconds. Limbs keep their own channels."""
    own = channels_of(clip)
    number = np.arange(len(clip.frames))
    gone = smooth_step((number - last) * clip.dt_s / out_s)
    share = np.where(number <= first, 0.0, 1.0 - gone)
    places, turns = own.places.copy(), own.turns.copy()
    places[:, 0] += share[:, None] * (places[first, 0] - places[:, 0])
    still = np.tile(turns[first, 0], (len(turns), 1))
    turns[:, 0] = blend(turns[:, 0], still, share)
    return posed(clip, Channels(places, turns))


def test_a_root_that_goes_on_is_well():
    shot = check_clip(strides(), ONCE)
    assert names(shot) == []
    assert shot.good == ("The root never stands dead while limbs move.",)
    assert shot.measures["root_dead_pct"] == 0.0


@pytest.mark.parametrize("fps", [24, 30, 60])
def test_a_root_that_stands_while_limbs_go_on(fps):
    clip = strides(fps=fps, frames=4 * fps)
    fault = standing(clip, fps, round(1.75 * fps))
    shot = check_clip(fault, ONCE)
    assert names(shot) == [("frozen", "root")]
    finding = shot.findings[0]
    assert finding.unit == "s"
    assert finding.amount == pytest.approx(0.75, abs=0.06)
    assert finding.frames == pytest.approx((fps + 1, 1.75 * fps + 1), abs=3)
    assert finding.severity == "major"
    assert finding.says.startswith(f"The root stands dead from frame {finding.frames[0]:.0f} to ")
    assert " while the limbs go on: the " in finding.says
    assert shot.measures["root_dead_pct"] == pytest.approx(18.75, abs=2.0)
    # It would be further on, the way it goes.
    assert finding.suggestion.offset @ [0, -1, 0] > 0.02
    assert "it would be" in finding.suggestion.text


def test_size_and_heading_do_not_matter():
    fault = standing(strides(), 30, 50)
    frames = check_clip(fault, ONCE).findings[0].frames
    large = standing(strides(scale=10.0, height_m=1.7), 30, 50)
    for other in (large, turned(fault, 70.0)):
        assert [f.frames for f in check_clip(other, ONCE).findings] == [frames]


def test_a_short_rest_is_none():
    assert names(check_clip(standing(strides(), 30, 38, out_s=0.1), ONCE)) == []


def test_a_drift_keeps_the_body_alive():
    """1 % of the height a second is enough."""
    fault = standing(strides(), 30, 54)
    drift = np.cumsum((np.arange(96) > 30) * 0.02 / 24)
    moved = fault.positions + np.outer(drift, [1, 0, 0])[:, None]
    assert names(check_clip(replace(fault, positions=moved), ONCE)) == []


def test_a_hold_in_which_all_rests_is_none():
    when = np.concatenate((np.arange(48.0), np.full(24, 47.0), np.arange(48.0, 72.0)))
    assert names(check_clip(sampled(strides(), when), ONCE)) == []


def test_a_root_that_never_moves_is_a_habit():
    shot = check_clip(standing(strides(), 0, 95), ONCE)
    assert names(shot) == []
    assert shot.style == ("The root stands still for 100 % of the time in which limbs move.",)
    assert shot.good == ()


def test_a_root_that_sits_is_none():
    """On a box that bears weight, 6 cm under it."""
    fault = standing(strides(), 30, 54)
    place = fault.positions[40, 0]
    seat = box(place - [0.3, 0.3, 0.4], place + [0.3, 0.3, -0.06], 96)
    assert names(check_clip(with_supports(fault, seat), ONCE)) == []


def test_declared_events_are_left_out():
    fault = standing(strides(), 30, 54)
    frozen = Event(frames=(28.0, 56.0), kind="freeze")
    assert names(check_clip(replace(fault, meta=replace(fault.meta, events=(frozen,))), ONCE)) == []


def test_what_stops_with_it_is_one_finding():
    """The stop at its beginning and the start at its end are told beside it."""
    asked = Settings(cycle="no", checks=("frozen", "hard_stop", "hard_start"))
    shot = check_clip(standing(strides(), 30, 54, out_s=0.1), asked)
    assert names(shot) == [("frozen", "root")]


def test_a_walk_and_short_or_partless_clips():
    assert names(check_clip(walk(roles=ROLES), ONCE)) == []
    short = check_clip(strides(frames=8), ONCE)
    assert short.skipped[-1] == ("frozen", "needs 0.45 s or more")
    valid = np.ones((96, 16), dtype=bool)
    valid[40, 0] = False
    gap = check_clip(replace(strides(), valid=valid), ONCE)
    assert gap.skipped[-1][1] == "needs a root, and hands, feet or a head, without gaps"
