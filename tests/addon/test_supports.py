# SPDX-License-Identifier: GPL-3.0-or-later
"""Objects that bear weight: their boxes, frame by frame, against the real scene's."""

from itertools import product

import bpy
import numpy as np
import pytest
import rigs
from command_line import save
from digest import difference, digest
from sampled import asked, scene_driver

FRAMES = range(1, 41)
CORNERS = np.array([(*corner, 1.0) for corner in product((-0.5, 0.5), repeat=3)])


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


def crate(name="crate", *, declared=True):
    made = rigs.cube(name)
    if declared:
        made["plumbline_bears_weight"] = True
    return made


def boxes(clip):
    """Corners (S,T,8,3) of a clip's supports."""
    return np.einsum("stij,cj->stci", clip.supports, CORNERS)[..., :3]


def real_boxes(items, unit=1.0):
    """The same from the scene itself: each object's bound_box where it stands on each frame."""
    scene, found = bpy.context.scene, np.zeros((len(items), len(FRAMES), 8, 3))
    for t, frame in enumerate(FRAMES):
        scene.frame_set(frame)
        graph = bpy.context.evaluated_depsgraph_get()
        for s, item in enumerate(items):
            seen = item.evaluated_get(graph)
            corners = np.array([tuple(corner) for corner in item.bound_box])
            order = np.lexsort((corners[:, 2], corners[:, 1], corners[:, 0]))
            world = np.array(seen.matrix_world)
            found[s, t] = corners[order] @ world[:3, :3].T + world[:3, 3]
    return found * unit


def sampled_boxes(sampling, rig, items, unit=1.0):
    """A clip whose boxes are the scene's; nothing is changed by taking it."""
    bpy.context.view_layer.update()
    before = digest()
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert difference(before, digest()) == {}
    assert clip.meta.supports == tuple(item.name for item in items)
    np.testing.assert_allclose(boxes(clip), real_boxes(items, unit), atol=1e-5 * unit)
    return clip


def test_a_crate_that_stands(sampling):
    rig = rigs.biped()
    clip = sampled_boxes(sampling, rig, [crate()])
    expected = np.diag([0.5, 0.5, 0.5, 1.0])
    expected[:3, 3] = (0.6, 0.0, 1.0)
    np.testing.assert_allclose(clip.supports, np.tile(expected, (1, 40, 1, 1)), atol=1e-7)


def test_without_a_declaration_there_are_no_boxes(sampling):
    rig = rigs.biped()
    rigs.boathook(rig)
    crate(declared=False)["plumbline_bears_weight"] = False
    rig["plumbline_bears_weight"] = True
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert clip.supports is None
    assert clip.meta.supports == ()
    assert [prop.name for prop in clip.meta.props] == ["boathook"]


def test_a_carried_object_may_bear_weight_too(sampling):
    rig = rigs.biped()
    pole = rigs.boathook(rig)
    pole["plumbline_bears_weight"] = True
    clip = sampled_boxes(sampling, rig, [pole])
    assert np.ptp(clip.supports[0, :, :3, 3], axis=0).max() > 0.1
    assert [prop.name for prop in clip.meta.props] == ["boathook"]


def test_a_moving_scaled_turned_and_parented_crate(sampling):
    rig, cart = rigs.biped(), bpy.data.objects.new("cart", None)
    bpy.context.scene.collection.objects.link(cart)
    cart.scale, cart.rotation_euler = (1.0, 2.0, 0.5), (0.3, 0.2, 0.9)
    rigs.key(cart, "location", [(0, 0, 0), (1, 0.3, 0), (2, 0, 0.1)])
    one, two, three = crate("a keyed"), crate("b parented"), crate("c constrained")
    rigs.key(one, "location", [(0, 0, 0), (0, 0, 0.7), (1, 0, 0)])
    rigs.key(one, "rotation_euler", [(0, 0, 0), (0, 1, 0.4), (0, 0, 0)])
    one.scale = (3.0, 1.0, -0.5)
    two.parent = cart
    three.constraints.new("COPY_LOCATION").target = cart
    clip = sampled_boxes(sampling, rig, [one, two, three])
    assert np.ptp(clip.supports[..., :3, 3], axis=1).min(axis=0).max() > 0.9


@pytest.mark.parametrize("system", ["METRIC", "NONE"])
def test_boxes_are_in_metres(sampling, system):
    rig, units = rigs.biped(), bpy.context.scene.unit_settings
    units.system, units.scale_length = system, 0.01
    clip = sampled_boxes(sampling, rig, [crate()], 1.0 if system == "NONE" else 0.01)
    side = 0.5 if system == "NONE" else 0.005
    np.testing.assert_allclose(clip.supports[0, 0].diagonal(), [side, side, side, 1.0])


