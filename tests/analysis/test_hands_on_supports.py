# SPDX-License-Identifier: GPL-3.0-or-later
"""Hands on declared supports: a wall, a rung, a ledge, another body: they bear, and may slip."""

from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES
from walker import box, steer, turned, with_supports

from analysis import Event, Meta, Settings, check_clip
from analysis.basis import build_basis
from analysis.basis.bearing import loads
from analysis.basis.boxes import within
from tests.quality.moves import reach, target

SLIDE = Settings(cycle="no", checks=("slide",))
COUNT = 72
ROLES = {name: (name,) for name in NAMES}
# Before the figure, which faces -Y: the hand's joint is 2 cm from the wall's face.
SPOT, WALL = np.array([0.25, -0.40, 1.25]), ((-1.0, -0.62, 0.0), (1.0, -0.42, 2.5))


def standing(fps=24.0, count=COUNT, sway=0.02, lean=0.0, lift=0.0):
    """A figure that sways on both feet; leaning ahead, its right foot lifted, by so many metres."""
    phase = 2.0 * np.pi * np.arange(count) / (1.5 * fps)
    ahead = sway * np.cos(phase) - lean
    root = np.stack((sway * np.sin(phase), ahead, 0.84 + 0.0 * phase), axis=-1)
    ankles = {
        side: np.tile([x, 0.0, 0.08 + up], (count, 1))
        for side, x, up in (("L", 0.1, 0.0), ("R", -0.1, lift))
    }
    clip = steer(root, ankles, fps)
    return replace(clip, meta=Meta(name="figure", roles=ROLES, supports=()))


def with_hand(clip, side, places):
    """One hand's joint at places (T,3), as its IK control leads it."""
    hand = target(clip, f"hand.{side}")
    return reach(clip, hand, places - clip.positions[:, hand.joint])


def slip(way, *, fps=24.0, count=COUNT, first=30, last=38):
    """(T,3) the hand's spot, which goes evenly by a way between two samples."""
    share = np.clip((np.arange(count) - first) / (last - first), 0.0, 1.0)
    return SPOT + np.outer(share, way)


def on_wall(places, fps=24.0, corners=WALL, **pose):
    clip = with_hand(standing(fps, len(places), **pose), "L", places)
    clip = with_supports(clip, box(*corners, len(places)))
    return replace(clip, meta=replace(clip.meta, supports=("the wall",)))


def without_wall(clip):
    return replace(clip, supports=None, meta=replace(clip.meta, supports=()))


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_hand_that_slips_on_a_wall_is_found(fps):
    first, last, count = round(1.25 * fps), round(1.6 * fps), round(3.0 * fps)
    clip = on_wall(slip([0.0, 0.0, -0.04], count=count, first=first, last=last), fps)
    (finding,) = check_clip(clip, SLIDE).findings
    assert (finding.check, finding.part, finding.severity) == ("slide", "hand.L", "major")
    assert finding.amount == pytest.approx(4.0, abs=0.3)
    assert finding.says.startswith("The left hand slips 4.0 cm down while it rests on the wall")
    assert abs(finding.frames[0] - (first + 1)) <= 2
    assert abs(finding.frames[1] - (last + 1)) <= 2
    assert "up by frame" in finding.suggestion.text
    assert finding.suggestion.offset == pytest.approx([0.0, 0.0, 0.04], abs=0.004)


@pytest.mark.parametrize("degrees", [35.0, 160.0])
def test_heading_and_size_do_not_matter(degrees):
    clip = on_wall(slip([0.03, 0.0, 0.0]))
    (plain,) = check_clip(clip, SLIDE).findings
    half = np.radians(degrees)
    turn = np.eye(4)
    turn[:2, :2] = [[np.cos(half), -np.sin(half)], [np.sin(half), np.cos(half)]]
    about = replace(turned(clip, degrees), supports=turn @ clip.supports)
    large = np.diag([10.0, 10.0, 10.0, 1.0]) @ clip.supports
    lengths = ("positions", "rest_positions", "lengths")
    tenfold = {name: getattr(clip, name) * 10.0 for name in lengths}
    for each in (about, replace(clip, **tenfold, supports=large)):
        told = replace(SLIDE, height_m=1.78)
        (finding,) = check_clip(each, told).findings
        assert finding.part == "hand.L"
        assert finding.frames == plain.frames
        assert "3.0 cm to the left" in finding.says


def test_a_hand_that_rests_is_told():
    shot = check_clip(on_wall(slip([0.0, 0.0, 0.0])), SLIDE)
    assert not shot.findings
    assert shot.measures["hand_stays"] == 1
    assert shot.good[0].endswith(
        "; hands rest 1 time on what was declared, and none slips along it."
    )


def test_without_a_declared_support_a_hand_cannot_slip():
    clip = without_wall(on_wall(slip([0.0, 0.0, -0.04])))
    shot = check_clip(clip, SLIDE)
    assert not shot.findings
    assert "hand_stays" not in shot.measures


def test_a_hand_goes_with_what_it_rests_on():
    way = np.outer(np.sin(np.linspace(0.0, 2.0, COUNT)), [0.06, 0.0, 0.03])
    clip = on_wall(SPOT + way)
    carried = np.array(clip.supports)
    carried[0, :, :3, 3] += way
    assert not check_clip(replace(clip, supports=carried), SLIDE).findings
    # The hand stays where it is, and the wall goes on for ten samples.
    still = on_wall(slip([0.0, 0.0, 0.0]))
    drawn = np.array(still.supports)
    drawn[0, :, 0, 3] += 0.05 * np.clip((np.arange(COUNT) - 30) / 10.0, 0.0, 1.0)
    (finding,) = check_clip(replace(still, supports=drawn), SLIDE).findings
    assert finding.part == "hand.L"
    assert "slips 5.0 cm to the right" in finding.says


