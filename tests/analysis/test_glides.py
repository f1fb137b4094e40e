# SPDX-License-Identifier: GPL-3.0-or-later
"""`slide` of both feet at once: a figure that is carried over the floor without a step, and feet
that are moved while the body stays."""

from dataclasses import replace

import numpy as np
import pytest
from figures import with_mover
from walker import box, moved, steer, with_supports

from analysis import Settings, check_clip
from analysis.meta import Event

SLIDE = Settings(cycle="no", checks=("slide",))


def eased(count, first, last):
    """(count,) from 0 to 1 between two samples, slow at both ends."""
    u = np.clip((np.arange(count) - first) / (last - first), 0.0, 1.0)
    return u * u * (3.0 - 2.0 * u)


def standing(fps, seconds=3.0, feet=None, root=None, tremble=0.0):
    """A figure that stands on both feet; `feet` and `root` (T,3) are where those are moved to."""
    count = round(seconds * fps)
    nothing = np.zeros((count, 3))
    feet, root = (nothing if each is None else each for each in (feet, root))
    rng = np.random.default_rng(3)
    ankles = {
        side: [x, 0.0, 0.08] + feet + rng.normal(0.0, tremble, (count, 3)) * [1, 1, 0]
        for side, x in (("L", 0.1), ("R", -0.1))
    }
    return steer([0.0, 0.0, 0.80] + root, ankles, fps)


def glide(fps, metres, seconds, **more):
    """Feet and body go ahead (-Y) together; also their way (T,3)."""
    count = round(3.0 * fps)
    share = eased(count, round(0.3 * fps), round((0.3 + seconds) * fps))
    way = np.outer(share, [0.0, -metres, 0.0])
    return moved(standing(fps, **more), way), way


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("tremble", [0.0, 0.0003])
@pytest.mark.parametrize(
    ("metres", "seconds"), [(0.05, 1.0), (0.1, 2.5), (0.6, 1.0), (1.0, 2.5), (2.0, 2.5)]
)
def test_a_glide_on_two_feet_is_one_finding_with_its_whole_way(fps, tremble, metres, seconds):
    clip, way = glide(fps, metres, seconds, tremble=tremble)
    (finding,) = check_clip(with_mover(clip, way), SLIDE).findings
    assert (finding.part, finding.severity) == ("mover", "major")
    assert "Both feet slip" in finding.says
    assert "the mover carries them along" in finding.says
    assert "forward" in finding.says
    # The slow ends of a slow glide are lost in the tremble.
    assert finding.amount == pytest.approx(metres * 100.0, rel=0.15)
    assert np.allclose(finding.suggestion.offset, [0.0, metres, 0.0], atol=0.15 * metres)
    (alone,) = check_clip(clip, SLIDE).findings
    assert (alone.part, alone.amount) == ("root", pytest.approx(finding.amount, rel=0.03))


def test_feet_that_should_step_are_told_so():
    for metres, words in ((0.6, "Let the feet step there"), (0.1, "Keep both feet in place")):
        clip, way = glide(24.0, metres, 1.0)
        (finding,) = check_clip(with_mover(clip, way), SLIDE).findings
        assert finding.suggestion.text.startswith(words)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("has_mover", [True, False])
def test_where_the_body_stays_nothing_carries_the_feet(fps, has_mover):
    count = round(3.0 * fps)
    feet = np.outer(eased(count, round(fps), round(1.4 * fps)), [0.03, 0.0, 0.0])
    clip = standing(fps, feet=feet)
    if has_mover:
        clip = with_mover(clip, np.zeros((count, 3)))
    (finding,) = check_clip(clip, SLIDE).findings
    assert finding.part.startswith("foot")
    assert "Both feet slip 3.0 cm to the left together" in finding.says
    assert "carries" not in finding.says
    assert "mover" not in finding.says + finding.suggestion.text
    assert "3.0 cm to the right" in finding.suggestion.text
    first, last = round(fps) + 1, round(1.4 * fps) + 1
    assert first - 3 <= finding.frames[0] <= first + 3
    assert last - 3 <= finding.frames[1] <= last + 3


def test_what_rides_on_a_declared_cart_does_not_glide():
    clip, way = glide(24.0, 2.0, 2.0)
    cart = box((-0.5, -0.5, -0.4), (0.5, 0.5, 0.0), len(way))
    cart[:, :3, 3] += way
    shot = check_clip(with_supports(clip, cart), SLIDE)
    assert not shot.findings
    assert shot.good


def test_a_declared_shove_is_no_finding():
    clip, _way = glide(24.0, 0.3, 1.0)
    event = Event(frames=(8.0, 32.0))
    told = replace(clip, meta=replace(clip.meta, events=(event,)))
    assert not check_clip(told, SLIDE).findings


def test_a_hop_on_two_feet_does_not_glide():
    """Both feet go the same way over the floor, but they leave it."""
    count = 72
    share = eased(count, 24, 36)
    lift = 0.06 * np.sin(np.pi * np.clip((np.arange(count) - 24) / 12.0, 0.0, 1.0))
    way = np.outer(share, [0.0, -0.4, 0.0]) + np.outer(lift, [0.0, 0.0, 1.0])
    assert not check_clip(moved(standing(24.0), way), SLIDE).findings


def test_feet_that_shuffle_in_turn_do_not_glide():
    count = 96
    clip = standing(24.0, seconds=4.0)
    root = np.outer(eased(count, 20, 76), [0.0, -0.12, 0.0])
    ankles = {
        "L": [0.1, 0.0, 0.08] + np.outer(eased(count, 20, 44), [0.0, -0.12, 0.0]),
        "R": [-0.1, 0.0, 0.08] + np.outer(eased(count, 52, 76), [0.0, -0.12, 0.0]),
    }
    stepping = steer([0.0, 0.0, 0.80] + root, ankles, 24.0)
    assert len(stepping.frames) == len(clip.frames)
    shot = check_clip(stepping, SLIDE)
    assert not [f for f in shot.findings if "Both feet" in f.says]


@pytest.mark.parametrize(("behind", "seen"), [(0.0, True), (0.4, False)])
def test_feet_that_are_dragged_by_a_body_that_is_not_over_them_do_not_glide(behind, seen):
    """It sits down behind its feet, or gets up from a roll."""
    count = 72
    way = np.outer(eased(count, 20, 44), [0.0, 0.4, 0.0])
    root = np.tile([0.0, behind, -0.25 if behind else 0.0], (count, 1))
    shot = check_clip(moved(standing(24.0, root=root), way), SLIDE)
    glides = [f for f in shot.findings if f.amount > 35.0]
    assert len(glides) == (1 if seen else 0)


def test_gaps_and_short_ranges_give_an_answer():
    clip, _way = glide(24.0, 1.0, 2.0)
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[20:30, 3:] = False
    shot = check_clip(replace(clip, valid=valid), SLIDE)
    assert all(np.isfinite(f.amount) for f in shot.findings)
    for frames in (2, 3, 5):
        shot = check_clip(clip.cut(30, 30 + frames - 1), SLIDE)
        assert shot.findings or shot.good or shot.skipped