def hide(item, how):
    scene = bpy.context.scene
    collection = bpy.data.collections.new("set")
    scene.collection.children.link(collection)
    collection.objects.link(item)
    scene.collection.objects.unlink(item)
    item.hide_viewport = how == "viewport"
    if how == "eye":
        item.hide_set(True)
    bpy.context.view_layer.layer_collection.children["set"].exclude = how == "exclude"


@pytest.mark.parametrize("how", ["shown", "viewport", "eye", "exclude"])
@pytest.mark.parametrize("stepped", ["temporary scene", "the scene itself"])
def test_a_hidden_row_of_crates_in_a_collection(sampling, how, stepped):
    """Five in a row by a modifier, which a Blender that never showed them has not measured."""
    rig, item = rigs.biped(), crate()
    item.modifiers.new("row", "ARRAY").count = 5
    rigs.key(item, "location", [(0, 0, 0), (0, 0, 0.7), (1, 0, 0)])
    if stepped == "the scene itself":
        scene_driver(rig.pose.bones["chest"], "rotation_euler", 0, context=False)
    hide(item, how)
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    np.testing.assert_allclose(np.ptp(boxes(clip)[0, 0], axis=0), [2.5, 0.5, 0.5], atol=1e-6)
    np.testing.assert_allclose(clip.supports[0, [0, 19, 39], 2, 3], [0, 0.7, 0], atol=1e-6)
    assert not [block for block in bpy.data.objects if "plumbline" in block.name]


def test_a_crate_in_a_scene_that_is_not_looked_at(sampling):
    scene, rig, item = bpy.context.scene, rigs.biped(), crate()
    item.modifiers.new("row", "ARRAY").count = 5
    bpy.context.window.scene = bpy.data.scenes.new("another")
    (clip,) = sampling.sample(scene, [rig])
    np.testing.assert_allclose(np.ptp(boxes(clip)[0, 0], axis=0), [2.5, 0.5, 0.5], atol=1e-6)


def test_measuring_what_is_hidden_changes_nothing(sampling):
    rig, item = rigs.biped(), crate()
    hide(item, "viewport")
    item.driver_add("location", 0).driver.expression = "1.5"
    bpy.context.view_layer.update()
    before = digest()
    sampling.sample(bpy.context.scene, [rig])
    assert difference(before, digest()) == {}


def test_empties_curves_and_instances(sampling):
    rig, scene = rigs.biped(), bpy.context.scene
    empty = bpy.data.objects.new("a step", None)
    empty.empty_display_size, empty.scale = 0.3, (2.0, 1.0, 1.0)
    line = bpy.data.curves.new("line", "CURVE")
    line.splines.new("POLY").points.add(1)
    line.splines[0].points[1].co = (1.0, 2.0, 3.0, 1.0)
    rail = bpy.data.objects.new("b rail", line)
    stock = bpy.data.collections.new("stock")
    stock.instance_offset = (0.6, 0.0, 1.0)
    stock.objects.link(crate("in stock", declared=False))
    stack = bpy.data.objects.new("c stack", None)
    stack.instance_type, stack.instance_collection = "COLLECTION", stock
    stack.location, stack.rotation_euler = (5.0, 0.0, 0.0), (0.0, 0.0, 1.0)
    for item in (empty, rail, stack):
        scene.collection.objects.link(item)
        item["plumbline_bears_weight"] = True
    scene.collection.objects.unlink(bpy.data.objects["in stock"])
    bpy.context.view_layer.update()
    (clip,) = sampling.sample(scene, [rig])
    assert clip.meta.supports == ("a step", "b rail", "c stack")
    sizes = np.linalg.norm(clip.supports[:, 0, :3, :3], axis=1)
    expected = [[1.2, 0.6, 0.6], [1, 2, 3], [0.5, 0.5, 0.5]]
    np.testing.assert_allclose(sizes, expected, atol=1e-6)
    np.testing.assert_allclose(clip.supports[1, 0, :3, 3], [0.5, 1.0, 1.5], atol=1e-6)
    np.testing.assert_allclose(clip.supports[2, 0, :3, 3], [5.0, 0.0, 0.0], atol=1e-6)


def test_a_second_blender_gives_the_same_boxes(sampling, monkeypatch):
    rig, item = rigs.biped(), crate()
    item.modifiers.new("row", "ARRAY").count = 5
    rigs.key(item, "location", [(0, 0, 0), (0, 0, 0.7), (1, 0, 0)])
    rigs.boathook(rig)
    bpy.context.view_layer.update()
    (here,) = sampling.sample(bpy.context.scene, [rig])
    ((there,), _request) = asked(sampling, monkeypatch, [rig])
    np.testing.assert_array_equal(there.supports, here.supports)
    assert there.meta.supports == ("crate",)