def test_a_hand_slips_along_a_rung_and_turns_about_it():
    rung = ((-0.5, -0.44, 1.21), (0.5, -0.40, 1.25))
    phase = np.clip((np.arange(COUNT) - 30) / 12.0, 0.0, 1.0)
    about = SPOT + np.stack((0.0 * phase, 0.025 * phase, 0.03 * phase), axis=-1)
    assert not check_clip(on_wall(about, corners=rung), SLIDE).findings
    (finding,) = check_clip(on_wall(slip([-0.05, 0.0, 0.0]), corners=rung), SLIDE).findings
    assert "slips 5.0 cm to the right" in finding.says


def test_a_hand_that_hangs_beside_a_wall_does_not_slip():
    """Arms hang while the body sways by 6 cm: near the wall, and never at rest on it."""
    clip = standing(sway=0.06)
    hand = clip.positions[:, clip.joint("hand.L")].max(axis=0)
    wall = box((hand[0] + 0.01, -1.0, 0.0), (hand[0] + 0.2, 1.0, 2.0), COUNT)
    assert not check_clip(with_supports(clip, wall), SLIDE).findings


def test_what_was_declared_to_pull_it_is_a_measure():
    clip = on_wall(slip([0.0, 0.0, -0.04]))
    pull = Event(frames=(30, 40), kind="pull", part="hand.L")
    shot = check_clip(replace(clip, meta=replace(clip.meta, events=(pull,))), SLIDE)
    assert not shot.findings
    assert shot.measures["plants_pushed"] == 1


def test_both_hands_that_slip_at_once_are_one_finding():
    left = slip([0.0, 0.0, -0.05])
    clip = with_hand(on_wall(left), "R", left * [-1.0, 1.0, 1.0])
    (finding,) = check_clip(clip, SLIDE).findings
    assert finding.says.startswith("Both hands slip 5.0 cm down together while they rest on")


def hanging():
    """Hands stay at a bar over the head while the body swings under them; the floor is far."""
    swing = 0.15 * np.sin(2.0 * np.pi * np.arange(COUNT) / 36.0)
    clip = standing(sway=0.0)
    up = np.stack((0.0 * swing, swing, 2.0 + 0.0 * swing), axis=-1)
    clip = replace(clip, positions=clip.positions + up[:, None])
    clip = replace(clip, meta=replace(clip.meta, floor_z=0.0))
    for side, x in (("L", 0.2), ("R", -0.2)):
        clip = with_hand(clip, side, np.tile([x, 0.0, 3.75], (COUNT, 1)))
    return clip


def test_who_hangs_from_a_bar_does_not_fly():
    clip = hanging()
    bar = box((-0.5, -0.02, 3.74), (0.5, 0.02, 3.78), COUNT)
    assert len(build_basis(clip, SLIDE).flights) == 1
    assert build_basis(with_supports(clip, bar), SLIDE).flights == ()


def test_who_hangs_on_a_wall_s_side_does_not_fly():
    wall = box((-0.5, -0.3, 3.0), (0.5, -0.03, 6.0), COUNT)
    assert build_basis(with_supports(hanging(), wall), SLIDE).flights == ()


def test_a_jump_past_a_wall_flies():
    """Hands that pass a wall without stopping hold nothing."""
    clip = hanging()
    fall = np.outer(-0.05 * np.arange(COUNT), [0.0, 0.0, 1.0])
    wall = box((-0.5, -0.3, -9.0), (0.5, -0.03, 9.0), COUNT)
    passing = replace(clip, positions=clip.positions + fall[:, None])
    passing = replace(passing, meta=replace(passing.meta, floor_z=-20.0))
    assert len(build_basis(with_supports(passing, wall), SLIDE).flights) == 1


def test_a_hand_on_a_wall_takes_load_from_the_foot():
    """On the left foot alone, leaning towards the wall."""
    clip = on_wall(slip([0.0, 0.0, 0.0]), lean=0.15, lift=0.3)
    basis, free = (build_basis(each, SLIDE) for each in (clip, without_wall(clip)))
    here, there = (loads(each, each.soles, each.plants)["L"] for each in (basis, free))
    assert (there == 1.0).all()
    assert (here > 0.2).all()
    assert (here < 0.9).all()
    assert basis.held[:, basis.body("hand.L")].any()
    assert not free.held.any()


def test_how_far_points_are_from_a_box():
    given = box((-1.0, -1.0, 0.0), (1.0, 1.0, 1.0), 2)
    points = np.tile([[2.0, 0, 0.5], [0, 0, 1.5], [0, 0, 0.9], [2.0, 2.0, 0.5]], (2, 1, 1))
    assert within(given, points).gap[0] == pytest.approx([1.0, 0.5, -0.1, np.sqrt(2.0)])
    flat = np.array(given)
    flat[:, 2, 2] = 0.0
    assert within(flat, points).gap[0, 1] == pytest.approx(1.0)
    gone = np.zeros((2, 4, 4))
    gone[:, 3, 3] = 1.0
    assert np.isinf(within(gone, points).gap).all()


def test_awkward_input_has_an_answer():
    clip = on_wall(slip([0.0, 0.0, -0.04]))
    for last in (2, 3, 6):
        check_clip(clip.cut(1, last), SLIDE)
    gone = replace(clip, supports=0.0 * clip.supports + np.diag([0.0, 0.0, 0.0, 1.0]))
    assert not check_clip(gone, SLIDE).findings
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[28:40, clip.joint("hand.L")] = False
    shot = check_clip(replace(clip, valid=valid), SLIDE)
    assert all(np.isfinite(v) for v in shot.measures.values() if isinstance(v, float))
