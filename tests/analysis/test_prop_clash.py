# SPDX-License-Identifier: GPL-3.0-or-later
"""`prop_clash` with swords at known distances from a figure that stands still."""

from dataclasses import replace

import numpy as np
import pytest
from blades import ROLES, swinging, with_sword
from figures import figure, names, pose, to_clip

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.meta import Event

ASKED = Settings(cycle="no", checks=("prop_clash",))
COUNT = 48
# As `python -m analysis checks` says: radii and the limit as shares of the height.
RADII = {"head": 0.062, "chest": 0.065, "thigh.L": 0.045, "shin.R": 0.031, "hand.L": 0.025}
LIMIT = 0.006
# Where a sword lies beside a part: off its rod, and along the sword itself.
FORWARD, LEFT = np.array([0.0, -1.0, 0.0]), np.array([1.0, 0.0, 0.0])
HALF_M = 0.05


def still(count=COUNT, fps=24.0, **how):
    """The figure at rest: everything hangs or stands upright."""
    turn, place = pose({}, np.tile((0.0, 0.0, 0.95), (count, 1)), count)
    return to_clip(turn, place, fps, 1.0, {"roles": ROLES, **how})


def height_of(clip):
    return build_basis(clip, ASKED).height.scene_m


def middle_of(clip, part):
    """(3,) a place on a part's rod, a third of the way from its joint to its tip."""
    basis = build_basis(clip, ASKED)
    joint, tip = basis.marks[0, basis.body(part), :2]
    return joint + (tip - joint) / 3.0


def beside(clip, part, path):
    """A sword beside a part, path (T,) metres off its rod: before it, of a hand to its left."""
    off, along = (LEFT, FORWARD) if part.startswith("hand") else (FORWARD, LEFT)
    at = middle_of(clip, part) + path[:, None] * off
    return with_sword(clip, np.stack((at - HALF_M * along, at + HALF_M * along), axis=1))


def cutting(clip, part, depth, span=(20, 26), away=0.3):
    """A sword that is over `span` so deep inside a part's skin, else well off it."""
    path = np.full(len(clip.frames), away)
    path[span[0] : span[1] + 1] = RADII[part] * height_of(clip) - depth
    return beside(clip, part, path)


@pytest.mark.parametrize("part", list(RADII))
@pytest.mark.parametrize("depth", [0.02, 0.03])
def test_how_deep_it_cuts(part, depth):
    shot = check_clip(cutting(still(), part, depth), ASKED)
    assert names(shot) == [("prop_clash", "prop.1")]
    (found,) = shot.findings
    assert found.amount == pytest.approx(100.0 * depth, abs=0.4)
    assert found.frames == (21, 27)
    assert found.severity == "major"


def test_what_is_said_of_it():
    clip = cutting(still(), "head", 0.03)
    (found,) = check_clip(clip, ASKED).findings
    assert found.says == ("The sword cuts 3.0 cm into the head from frame 21 to 27, deepest at 21.")
    assert found.title == "sword: prop clash"  # in a list it goes by its own name
    out = 0.03 + LIMIT * height_of(clip)
    assert found.suggestion.offset == pytest.approx(out * FORWARD, abs=1e-3)
    assert found.suggestion.text == (
        f"Move or turn it {100 * out:.1f} cm forward at frame 21, off the head."
    )


@pytest.mark.parametrize("part", list(RADII))
def test_contact_without_depth_is_right(part):
    clip = still()
    near, deep = (LIMIT * height_of(clip) * times for times in (0.9, 1.1))
    for depth in (-0.01, 0.0, near):
        shot = check_clip(cutting(clip, part, depth), ASKED)
        assert names(shot) == []
        assert shot.good == ("The sword keeps clear of the body from frame 1 to 48.",)
    (found,) = check_clip(cutting(clip, part, deep), ASKED).findings
    assert found.severity == "minor"


@pytest.mark.parametrize("scale", [0.1, 10.0])
def test_size_does_not_matter(scale):
    settings = replace(ASKED, height_m=1.7)
    one = check_clip(cutting(still(), "head", 0.03), settings).findings[0]
    clip = cutting(still(), "head", 0.03)
    lengths = ("positions", "rest_positions", "lengths", "point_offset")
    scaled = replace(clip, **{name: getattr(clip, name) * scale for name in lengths})
    other = check_clip(scaled, settings).findings[0]
    assert other.says == one.says


