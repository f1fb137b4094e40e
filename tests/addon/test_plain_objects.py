# SPDX-License-Identifier: GPL-3.0-or-later
"""Plain animated objects: sampled as one joint, checked from the panel and by name."""

import json

import bpy
import numpy as np
import pytest
import rigs
from command_line import save
from digest import difference, digest
from sampled import asked, scene_driver


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


@pytest.fixture
def session():
    fresh = bpy.context.window_manager.plumbline
    fresh.rig, fresh.cycle, fresh.stage, fresh.space = "", "auto", "polish", "world"
    return fresh


def hook(name="hook", *, jump=0.3):
    """A cube of half a metre that swings, keyed on every frame, and jumps on frame 21."""
    made = rigs.cube(name)
    frames = range(1, 41)
    path = [(np.sin(0.15 * f), 0.0, 2.0 - 0.3 * np.cos(0.3 * f)) for f in frames]
    path[20] = (path[20][0], path[20][1] + jump, path[20][2])
    rigs.key(made, "location", path, frames)
    rigs.set_range(1, 40)
    return made


def active(item):
    """Make an object the active one, as a click does."""
    bpy.ops.object.select_all(action="DESELECT")
    item.select_set(True)
    bpy.context.view_layer.objects.active = item


def sampled(sampling, item):
    """Its clip, taken without a trace and with the scene's own bits."""
    bpy.context.view_layer.update()
    before = digest()
    (clip,) = sampling.sample(bpy.context.scene, [item], first=1, last=40)
    assert difference(before, digest()) == {}
    worlds = real_worlds(item)
    np.testing.assert_array_equal(clip.positions[:, 0], worlds[:, :3, 3])
    return clip


def real_worlds(item):
    """(T,4,4) where an object stands in the scene on frames 1 to 40."""
    found = []
    for frame in range(1, 41):
        bpy.context.scene.frame_set(frame)
        seen = item.evaluated_get(bpy.context.evaluated_depsgraph_get())
        found.append(np.array(seen.matrix_world))
    return np.array(found)


def test_an_object_is_one_joint_with_two_named_ends(sampling):
    item = hook()
    item.scale = (1.0, 1.0, 3.0)
    clip = sampled(sampling, item)
    assert (clip.joints, clip.meta.name) == (("hook",), "hook")
    assert clip.points == ("hook base", "hook tip")
    assert clip.lengths.tolist() == pytest.approx([1.5])
    assert not clip.meta.roles
    assert clip.meta.props == ()
    assert {curve.drives for curve in clip.meta.curves} == {("hook",)}
    assert clip.channels == tuple(f"hook|location.{axis}" for axis in "xyz")
    np.testing.assert_allclose(clip.channel_values, clip.positions[:, 0], atol=1e-6)


def moved_by_parent():
    cart, item = bpy.data.objects.new("cart", None), rigs.cube("load")
    bpy.context.scene.collection.objects.link(cart)
    rigs.key(cart, "location", [(0, 0, 0), (1, 0.3, 0), (2, 0, 0.1)])
    item.parent = cart
    return item


def moved_by_constraint():
    item, target = rigs.cube("follower"), hook("leader")
    item.constraints.new("COPY_LOCATION").target = target
    return item


def an_empty():
    item = bpy.data.objects.new("null", None)
    bpy.context.scene.collection.objects.link(item)
    rigs.key(item, "rotation_euler", [(0, 0, 0), (1, 0.3, 0), (2, 0, 0.1)])
    rigs.key(item, "location", [(0, 0, 0), (1, 0.3, 0), (2, 0, 0.1)])
    return item


@pytest.mark.parametrize("make", [moved_by_parent, moved_by_constraint, an_empty])
def test_whatever_moves_an_object(sampling, make):
    assert np.ptp(sampled(sampling, make()).positions, axis=0).max() > 0.9


