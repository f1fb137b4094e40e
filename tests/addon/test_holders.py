# SPDX-License-Identifier: GPL-3.0-or-later
"""What hangs on a control, or on a bone of the mechanism, is held by the hand that it moves."""

import bpy
import pytest
import rigs


def with_bones(**places):
    """A biped with more bones {name: (parent, head, tail)}."""
    rig = rigs.biped()
    bpy.context.view_layer.objects.active = rig
    bpy.ops.object.mode_set(mode="EDIT")
    for name, (parent, head, tail) in places.items():
        made = rig.data.edit_bones.new(name)
        made.head, made.tail = head, tail
        made.parent = rig.data.edit_bones[parent] if parent else None
    bpy.ops.object.mode_set(mode="OBJECT")
    return rig


def put(bone, kind, rig, target):
    """A constraint that puts a pose bone to another one."""
    made = bone.constraints.new(kind)
    made = made.targets.new() if kind == "ARMATURE" else made
    made.target, made.subtarget = rig, target
    return bone.constraints[-1]


AT_HAND = ((-0.7, 0, 1.45), (-0.8, 0, 1.45))
AT_FOREARM = ((-0.45, 0.02, 1.45), (-0.7, 0, 1.45))
BESIDE = ((-0.7, -0.3, 1.45), (-0.8, -0.3, 1.45))


def held(ext, rig, bone):
    rigs.boathook(rig, bone)
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    return [prop.held_by for prop in clip.meta.props]


@pytest.mark.parametrize(("place", "part"), [(AT_HAND, "hand.R"), (AT_FOREARM, "forearm.R")])
def test_a_control_at_the_place_of_a_hand_is_that_hand(ext, place, part):
    rig = with_bones(control=(None, *place))
    put(rig.pose.bones[part], "COPY_TRANSFORMS", rig, "control")
    assert held(ext, rig, "control") == [part]


def test_a_bone_that_follows_the_hand_from_its_place_is_that_hand(ext):
    rig = with_bones(socket=(None, *AT_HAND))
    put(rig.pose.bones["socket"], "COPY_TRANSFORMS", rig, "hand.R")
    assert held(ext, rig, "socket") == ["hand.R"]


@pytest.mark.parametrize("kind", ["CHILD_OF", "ARMATURE"])
def test_a_bone_for_weapons_is_held_by_what_it_is_put_to(ext, kind):
    rig = with_bones(weapon=(None, *BESIDE))
    constraint = put(rig.pose.bones["weapon"], kind, rig, "hand.R")
    assert held(ext, rig, "weapon") == ["hand.R"]
    bpy.data.objects.remove(bpy.data.objects["boathook"])
    constraint.mute = True
    assert held(ext, rig, "weapon") == []


def test_what_only_stands_there_holds_nothing(ext):
    """Neither moves the other: a bone that happens to begin at the hand's place."""
    rig = with_bones(lamp=(None, *AT_HAND))
    assert held(ext, rig, "lamp") == []


@pytest.mark.parametrize("bone", ["chest", "foot.R", "upper_arm.R", "pole"])
def test_no_other_part_holds_a_prop(ext, bone):
    """Nor does the pole that an arm's IK points to."""
    rig = with_bones(pole=(None, *BESIDE))
    made = put(rig.pose.bones["forearm.R"], "IK", rig, "hand.L")
    made.pole_target, made.pole_subtarget, made.chain_count = rig, "pole", 2
    assert held(ext, rig, bone) == []


def test_bones_that_follow_each_other_end(ext):
    rig = with_bones(one=(None, *BESIDE), two=(None, *BESIDE))
    put(rig.pose.bones["one"], "COPY_TRANSFORMS", rig, "two").mute = False
    put(rig.pose.bones["two"], "COPY_LOCATION", rig, "one")
    assert held(ext, rig, "one") == []
