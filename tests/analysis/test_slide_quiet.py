# SPDX-License-Identifier: GPL-3.0-or-later
"""What feet do by right, and `slide` keeps quiet about: turning, landing, bearing nothing."""

import numpy as np
import pytest
from figures import about_x
from walker import Walk, steer, walk

from analysis import Settings, check_clip
from analysis import quaternions as quat

SLIDE = Settings(cycle="no", checks=("slide",))


def found(clip):
    return check_clip(clip, SLIDE).findings


def turning(pivot_m, *, raised=0.0):
    """A figure stands with its hips over its left foot, which turns by 40 degrees within half a
    second, about a spot so many metres behind the tip of its toes; the heel is raised by so
    much."""
    count = 48
    root = np.tile([0.1, 0.0, 0.80], (count, 1))
    ankles = {side: np.tile([x, 0.0, 0.08], (count, 1)) for side, x in (("L", 0.1), ("R", -0.1))}
    clip = steer(root, ankles, 24.0)
    foot = clip.joints.index("foot.L")
    angle = np.radians(40.0) * np.clip((np.arange(count) - 18) / 12.0, 0.0, 1.0)
    tip = np.array([0.1, -0.16, 0.0])
    lift = about_x(np.full(count, raised))
    turn = np.stack((np.cos(angle / 2), 0 * angle, 0 * angle, np.sin(angle / 2)), axis=-1)
    whole = quat.multiply(turn, lift)
    place, rotations = np.array(clip.positions), np.array(clip.rotations)
    spot = tip + [0.0, pivot_m, 0.0]
    raised_ankle = tip + quat.rotate(lift, place[:, foot] - tip)
    place[:, foot] = spot + quat.rotate(turn, raised_ankle - spot)
    rotations[:, foot] = quat.multiply(whole, rotations[:, foot])
    return type(clip)(**{**vars(clip), "positions": place, "rotations": rotations})


@pytest.mark.parametrize("raised", [0.0, 0.4])
def test_a_foot_that_turns_on_its_ball_stands(raised):
    """Heel and toe go several centimetres, in opposite directions."""
    clip = turning(0.05, raised=raised)
    assert not found(clip)
    assert check_clip(clip, SLIDE).measures["plants"] == 2


def test_a_foot_that_turns_about_a_spot_beside_itself_slides():
    assert [f.part for f in found(turning(-0.12))] == ["foot.L"]


def test_a_heel_in_the_air_is_no_spot_to_turn_on():
    """It turns about its raised heel: what stands on the floor sweeps over it."""
    assert [f.part for f in found(turning(0.2, raised=0.6))] == ["foot.L"]


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("backwards", [False, True])
def test_a_foot_that_the_range_shows_but_landing_or_leaving_does_not_slip(fps, backwards):
    """The range ends as a foot comes to rest on the floor, or begins as it leaves: it slows down
    to nothing by right, 4 cm over the last eighth of a second."""
    count = round(1.5 * fps)
    root = np.tile([0.0, 0.0, 0.80], (count, 1))
    ankles = {side: np.tile([x, 0.0, 0.08], (count, 1)) for side, x in (("L", 0.1), ("R", -0.1))}
    left = np.minimum((np.arange(count) - count + 1) / fps, 0.0)
    ankles["R"] += np.outer(2.6 * left**2, [0.0, 1.0, 0.7]).clip(0.0, 0.3)
    if backwards:
        ankles = {side: path[::-1] for side, path in ankles.items()}
    assert not found(steer(root, ankles, fps))


def sitting(height):
    """The hips at some height, the feet ahead; both slide 6 cm nearer."""
    count = 48
    root = np.tile([0.0, 0.0, height], (count, 1))
    drift = np.clip((np.arange(count) - 12) / 24, 0.0, 1.0)
    way = np.outer(drift, [0.0, 0.06, 0.0])
    ankles = {s: np.array([x, -0.3, 0.08]) + way for s, x in (("L", 0.1), ("R", -0.1))}
    return steer(root, ankles, 24.0)


def test_feet_that_are_drawn_in_while_one_sits_do_not_slip():
    assert not found(sitting(0.1))
    (finding,) = found(sitting(0.6))
    assert "Both feet slip" in finding.says


def test_a_foot_is_not_alone_while_a_hand_bears():
    """The hips lean far ahead of the only foot that is down, over a hand that is on the floor, or
    that nothing is known of."""
    count = 48
    root = np.tile([0.0, -0.5, 0.6], (count, 1))
    drift = np.clip((np.arange(count) - 12) / 24, 0.0, 1.0)
    ankles = {
        "L": np.array([0.1, 0.0, 0.08]) + np.outer(drift, [0.0, -0.06, 0.0]),
        "R": np.tile([-0.1, 0.0, 0.25], (count, 1)),
    }
    clip = steer(root, ankles, 24.0)
    assert [f.part for f in found(clip)] == ["foot.L"]
    place = np.array(clip.positions)
    place[:, clip.joints.index("hand.R")] = [-0.1, -0.7, 0.05]
    assert not found(type(clip)(**{**vars(clip), "positions": place}))


def test_short_plants_that_settle_by_a_little_are_judged():
    """Six samples a plant, in which the foot settles by 6 mm, and creeps off again: slower than
    what comes down or leaves."""
    plan = Walk(frames=96, stride_s=0.4)
    slips = []
    for side in "LR":
        for first, last in plan.plants(side):
            ways = 0.006 * np.diff(4.0 * np.linspace(-0.5, 0.5, last - first + 1) ** 3)
            slips += [(side, first + n, first + n + 1, (0.0, way)) for n, way in enumerate(ways)]
    settling, still = check_clip(walk(plan, slips=slips), SLIDE), check_clip(walk(plan), SLIDE)
    assert not settling.findings
    assert settling.measures["plants"] == still.measures["plants"] > 8
