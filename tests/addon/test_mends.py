# SPDX-License-Identifier: GPL-3.0-or-later
"""Mends change the key that they name, wherever it is kept, and nothing else."""

import math
from dataclasses import replace

import bpy
import pytest
import rigs
from explained import NOD, cause_of, curve_of, edit, keys_of

HIPS = 'pose.bones["hips"].location'


@pytest.fixture
def mends(ext):
    return ext.addon.causes.mends


@pytest.fixture(params=["active", "strip"])
def rig(request):
    """A biped whose keys are in its own action, or in a strip that is late and slowed."""
    made = rigs.biped()
    if request.param == "strip":
        rigs.push_to_strip(made, scale=1.7, start=11)
    return made


def others(rig):
    """The keys of all curves but the head's."""
    paths = [(f'pose.bones["{name}"].rotation_euler', i) for name in ("thigh.L",) for i in range(3)]
    return [keys_of(curve_of(rig, *each)) for each in [*paths, *((HIPS, i) for i in range(3))]]


def test_smooth_handles_on_both_sides_of_the_key_only(mends, rig):
    for index in range(3):
        for key in curve_of(rig, index=index).keyframe_points:
            key.interpolation = "LINEAR"
            key.handle_left_type = key.handle_right_type = "VECTOR"
    before, values = others(rig), keys_of(curve_of(rig))
    cause = cause_of(rig)
    assert mends.why_not(rig, cause) == ""
    told = mends.apply(rig, cause)
    frame = "20" if cause.strip is None else "43.30"
    assert told == f"head, rotation, key {frame}: its handles are smooth."
    for index in range(3):
        keys = curve_of(rig, index=index).keyframe_points
        assert [key.interpolation for key in keys] == ["BEZIER", "BEZIER", "LINEAR"]
        assert [key.handle_left_type for key in keys] == ["VECTOR", "AUTO_CLAMPED", "VECTOR"]
        assert [key.handle_right_type for key in keys] == ["VECTOR", "AUTO_CLAMPED", "VECTOR"]
    assert keys_of(curve_of(rig)) == values
    assert others(rig) == before


def test_euler_angles_are_typed_in_degrees_and_free_handles_go_along(mends, rig):
    curve = curve_of(rig)
    key = curve.keyframe_points[1]
    key.handle_left_type = key.handle_right_type = "FREE"
    key.handle_left, key.handle_right = (17.0, 0.05), (24.0, 0.2)
    curve.update()
    before = others(rig)
    frame = cause_of(rig).frame
    edits = (edit("rotation_euler.x", math.degrees(0.1), 30.0, frame=frame),)
    cause = cause_of(rig, mend="move", edits=edits)
    assert mends.why_not(rig, cause) == ""
    told = mends.apply(rig, cause)
    shown = "20" if cause.strip is None else "43.30"
    assert told == f"head, rotation, key {shown}: x 5.7 to 30 degrees."
    key = curve_of(rig).keyframe_points[1]
    assert key.co.y == pytest.approx(math.radians(30.0))
    up = math.radians(30.0) - 0.1
    assert tuple(key.handle_left) == pytest.approx((17.0, 0.05 + up), abs=1e-5)
    assert tuple(key.handle_right) == pytest.approx((24.0, 0.2 + up), abs=1e-5)
    assert keys_of(curve_of(rig, index=1))[1] == (20.0, -0.2)
    assert others(rig) == before


def test_metres_and_several_channels_are_typed_as_they_are(mends, rig):
    frame = cause_of(rig).frame
    edits = (
        edit("location.x", 0.05, 0.01, control="hips", frame=frame),
        edit("location.z", 0.4, 0.5, control="hips", frame=frame),
    )
    cause = cause_of(rig, mend="move", control="hips", channel="location", edits=edits)
    mends.apply(rig, cause)
    values = [keys_of(curve_of(rig, HIPS, index))[1] for index in range(3)]
    assert values == [(20.0, 0.01), (20.0, 0.02), (20.0, 0.5)]


