# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a temporary scene does not give the real poses, and what is done then."""

import bpy
import numpy as np
import pytest
import rigs
from sampled import same_as_the_scene, sampled_exactly, scene_driver


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


@pytest.mark.parametrize("context", [True, False])
def test_drivers_that_read_the_scene(sampling, context):
    rig = rigs.biped()
    scene_driver(rig.pose.bones["chest"], "rotation_euler", 0, context=context)
    clip = sampled_exactly(sampling, rig)
    turned = np.ptp(
        clip.positions[:, clip.joint("head")] - clip.positions[:, clip.joint("hips")], axis=0
    )
    assert turned.max() > 0.05


def far_target(rig, reach):
    """An empty that a bone follows by way of `reach`; something else is to move the empty."""
    far = bpy.data.objects.new("far", None)
    bpy.context.scene.collection.objects.link(far)
    if reach == "constraint":
        constraint = rig.pose.bones["hand.L"].constraints.new("COPY_LOCATION")
        constraint.target = far
    elif reach == "parent":
        rig.parent = far
    elif reach == "driver":
        driver = rig.pose.bones["chest"].driver_add("rotation_euler", 0).driver
        variable = driver.variables.new()
        variable.name, variable.type = "far", "TRANSFORMS"
        variable.targets[0].id = far
        driver.type, driver.expression = "SCRIPTED", "far"
    else:
        between = rigs.armature("between", {"b": (None, (0, 0, 0), (0, 0, 1))})
        between.pose.bones["b"].constraints.new("COPY_LOCATION").target = far
        armature = rig.pose.bones["hand.R"].constraints.new("ARMATURE")
        target = armature.targets.new()
        target.target, target.subtarget = between, "b"
    return far


@pytest.mark.parametrize("reach", ["constraint", "parent", "driver", "another rig"])
def test_a_scene_driver_is_found_however_far_away(sampling, reach):
    rig = rigs.biped()
    far = far_target(rig, reach)
    scene_driver(far, "location", 2, context=False)
    sampled_exactly(sampling, rig)


def test_why_a_temporary_scene_does_not_do(ext):
    judge = ext.addon.sampling.exactness.judge

    def why(*args, **kwargs):
        return judge(*args, **kwargs).why

    scene, rig = bpy.context.scene, rigs.biped()
    assert why(scene, [rig]) == ""
    crate = rigs.cube("crate")
    rig.pose.bones["hand.L"].constraints.new("COPY_LOCATION").target = crate
    assert why(scene, [rig]) == ""
    crate.modifiers.new("sag", "SOFT_BODY")
    assert "a simulation deforms 'crate'" in why(scene, [rig])
    assert why(scene, [], placed=[crate]) == ""
    crate.modifiers.clear()
    rigs.rigid_body(crate)
    assert why(scene, [rig]) == "the rigid body 'crate' moves what is followed"
    crate.rigid_body.type = "PASSIVE"
    assert why(scene, [rig]) == ""


def turn_by(rig, expression):
    """Turn the chest by a scripted driver, in a scene whose keyed property is `wind`."""
    scene = bpy.context.scene
    for frame, value in ((1, 0.0), (40, 1.0)):
        scene["wind"] = value
        scene.keyframe_insert('["wind"]', frame=frame)
    rigs.drive(rig.pose.bones["chest"], "rotation_euler", 0, expression)


@pytest.mark.parametrize("kind", ["worlds", "materials"])
def test_a_driver_that_reads_what_the_scene_drives(sampling, kind):
    rig, scene = rigs.biped(), bpy.context.scene
    between = getattr(bpy.data, kind).new("between")
    between["x"] = 0.0
    scene_driver(between, '["x"]', -1, context=False)
    turn_by(rig, "x")
    driver = rig.animation_data.drivers[0].driver
    variable = driver.variables.new()
    variable.name = "x"
    variable.targets[0].id_type = kind[:-1].upper()
    variable.targets[0].id, variable.targets[0].data_path = between, '["x"]'
    scene.frame_set(1)
    clip = same_as_the_scene(sampling, rig)
    assert np.ptp(clip.positions[:, clip.joint("head"), 1]) > 0.2


def test_a_material_that_is_only_shown_does_not_count(ext):
    rig, cube = rigs.biped(), rigs.cube("cube")
    shown = bpy.data.materials.new("shown")
    shown["x"] = 0.0
    scene_driver(shown, '["x"]', -1, context=False)
    cube.data.materials.append(shown)
    rig.pose.bones["hand.L"].constraints.new("COPY_LOCATION").target = cube
    assert ext.addon.sampling.exactness.judge(bpy.context.scene, [rig]).why == ""