def test_what_moves_a_support_is_followed(ext):
    """A crate that falls is no matter for a temporary scene, nor is one that a scene drives."""
    rigs.biped()
    item = crate()
    judge = ext.addon.sampling.exactness.judge
    rigs.rigid_body(item)
    placed = [each.item for each in ext.addon.sampling.supports.plan_supports(bpy.context.scene)]
    assert "'crate' moves what is followed" in judge(bpy.context.scene, [], placed).why


def test_a_crate_that_falls_is_sampled_where_it_falls(sampling):
    rig, item = rigs.biped(), crate()
    item.location.z = 30.0
    rigs.rigid_body(item)
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    fallen = clip.supports[0, 0, 2, 3] - clip.supports[0, 39, 2, 3]
    assert fallen == pytest.approx(0.5 * 9.81 * (39 / 24) ** 2, rel=0.05)


def test_a_support_without_a_position_is_told(sampling, analysis):
    rig, item = rigs.biped(), crate()
    rigs.drive(item, "location", 0, "1e30 * 1e30 * (frame > 7)")
    cart = bpy.data.objects.new("cart", None)
    bpy.context.scene.collection.objects.link(cart)
    cart.scale, item.parent = (1e30, 1e30, 1e30), cart
    with pytest.raises(analysis.PlumblineError, match="'crate', which bears weight") as caught:
        sampling.sample(bpy.context.scene, [rig])
    assert "at frame 8" in str(caught.value)


def test_a_declaration_comes_along_with_a_linked_object(sampling, tmp_path):
    crate()
    path = save(tmp_path / "set.blend")
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    rig = rigs.biped()
    own = crate()
    with bpy.data.libraries.load(str(path), link=True) as (_found, wanted):
        wanted.objects = ["crate"]
    bpy.context.scene.collection.objects.link(wanted.objects[0])
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert clip.meta.supports == (own.name_full, wanted.objects[0].name_full)
    assert len(clip.supports) == 2


def select(*items):
    for item in bpy.context.scene.objects:
        item.select_set(item in items)


def test_the_selected_bear_weight_and_no_longer(sampling):
    rig, one, two = rigs.biped(), crate("one", declared=False), crate("two", declared=False)
    select(one, two)
    assert bpy.ops.plumbline.bear_weight() == {"FINISHED"}
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert clip.meta.supports == ("one", "two")
    assert bpy.ops.plumbline.bear_no_weight(item="one") == {"FINISHED"}
    assert "plumbline_bears_weight" not in one
    assert bpy.ops.plumbline.bear_no_weight() == {"FINISHED"}
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert clip.supports is None


def test_bodies_and_rigs_without_one_are_left_out():
    rig, body, box = rigs.biped(), crate("body", declared=False), crate("box", declared=False)
    body.modifiers.new("skin", "ARMATURE").object = rig  # with no weights on any bone
    select(rig, body, box)
    bpy.ops.plumbline.bear_weight()
    declared = [item.name for item in bpy.data.objects if "plumbline_bears_weight" in item]
    assert declared == ["box"]
    bpy.data.objects.remove(body)
    select(rig)
    with pytest.raises(RuntimeError, match="'porter' is a rig without a body"):
        bpy.ops.plumbline.bear_weight()


def test_nothing_selected_is_told():
    crate(declared=False)
    select()
    with pytest.raises(RuntimeError, match="select some"):
        bpy.ops.plumbline.bear_weight()
    with pytest.raises(RuntimeError, match="select it"):
        bpy.ops.plumbline.bear_no_weight()


@pytest.mark.parametrize("override", [False, True])
def test_linked_objects_are_declared_in_their_own_file(tmp_path, override):
    crate(declared=False)
    path = save(tmp_path / "set.blend")
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    with bpy.data.libraries.load(str(path), link=True) as (_found, wanted):
        wanted.objects = ["crate"]
    item = wanted.objects[0]
    bpy.context.scene.collection.objects.link(item)
    if override:
        item = item.override_create(remap_local_usages=True)
    select(item)
    with pytest.raises(RuntimeError, match="in its own file"):
        bpy.ops.plumbline.bear_weight()
    assert "plumbline_bears_weight" not in item


def test_undo_takes_a_declaration_back():
    crate("one", declared=False)
    select(bpy.data.objects["one"])
    bpy.ops.ed.undo_push(message="before")
    bpy.ops.plumbline.bear_weight("EXEC_DEFAULT", True)
    assert "plumbline_bears_weight" in bpy.data.objects["one"]
    bpy.ops.ed.undo()
    assert "plumbline_bears_weight" not in bpy.data.objects["one"]