@pytest.mark.parametrize("stretch", [1.0, 2.0])
def test_a_key_goes_to_the_scene_s_frame(mends, rig, stretch):
    """Two scene frames later, whatever the strip's speed and the scene's time remapping."""
    cause = cause_of(rig, mend="retime", channel="rotation_euler.x")
    frame = cause.frame * stretch
    cause = replace(cause, frame=frame, to_frame=frame + 2.0)
    assert mends.why_not(rig, cause, stretch=stretch) == ""
    mends.apply(rig, cause, stretch=stretch)
    speed = 1.7 if cause.strip else 1.0
    assert keys_of(curve_of(rig))[1][0] == pytest.approx(20.0 + 2.0 / speed / stretch, abs=1e-3)
    assert [frame for frame, _v in keys_of(curve_of(rig, index=1))] == [1.0, 20.0, 40.0]


def test_a_reversed_strip_plays_backwards(mends):
    rig = rigs.biped()
    rigs.push_to_strip(rig).use_reverse = True
    cause = cause_of(rig, mend="retime", frame=21.0, to_frame=24.0)
    mends.apply(rig, cause)
    assert keys_of(curve_of(rig))[1][0] == 17.0


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"action_frame": 21.0}, "The key is gone (head, rotation, key 20)"),
        ({"action": "another"}, "is in no action that 'porter' plays now"),
        ({"strip": "another"}, "is in no action that 'porter' plays now"),
        ({"control": "no bone"}, "The key is gone"),
        ({"channel": "rotation_quaternion"}, "The key is gone"),
        ({"control": None}, "No key is known"),
        ({"mend": ""}, "has no mend of its own"),
        ({"mend": "move"}, "has no values to move to"),
        ({"mend": "move", "edits": (edit("location.x", 0.0, 1.0),)}, "head has no key at 20 on"),
        ({"mend": "retime"}, "has no frame to go to"),
        ({"mend": "retime", "to_frame": 41.0}, "Another key of head is in the way of frame 41"),
    ],
)
def test_what_cannot_be_mended_is_told_in_a_sentence(mends, changes, told):
    rig = rigs.biped()
    why = mends.why_not(rig, cause_of(rig, **{"mend": "smooth", **changes}))
    assert told in why
    assert why.endswith(".")


def test_locked_curves_stay(mends):
    rig = rigs.biped()
    curve_of(rig, index=2).lock = True
    assert "The curve of head, rotation z is locked" in mends.why_not(rig, cause_of(rig))
    assert mends.why_not(rig, cause_of(rig, channel="rotation_euler.x")) == ""
    move = cause_of(rig, mend="move", edits=(edit("rotation_euler.z", 0.0, 5.0),))
    assert "is locked" in mends.why_not(rig, move)


def test_a_linked_action_is_mended_where_it_is(mends, tmp_path):
    rig = rigs.biped()
    name = rig.animation_data.action.name
    path = tmp_path / "library.blend"
    bpy.data.libraries.write(str(path), {rig.animation_data.action})
    bpy.data.actions.remove(rig.animation_data.action)
    with bpy.data.libraries.load(str(path), link=True) as (_found, asked_for):
        asked_for.actions = [name]
    rig.animation_data.action = asked_for.actions[0]
    if hasattr(rig.animation_data, "action_slot"):
        rig.animation_data.action_slot = asked_for.actions[0].slots[0]
    assert "is linked from another file" in mends.why_not(rig, cause_of(rig))


def test_channels_of_objects_and_properties_are_found(ext):
    rig = rigs.biped()
    bone = rig.pose.bones["hand.L"]
    bone["IK_FK"], bone["tail"] = 0.5, [1.0, 2.0]
    for path in ('["IK_FK"]', '["tail"]'):
        bone.keyframe_insert(path, frame=20)
    rig.keyframe_insert("location", frame=20)
    copy = bone.constraints.new("COPY_LOCATION")
    copy.keyframe_insert("influence", frame=20)
    find = ext.addon.causes.key_places.keys_of
    for control, channel, count in (
        ("hand.L", '["IK_FK"]', 1),
        ("hand.L", '["tail"]', 2),
        ("hand.L", '["tail"][1]', 1),
        ("hand.L", f'constraints["{copy.name}"].influence', 1),
        ("porter", "location", 3),
        ("porter", "location.y", 1),
    ):
        places = find(rig, cause_of(rig, control=control, channel=channel))
        assert len(places) == count, channel
        assert {place.key.co.x for place in places} == {20.0}
    assert find(rig, cause_of(rig, channel="rotation_euler.z"))[0].fcurve.data_path == NOD