@pytest.mark.parametrize("fps", [24, 30, 60])
def test_a_blade_that_passes_through_the_head_between_two_frames(fps):
    clip = still(fps=fps)
    middle = middle_of(clip, "head")
    side = np.where(np.arange(COUNT) < 24, 0.3, -0.3)  # in front, then behind
    sword = beside(clip, "head", side)
    (found,) = check_clip(sword, ASKED).findings
    assert found.frames == (24, 25)
    assert "passes" in found.says
    assert "through the head from frame 24 to 25" in found.says
    over = middle + side[:, None] * FORWARD + [0.0, 0.0, 0.4]
    ends = np.stack((over - HALF_M * LEFT, over + HALF_M * LEFT), axis=1)
    assert names(check_clip(with_sword(clip, ends), ASKED)) == []


def test_the_edge_cuts_where_the_middle_does_not():
    clip = still()
    top = build_basis(clip, ASKED).marks[0, build_basis(clip, ASKED).body("head"), 1]
    at = np.tile(top + [0.0, 0.0, 0.05], (COUNT, 1))
    at[:15, 2] += 1.0
    ends = np.stack((at - HALF_M * FORWARD, at + HALF_M * FORWARD), axis=1)
    assert names(check_clip(with_sword(clip, ends), ASKED)) == []
    found = [check_clip(with_sword(clip, ends, width=w), ASKED).findings for w in (0.09, -0.09)]
    assert [len(each) for each in found] == [0, 1]


def test_the_holding_arm_is_excused():
    clip = still()
    hand, elbow = (clip.positions[:, clip.joint(f"{part}.R")] for part in ("hand", "forearm"))
    ends = np.stack((hand, 0.5 * (hand + elbow) + 0.01 * FORWARD), axis=1)
    assert names(check_clip(with_sword(clip, ends), ASKED)) == []


def test_a_second_hand_that_holds_it_is_excused():
    clip = cutting(still(), "hand.L", 0.02, span=(12, 36))
    assert names(check_clip(clip, ASKED)) == []
    clip = cutting(still(), "hand.L", 0.02, span=(20, 26))
    assert names(check_clip(clip, ASKED)) == [("prop_clash", "prop.1")]


def test_what_is_worn_is_a_style():
    shot = check_clip(cutting(still(), "thigh.L", 0.03, span=(0, COUNT)), ASKED)
    assert names(shot) == []
    assert "The sword lies in the left thigh all along: taken as worn." in shot.style


def test_again_and_again_is_told_once():
    clip = still(count=120)
    radius = RADII["thigh.L"] * height_of(clip)
    path = np.full(120, 0.3)
    for n, start in enumerate(range(10, 110, 20)):
        path[start : start + 4] = radius - 0.02 - 0.003 * (n == 3)
    (found,) = check_clip(beside(clip, "thigh.L", path), ASKED).findings
    assert found.says == (
        "The sword cuts into the left thigh 5 times, 2.3 cm at frame 71 at the deepest."
    )


def test_declared_events_and_gaps_are_quiet():
    event = Event(frames=(20.0, 28.0), kind="hit")
    assert names(check_clip(cutting(still(events=(event,)), "head", 0.03), ASKED)) == []
    clip = cutting(still(), "head", 0.03)
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[18:30, clip.joint("head")] = False
    assert names(check_clip(replace(clip, valid=valid), ASKED)) == []


def test_a_pole_on_the_shoulder_is_well():
    """Beside the neck, half a neck's breadth and a pole's thickness off its middle."""
    clip = still()
    neck = clip.positions[:, clip.joint("neck")]
    at = neck + (0.035 * height_of(clip) + 0.015) * LEFT
    ends = np.stack((at + 0.6 * FORWARD, at - 0.5 * FORWARD), axis=1)
    shot = check_clip(with_sword(clip, ends), ASKED)
    assert names(shot) == []
    assert shot.good


def test_without_a_prop_or_a_hand_it_says_so():
    assert ("prop_clash", "no hand holds a prop") in check_clip(figure(), ASKED).skipped
    clip = cutting(still(), "head", 0.03)
    unheld = replace(clip.meta.props[0], held_by="chest")
    shot = check_clip(replace(clip, meta=replace(clip.meta, props=(unheld,))), ASKED)
    assert ("prop_clash", "no hand holds a prop") in shot.skipped


def test_short_clips_are_quiet_or_right():
    clip = swinging()
    for last in (2, 3, 4):
        assert names(check_clip(clip.cut(1, last), ASKED)) == []
