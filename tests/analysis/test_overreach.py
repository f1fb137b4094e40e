# SPDX-License-Identifier: GPL-3.0-or-later
"""Limbs that stretch, and IK targets that leave them; skipped where a clip tells neither."""

from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest
from clamped import beyond_samples, clamped, stretched, wanted
from figures import NAMES, figure, names

from analysis import ClipError, Settings, check_clip
from analysis import quaternions as quat
from analysis.meta import Event, Meta

ONCE = Settings(checks=("overreach",), cycle="no")
FOOT = NAMES.index("foot.L")


def hump(count, first, last, height):
    share = np.clip((np.arange(count) - first) / (last - first), 0.0, 1.0)
    return height * np.sin(np.pi * share) ** 2


def only(shot, part):
    assert names(shot) == [("overreach", part)]
    return shot.findings[0]


def pulled(beyond_m=0.03, fps=24.0, offset=(0.02, 0.1, -0.05), scale=1.0, **meta):
    """It stands, its left foot pulled beyond reach; the control has its own place and axes."""
    root, goals = wanted(2.0, fps, pulled=beyond_m, lasts_s=0.9)
    clip = clamped(root, goals, fps, scale=scale)
    count = len(root)
    turn = np.tile(quat.normalise(np.array([0.8, 0.3, -0.4, 0.2])), (count, 1))
    turn = quat.multiply(clip.rotations[:, FOOT], turn)
    matrices = np.tile(np.eye(4), (count, 2, 1, 1))
    for axis, way in enumerate(np.eye(3)):
        matrices[:, 1, :3, axis] = quat.rotate(turn, np.broadcast_to(way, (count, 3)))
    place = quat.rotate(turn, np.broadcast_to(offset, (count, 3)))
    matrices[:, 1, :3, 3] = scale * (goals["L"] + place)
    told = replace(
        clip.meta,
        controls=("hips", "foot_ik.L"),
        targets=MappingProxyType({"foot.L": "foot_ik.L"}),
        **meta,
    )
    return replace(clip, control_matrices=matrices, meta=told), beyond_samples(root, goals)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("per_cent", [3.0, 5.0, 10.0])
def test_a_leg_that_stretches(per_cent, fps):
    count, first, last = round(2 * fps), round(0.7 * fps), round(1.3 * fps)
    clip = figure(frames=count, fps=fps)
    share = hump(count, first, last, per_cent / 100.0)
    found = only(check_clip(stretched(clip, "L", share), ONCE), "shin.L")
    over = np.flatnonzero(share > 0.02)
    assert found.frames == (over[0] + 1, over[-1] + 1)
    assert found.unit == "%"
    assert found.amount == pytest.approx(per_cent, rel=0.02)
    assert found.limit == pytest.approx(2.0)
    assert found.severity == "major"


def test_the_sentence_of_a_stretch_says_how_far():
    clip = stretched(figure(), "R", hump(48, 20, 28, 0.05))
    found = only(check_clip(clip, ONCE), "shin.R")
    assert found.says == ("The right leg stretches by 5.0 % (4.3 cm), frames 23 to 27, most at 25.")
    assert found.suggestion.text.startswith("Bring the control of the right foot 4.3 cm nearer")
    shot = check_clip(clip, ONCE)
    assert shot.measures["leg_right_stretch_pct"] == pytest.approx(5.0)
    assert shot.measures["leg_right_stretch_pct"] > shot.measures.get("leg_left_stretch_pct", 0.0)


def test_a_leg_that_stretches_all_the_time_is_a_style():
    share = 0.05 + 0.04 * np.sin(np.arange(48) / 4.0)
    shot = check_clip(stretched(figure(), "L", share), ONCE)
    assert names(shot) == []
    assert shot.style == ("The left leg is longer than at rest for most of the shot.",)


def test_bones_that_vary_all_the_time_hide_what_is_no_larger():
    """As bones do that are solved from markers: noise of 1 %, which reaches 2 % now and then."""
    share = 0.01 * np.random.default_rng(3).normal(size=96)
    share -= np.median(share)
    assert share.max() > 0.02
    assert names(check_clip(stretched(figure(frames=96), "L", share), ONCE)) == []