def doubled(value):
    """A function as an add-on may lend to drivers: it computes."""
    return np_double(value)


def np_double(value):
    return value * 2.0


def asks(_value):
    return bpy.context.scene["gale"]


def asks_by_another(value):
    return asks(value)


def imports(_value):
    import bpy as blender

    return blender.context.scene["gale"]


def asks_a_module(value):
    return rigs.bpy.context.scene["gale"] * value


class State:
    """What an add-on may keep: an instance that asks when it is read."""

    def read(self):
        return bpy.context.scene["gale"]


STATE = State()


def reads_an_instance(value):
    return STATE.read() * value


def with_an_empty_cell():
    def waiting(value):
        return later * value

    if bpy is None:
        later = 1.0
    return waiting


ASKING = (asks, asks_by_another, imports, asks_a_module, reads_an_instance, State)


@pytest.mark.parametrize(
    ("function", "stays"), [(doubled, True), (abs, True), *((each, False) for each in ASKING)]
)
def test_functions_that_others_lend_to_drivers(ext, sampling, function, stays):
    rig = rigs.biped()
    bpy.app.driver_namespace["lent"] = function
    try:
        # Not keyed: what a keyed property is while drivers run depends on Blender's threads.
        bpy.context.scene["gale"] = 0.3
        rigs.drive(rig.pose.bones["chest"], "rotation_euler", 0, "lent(frame * 0.01)")
        verdict = ext.addon.sampling.exactness.judge(bpy.context.scene, [rig])
        assert (verdict.why == "", verdict.only_here) == (stays, not stays)
        same_as_the_scene(sampling, rig)
    finally:
        del bpy.app.driver_namespace["lent"]


def test_a_function_with_nothing_in_its_cell(ext):
    rig = rigs.biped()
    bpy.app.driver_namespace["lent"] = with_an_empty_cell()
    try:
        turn_by(rig, "lent(frame * 0.01)")
        assert ext.addon.sampling.exactness.judge(bpy.context.scene, [rig]).why == ""
    finally:
        del bpy.app.driver_namespace["lent"]


def test_a_lent_name_beside_a_simulation_stays_with_this_blender(ext):
    rig, cube = rigs.biped(), rigs.cube("cube")
    cube.modifiers.new("sag", "SOFT_BODY")
    rig.pose.bones["hand.L"].constraints.new("COPY_LOCATION").target = cube
    bpy.app.driver_namespace["lent"] = asks
    try:
        turn_by(rig, "lent(frame * 0.01)")
        verdict = ext.addon.sampling.exactness.judge(bpy.context.scene, [rig])
        assert "a simulation" in verdict.why
        assert verdict.only_here
    finally:
        del bpy.app.driver_namespace["lent"]


@pytest.mark.parametrize(
    ("expression", "stays"),
    [
        ("sin(frame) + clamp(noise.random(), 0, 1) * pi if frame > max(3, 1) else 0", True),
        ("no_such_name + 1", True),
        ("bpy.context.scene.frame_current", False),
        ("depsgraph.scene.frame_current", False),
        ("__import__('bpy').context.scene.frame_current", False),
    ],
)
def test_names_in_scripted_drivers(ext, expression, stays):
    rig = rigs.biped()
    turn_by(rig, expression)
    bpy.context.scene.frame_set(2)  # Blender lends names of its own when drivers run
    verdict = ext.addon.sampling.exactness.judge(bpy.context.scene, [rig])
    assert (verdict.why == "", verdict.only_here) == (stays, False)


@pytest.mark.parametrize("which", ["first", "second"])
def test_drivers_that_read_the_view_layer(sampling, which):
    rig, scene = rigs.biped(), bpy.context.scene
    second = scene.view_layers.new("second")
    scene.view_layers[0]["turn"], second["turn"] = 0.2, 0.7
    bpy.context.window.view_layer = second if which == "second" else scene.view_layers[0]
    turn_by(rig, "turn")
    variable = rig.animation_data.drivers[0].driver.variables.new()
    variable.name, variable.type = "turn", "CONTEXT_PROP"
    variable.targets[0].context_property = "ACTIVE_VIEW_LAYER"
    variable.targets[0].data_path = '["turn"]'
    scene.frame_set(1)
    same_as_the_scene(sampling, rig)
