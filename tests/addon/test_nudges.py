# SPDX-License-Identifier: GPL-3.0-or-later
"""What follows a control, and by which share, on small rigs whose answers are plain."""

import bpy
import pytest
import rigs
from digest import difference, digest
from sampled import unkeyed_edits


@pytest.fixture
def carried(ext):
    def sampled(rig):
        (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
        drives = {curve.control: set(curve.drives) for curve in clip.meta.curves}
        return clip.meta.carried, drives

    return sampled


def steps_of(ext, monkeypatch):
    """The frames on which copies are evaluated from now on."""
    steps = []
    stage = ext.addon.sampling.stages.Stage
    go = stage.go

    def counted(self, frame, subframe=0.0):
        steps.append(frame)
        return go(self, frame, subframe)

    monkeypatch.setattr(stage, "go", counted)
    return steps


def test_what_hangs_by_parenting_is_carried_and_not_tried(ext, carried, monkeypatch):
    rig = rigs.biped()
    steps = steps_of(ext, monkeypatch)
    shares, drives = carried(rig)
    assert steps == list(range(1, 41))
    assert shares["thigh.L"] == dict.fromkeys(("thigh.L", "shin.L", "foot.L"), (1.0, 1.0))
    assert set(shares["hips"]) == drives["hips"] == set(rig.pose.bones.keys())


def test_a_constraint_carries_by_its_influence(carried):
    rig = rigs.biped()
    bones = rig.pose.bones
    bones["head"].location = (0.0, 0.0, 0.0)
    rigs.key(bones["head"], "location", [(0, 0, 0), (0.1, 0, 0), (0, 0, 0)])
    for side, influence in (("L", 0.25), ("R", 0.0)):
        follow = bones[f"hand.{side}"].constraints.new("COPY_LOCATION")
        follow.target, follow.subtarget, follow.influence = rig, "head", influence
    shares, drives = carried(rig)
    assert shares["head"]["hand.L"] == pytest.approx((0.25, 0.0), abs=2e-3)
    assert shares["head"]["head"] == pytest.approx((1.0, 1.0), abs=2e-3)
    assert drives["head"] == {"head", "hand.L"}
    assert shares["upper_arm.R"]["hand.R"] == pytest.approx((1.0, 1.0), abs=2e-3)


def ik_target():
    """A keyed bone that pulls the left foot, beside the tree of the body."""
    rig = rigs.armature("puller", {**rigs.BIPED, "pull": (None, (0.1, 0, 0.08), (0.1, 0.1, 0.08))})
    ik = rig.pose.bones["shin.L"].constraints.new("IK")
    ik.target, ik.subtarget, ik.chain_count = rig, "pull", 2
    rigs.key(rig.pose.bones["pull"], "location", [(0, 0, 0), (0, 0.2, 0.2), (0, 0, 0)])
    rigs.key(rig.pose.bones["hips"], "location", [(0, 0, 0), (0, -0.05, 0), (0, 0, 0)])
    rigs.set_range(1, 40)
    return rig


def test_ik_carries_the_end_and_bends_the_limb(carried):
    shares, drives = carried(ik_target())
    assert shares["pull"]["foot.L"][0] == pytest.approx(1.0, abs=0.02)
    assert shares["pull"]["thigh.L"] == pytest.approx((0.0, 0.0), abs=1e-3)
    assert drives["pull"] == {"thigh.L", "shin.L", "foot.L"}
    assert shares["hips"]["thigh.L"][0] == pytest.approx(1.0, abs=1e-3)
    assert "foot.L" not in shares["hips"] or abs(shares["hips"]["foot.L"][0]) < 0.02


def test_where_a_switch_is_played_nothing_is_cut(carried):
    rig = ik_target()
    ik = rig.pose.bones["shin.L"].constraints["IK"]
    rigs.key(ik, "influence", [1.0, 0.0, 1.0])
    shares, drives = carried(rig)
    assert shares["pull"] == {}  # the middle frame is the one without
    assert drives["pull"] >= {"thigh.L", "shin.L", "foot.L"}


def test_a_control_that_moves_nothing_drives_nothing(carried):
    rig = ik_target()
    rig.pose.bones["shin.L"].constraints["IK"].influence = 0.0
    shares, drives = carried(rig)
    assert shares["pull"] == {}
    assert drives["pull"] == set()


def test_a_bone_of_another_rig_is_none_of_its_controls(carried):
    rig = ik_target()
    other = rigs.armature("tow", {"hook": (None, (0.5, 0, 1.4), (0.5, 0.1, 1.4))})
    rigs.key(other.pose.bones["hook"], "location", [(0, 0, 0), (0, 0.2, 0.2), (0, 0, 0)])
    ik = rig.pose.bones["forearm.L"].constraints.new("IK")
    ik.target, ik.subtarget, ik.chain_count = other, "hook", 2
    shares, drives = carried(rig)
    assert drives["hook of tow"] == {"upper_arm.L", "forearm.L", "hand.L"}
    assert set(shares) == {"pull", "hips"}
    assert "forearm.L" in shares["hips"]


@pytest.mark.parametrize("mode", ["QUATERNION", "AXIS_ANGLE", "ZXY"])
def test_any_way_of_turning(carried, mode):
    rig = ik_target()
    rig.pose.bones["pull"].rotation_mode = mode
    turn = rig.pose.bones["foot.L"].constraints.new("COPY_ROTATION")
    turn.target, turn.subtarget = rig, "pull"
    shares, _drives = carried(rig)
    assert shares["pull"]["foot.L"] == pytest.approx((1.0, 1.0), abs=0.02)


def test_nothing_changes(ext, carried):
    rig = ik_target()
    unkeyed_edits(rig)
    before = digest()
    shares, _drives = carried(rig)
    assert shares
    assert difference(before, digest()) == {}