def test_a_hidden_object_moves_all_the_same(sampling):
    item = hook()
    shown = sampled(sampling, item)
    item.hide_viewport = True  # the scene itself would no longer say where it is
    (clip,) = sampling.sample(bpy.context.scene, [item], first=1, last=40)
    np.testing.assert_array_equal(clip.positions, shown.positions)


def test_an_object_whose_driver_reads_the_scene(sampling):
    item = hook()
    scene_driver(item, "rotation_euler", 0, context=False)
    (clip,) = sampling.sample(bpy.context.scene, [item], first=1, last=40)
    assert np.ptp(clip.rotations[:, 0, 1]) > 0.3


def test_a_second_blender_is_asked_for_an_object(sampling, monkeypatch):
    (clip,), sent = asked(sampling, monkeypatch, [hook()])
    assert sent["rigs"] == ["hook"]
    assert clip.joints == ("hook",)


def test_what_an_object_does_is_judged_and_what_it_lacks_is_said(session):
    item = hook()
    active(item)
    before = digest()
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    assert difference(before, digest()) == {}
    assert session.headline.startswith("hook, frames 1 to 40: 1 major finding.")
    (line,) = session.findings
    assert line.says.startswith("The hook jumps 30.0 cm")
    assert (line.title, line.frame) == ("hook: pop", 21)
    told = {note.says for note in session.skipped}
    assert "Slide: no foot is known, and only feet can slide." in told
    why = "the centre of mass is not known: trunk and both legs are needed."
    assert f"Hang time, gravity, push, carry, balance: {why}" in told


def test_the_active_object_is_checked_where_it_moves_by_itself(session):
    rig, free = rigs.biped(), hook()
    body, still = rigs.cube("body"), rigs.cube("still")
    body.modifiers.new("skin", "ARMATURE").object = rig
    pole = rigs.boathook(rig)
    for item, name in (
        (free, "hook"),
        (rig, "porter"),
        (body, "porter"),
        (pole, "porter"),
        (still, "porter"),
    ):
        active(item)
        assert bpy.ops.plumbline.check() == {"FINISHED"}
        assert session.headline.startswith(f"{name}, ")
    active(rig)
    session.rig = "hook"
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    assert session.headline.startswith("hook, ")


def test_without_rigs_the_first_moving_object_is_checked(session):
    hook("b hook")
    hook("a hook")
    active(rigs.cube("still"))
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    assert session.headline.startswith("a hook, ")


def test_the_command_takes_the_name_of_an_object(tmp_path, ext):
    rigs.biped()
    hook()
    path = save(tmp_path / "shot.blend")
    told = tmp_path / "shot.json"
    code = ext.addon.command.main(["check", str(path), "--rig", "hook", "--json", str(told)])
    assert code == 10
    (shot,) = json.loads(told.read_text("utf-8"))["shots"]
    assert shot["rig"] == "hook"
    assert [finding["check"] for finding in shot["findings"]] == ["pop"]
    code = ext.addon.command.main(["check", str(path), "--json", str(told)])
    assert [shot["rig"] for shot in json.loads(told.read_text("utf-8"))["shots"]] == ["porter"]


def test_what_cannot_be_checked_is_told_in_one_sentence(sampling):
    rig = rigs.biped()
    rigs.cube("still")
    rigs.cube("body").parent = rig
    scene = bpy.context.scene
    for name, why in (
        ("still", "the object 'still' has no animation, expected keys"),
        ("body", "the object 'body' moves with the rig 'porter', expected the rig itself"),
        ("nobody", "there is no rig 'nobody', expected one of porter"),
    ):
        with pytest.raises(ext_error(sampling), match=why):
            sampling.pick.pick_rigs(scene, [name])


def ext_error(sampling):
    return sampling.pick.PlumblineError


def test_a_rig_is_meant_before_an_object_of_its_name(sampling):
    rig = rigs.biped("twin")
    item = hook("other")
    assert sampling.pick.pick_rigs(bpy.context.scene, ["twin", "other"]) == [rig, item]
