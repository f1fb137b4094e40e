# SPDX-License-Identifier: GPL-3.0-or-later
"""What moves a rig besides its bones' transforms: settings, other objects, what lies between."""

import bpy
import numpy as np
import pytest
import rigs

HAND_R = {"hand.R"}
LEG_L = {"thigh.L", "shin.L", "foot.L"}


def placed():
    """A biped that stands still, and an empty beside it."""
    rig = rigs.armature("porter", rigs.BIPED)
    for bone in rig.pose.bones:
        bone.rotation_mode = "XYZ"
    return rig, empty("target")


def empty(name, parent=None, bone=""):
    item = bpy.data.objects.new(name, None)
    bpy.context.scene.collection.objects.link(item)
    item.parent = parent
    if bone:
        item.parent_type, item.parent_bone = "BONE", bone
    return item


def poses(rig):
    bpy.context.view_layer.update()
    return [np.array(rig.matrix_world @ each.matrix) for each in rig.pose.bones]


def moved_by(rig, nudge):
    """The bones that stand elsewhere in the world after a nudge."""
    before = poses(rig)
    nudge()
    pairs = zip(rig.pose.bones, poses(rig), before, strict=True)
    return {bone.name for bone, a, b in pairs if np.abs(a - b).max() > 1e-5}


def drive(owner, path, block, source, index=-1, bone=""):
    """A channel takes the value of a property, or of a bone's or object's place."""
    driver = (owner.driver_add(path, index) if index >= 0 else owner.driver_add(path)).driver
    variable = driver.variables.new()
    variable.name = "way"
    if bone or not source:
        variable.type = "TRANSFORMS"
        variable.targets[0].bone_target, variable.targets[0].transform_type = bone, "LOC_X"
    elif not isinstance(block, bpy.types.Object):
        variable.targets[0].id_type = "ARMATURE"
    variable.targets[0].id = block
    if source:
        variable.targets[0].data_path = source
    driver.type, driver.expression = "SCRIPTED", "way"


def setattr_of(item, name, value):
    setattr(item, name, value)
    item.id_data.update_tag()


def clip_of(ext, rig):
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    return clip


def drives(clip):
    return {
        (c.owner, c.control, c.channel): set(c.drives) & {*clip.joints} for c in clip.meta.curves
    }


def test_a_bone_moves_what_follows_an_object_that_hangs_on_it(ext):
    rig, _target = placed()
    tip = empty("tip", rig, "hand.L")
    middle = empty("middle", tip)
    copy = rig.pose.bones["hand.R"].constraints.new("COPY_LOCATION")
    copy.target = middle
    reach = ext.addon.sampling.reach.Reach(rig)
    bone = rig.pose.bones["hand.L"]
    moved = moved_by(rig, lambda: setattr_of(bone, "rotation_euler", (0.0, 0.0, 0.4)))
    assert reach.of("hand.L") == moved == {"hand.L", "hand.R"}
    assert reach.of_path(tip, "location") == HAND_R


def test_a_constraint_of_an_object_between_and_a_pole(ext):
    rig, target = placed()
    leader, pole = empty("leader"), empty("pole")
    follow = target.constraints.new("COPY_LOCATION")
    follow.target = leader
    ik = rig.pose.bones["shin.L"].constraints.new("IK")
    ik.target, ik.pole_target, ik.chain_count = target, pole, 2
    leader.location, pole.location = (0.1, -0.2, 0.3), (0.3, -3.0, 0.5)
    reach = ext.addon.sampling.reach.Reach(rig)
    moved = moved_by(rig, lambda: setattr_of(leader, "location", (0.15, -0.3, 0.35)))
    assert reach.of_path(leader, "location") == moved == LEG_L
    assert reach.of_path(pole, "location") == LEG_L
    assert reach.of_path(target, 'constraints["Copy Location"].influence') == LEG_L