def test_a_leg_that_only_shortens_is_clean():
    shot = check_clip(stretched(figure(), "L", -hump(48, 15, 30, 0.04)), ONCE)
    assert names(shot) == []
    assert shot.good == ("No limb stretches by more than 0.0 %.",)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("beyond_m", [0.02, 0.05])
def test_a_target_that_leaves_its_foot(beyond_m, fps):
    clip, beyond = pulled(beyond_m, fps)
    found = only(check_clip(clip, ONCE), "foot.L")
    assert found.amount == pytest.approx(100.0 * beyond_m, abs=0.6)
    assert found.unit == "cm"
    assert beyond[0] + 1 <= found.frames[0] <= found.frames[1] <= beyond[-1] + 1
    assert found.says.startswith("The left foot stays ")
    assert "behind its IK target foot_ik.L" in found.says
    back = found.suggestion.offset
    goal = np.array(clip.positions[int(found.peak_frame) - 1, FOOT]) - back
    assert np.linalg.norm(back) == pytest.approx(found.amount / 100.0)
    assert goal[2] < clip.positions[int(found.peak_frame) - 1, FOOT, 2]


def test_where_the_control_stands_and_how_it_is_turned_does_not_matter():
    amounts = [
        only(check_clip(pulled(offset=offset)[0], ONCE), "foot.L").amount
        for offset in ((0.0, 0.0, 0.0), (0.3, -0.2, 0.1))
    ]
    assert amounts[0] == pytest.approx(amounts[1])


def test_size_does_not_matter():
    asked = replace(ONCE, height_m=1.7)
    small, large = (
        only(check_clip(pulled(scale=scale)[0], asked), "foot.L") for scale in (1.0, 10.0)
    )
    assert small.frames == large.frames
    assert small.amount == pytest.approx(large.amount, rel=1e-3)


def test_a_foot_that_reaches_its_target_is_good():
    clip, beyond = pulled(-0.02)
    assert len(beyond) == 0
    shot = check_clip(clip, ONCE)
    assert names(shot) == []
    assert shot.good == ("Every hand and foot reaches the target of its IK.",)


def test_a_lock_and_its_target_are_one_finding():
    clip, _beyond = pulled(0.03, floor_z=-0.5)  # the foot is pulled down
    found = check_clip(clip, Settings(cycle="no")).findings
    assert [each.check for each in found] == ["overreach"]
    assert ("locked_knee", "shin.L") in found[0].also


def test_what_is_declared_is_none():
    clip, beyond = pulled()
    event = Event(frames=(float(beyond[0]), float(beyond[-1])), part="foot.L", kind="pull")
    clip = replace(clip, meta=replace(clip.meta, events=(event,)))
    assert names(check_clip(clip, ONCE)) == []


def test_a_clip_that_tells_neither_is_skipped():
    why = dict(check_clip(figure(), ONCE).skipped)["overreach"]
    assert why == "no limb changes its length, and the clip holds no IK target of a bent one"
    alone = figure(roles={"root": ("root",), "head": ("head",)})
    assert "no leg and no arm" in dict(check_clip(alone, ONCE).skipped)["overreach"]


def test_gaps_hide_what_lies_in_them():
    clip = stretched(figure(), "L", hump(48, 20, 28, 0.05))
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[18:31, FOOT] = False
    assert names(check_clip(replace(clip, valid=valid), ONCE)) == []


def test_two_frames_are_judged_without_complaint():
    clip = stretched(figure(frames=2), "L", np.array([0.0, 0.05]))
    assert isinstance(check_clip(clip, ONCE).findings, tuple)


def test_targets_are_kept_in_the_file_and_must_be_controls():
    meta = Meta(controls=("foot_ik.L",), targets=MappingProxyType({"foot.L": "foot_ik.L"}))
    assert Meta.from_json(meta.to_json()).targets == {"foot.L": "foot_ik.L"}
    with pytest.raises(ClipError, match=r"none of meta\.controls"):
        figure(targets={"foot.L": "foot_ik.L"})
    with pytest.raises(ClipError, match="names a part 'leg'"):
        figure(targets={"leg": "foot_ik.L"}, controls=("foot_ik.L",))
    with pytest.raises(ClipError, match="targets"):
        Meta.from_json('{"targets": ["foot_ik.L"]}')