@pytest.mark.parametrize("kind", ["bone", "object", "data", "empty"])
def test_a_property_moves_what_drivers_make_of_it_and_no_more(ext, kind):
    rig, target = placed()
    target.location = (0.2, -0.3, 0.4)
    ik = rig.pose.bones["shin.L"].constraints.new("IK")
    ik.target, ik.chain_count = target, 2
    owner = {
        "bone": rig.pose.bones["head"],
        "object": rig,
        "data": rig.data,
        "empty": target,
    }[kind]
    owner["IK"] = 0.0
    path = 'pose.bones["head"]["IK"]' if kind == "bone" else '["IK"]'
    drive(ik, "influence", owner.id_data, path)
    reach = ext.addon.sampling.reach.Reach(rig)

    def nudge():
        owner["IK"] = 1.0
        owner.id_data.update_tag()

    assert moved_by(rig, nudge) == LEG_L
    assert reach.of_path(owner.id_data, path) == LEG_L
    assert reach.of_path(rig, 'pose.bones["shin.L"].constraints["IK"].influence') == LEG_L
    assert reach.of_path(rig, 'pose.bones["head"].location') == {"head"}
    assert reach.of("head") == ({"head"} | LEG_L if kind == "bone" else {"head"})


def test_keys_of_all_that_moves_the_rig_come_with_the_clip(ext):
    rig, target = placed()
    cart, road, idle = empty("cart"), empty("road"), empty("idle")
    rig.parent, cart.parent = cart, road
    hand = empty("hand.R")  # named as a bone is
    copy = rig.pose.bones["hand.R"].constraints.new("COPY_LOCATION")
    copy.target = hand
    target["grip"] = 0.0
    drive(rig.pose.bones["head"], "rotation_euler", target, '["grip"]', 0)
    rig.data["lean"] = 0.0
    drive(rig.pose.bones["chest"], "rotation_euler", rig.data, '["lean"]', 0)
    for item in (road, idle, hand, target):
        rigs.key(item, "location", [(0, 0, 0), (0, 1, 0), (0, 2, 0)])
    for owner, name in ((target, "grip"), (rig.data, "lean")):
        for frame, value in ((1, 0.0), (40, 0.5)):
            owner[name] = value
            owner.keyframe_insert(f'["{name}"]', frame=frame)
    rigs.key(rig.pose.bones["neck"], "rotation_euler", [(0, 0, 0), (0.1, 0, 0), (0, 0, 0)])
    rigs.set_range(1, 40)
    clip = clip_of(ext, rig)
    told = drives(clip)
    assert told["road", "road", "location.y"] == set(clip.joints)
    assert told["hand.R", "hand.R (object)", "location.x"] == HAND_R
    assert told["target", "target", '["grip"]'] == {"head"}
    lean = told["porter", "porter (data)", '["lean"]']
    chest = rig.pose.bones["chest"]
    assert lean == moved_by(rig, lambda: setattr_of(chest, "rotation_euler", (0, 0.5, 0.4)))
    # Its place is not what the driver reads, and nothing hangs on the idle one.
    assert not {key for key in told if key[0] == "idle" or key[:3:2] == ("target", "location.x")}
    assert {name.split("|")[0] for name in clip.channels} == {"neck"}
    assert clip.meta.controls == ("neck",)


def test_bones_of_another_rig_that_carries_this_one(ext):
    rig, _target = placed()
    horse = rigs.biped("horse")
    rig.parent, rig.parent_type, rig.parent_bone = horse, "BONE", "chest"
    rigs.key(rig.pose.bones["neck"], "rotation_euler", [(0, 0, 0), (0.1, 0, 0), (0, 0, 0)])
    clip = clip_of(ext, rig)
    told = drives(clip)
    assert told["horse", "hips of horse", "location.z"] == set(clip.joints)
    assert not {key for key in told if key[1] == "thigh.L of horse"}
    assert clip.channels == tuple(f"neck|rotation_euler.{axis}" for axis in "xyz")
