# SPDX-License-Identifier: GPL-3.0-or-later
"""All but the sphere is hidden, and shown again exactly as it was."""

import bpy
import pytest
import rigs
from command_line import save
from digest import difference, digest


def eyes():
    """{name: whether its eye is closed} in the view layer that is looked at."""
    layer = bpy.context.view_layer
    return {item.name: item.hide_get(view_layer=layer) for item in layer.objects}


def seen():
    return sorted(item.name for item in bpy.context.view_layer.objects if item.visible_get())


def a_set():
    """A baked rig among objects that are hidden in every way, a camera, a light, a support."""
    scene = bpy.context.scene
    rig = rigs.biped()
    for name in (
        "crate",
        "shelf",
        "eye",
        "monitor",
        "in a hidden collection",
        "in an excluded one",
    ):
        rigs.cube(name)
    rigs.cube("quay")["plumbline_bears_weight"] = True
    for name, data in (
        ("camera", bpy.data.cameras.new("camera")),
        ("light", bpy.data.lights.new("light", "SUN")),
    ):
        scene.collection.objects.link(bpy.data.objects.new(name, data))
    for name, member in (("closed", "in a hidden collection"), ("out", "in an excluded one")):
        made = bpy.data.collections.new(name)
        scene.collection.children.link(made)
        made.objects.link(bpy.data.objects[member])
        scene.collection.objects.unlink(bpy.data.objects[member])
    layers = bpy.context.view_layer.layer_collection.children
    layers["closed"].hide_viewport = True
    layers["out"].exclude = True
    bpy.data.objects["eye"].hide_set(True)
    bpy.data.objects["monitor"].hide_viewport = True
    bpy.data.objects["crate"].select_set(True)
    bpy.context.view_layer.objects.active = rig
    assert bpy.ops.plumbline.bake_sphere() == {"FINISHED"}
    bpy.context.view_layer.update()
    return rig


def flags():
    """Every switch by which anything is seen, selected or rendered, in all view layers."""
    found = {}
    for layer in bpy.context.scene.view_layers:
        for item in layer.objects:
            found[layer.name, item.name] = (
                item.hide_get(view_layer=layer),
                (item.hide_viewport, item.hide_render, item.hide_select, item.display_type),
                item.select_get(view_layer=layer),
                (item.is_holdout, item.visible_camera, item.hide_surface_pick)
                if hasattr(item, "hide_surface_pick")
                else (item.is_holdout, item.visible_camera),
            )
        waiting = [layer.layer_collection]
        while waiting:
            at = waiting.pop()
            waiting += at.children
            members = (at.collection.hide_viewport, at.collection.hide_render)
            own = (at.exclude, at.hide_viewport, at.holdout, at.indirect_only)
            found[layer.name, "collection", at.name] = (own, members, at.collection.hide_select)
        found[layer.name, "active"] = getattr(layer.objects.active, "name", None)
    return found


def view():
    """A 3D view of the window, asked for anew: another file may have been opened."""
    screen = bpy.context.window.screen
    return next(area for area in screen.areas if area.type == "VIEW_3D")


def seen_in_view():
    """What a 3D view in local view shows; without a window, 4.2 says so of evaluated objects."""
    bpy.context.view_layer.update()
    space, graph = view().spaces.active, bpy.context.evaluated_depsgraph_get()
    return sorted(
        item.name
        for item in bpy.context.view_layer.objects
        if item.visible_get()
        and (space.local_view is None or item.evaluated_get(graph).local_view_get(space))
    )


def local_view(*names):
    """Enter local view with these objects, or leave it without any."""
    for item in bpy.context.view_layer.objects:
        item.select_set(item.name in names)
    bpy.context.evaluated_depsgraph_get()
    area = view()
    region = next(each for each in area.regions if each.type == "WINDOW")
    with bpy.context.temp_override(window=bpy.context.window, area=area, region=region):
        bpy.ops.view3d.localview(frame_selected=False)
    bpy.context.view_layer.update()


def hide():
    assert bpy.ops.plumbline.hide_rest() == {"FINISHED"}


def show():
    assert bpy.ops.plumbline.show_again() == {"FINISHED"}


def test_only_the_sphere_and_what_bears_weight_are_seen():
    a_set()
    hide()
    assert seen() == ["camera", "light", "porter root sphere", "quay"]


@pytest.mark.parametrize("mode", ["OBJECT", "POSE"])
def test_shown_again_all_is_as_before(mode):
    rig = a_set()
    rig.select_set(True)
    bpy.ops.object.mode_set(mode=mode)
    before = digest()
    hide()
    show()
    assert difference(before, digest()) == {}


def test_hidden_twice_and_shown_once():
    a_set()
    before = digest()
    hide()
    hide()
    show()
    assert difference(before, digest()) == {}


def test_saved_and_opened_between(tmp_path):
    a_set()
    before, open_eyes = seen(), eyes()
    hide()
    path = save(tmp_path / "hidden.blend")
    bpy.ops.wm.open_mainfile(filepath=str(path), load_ui=False)
    assert seen() == ["camera", "light", "porter root sphere", "quay"]
    show()
    assert (seen(), eyes()) == (before, open_eyes)


def test_undone_and_redone():
    a_set()
    bpy.ops.ed.undo_push(message="before")
    before, open_eyes = seen(), eyes()
    bpy.ops.plumbline.hide_rest("EXEC_DEFAULT", True)
    bpy.ops.ed.undo()
    assert (seen(), eyes()) == (before, open_eyes)
    assert not bpy.ops.plumbline.show_again.poll()
    bpy.ops.ed.redo()
    assert seen() == ["camera", "light", "porter root sphere", "quay"]
    bpy.ops.plumbline.show_again("EXEC_DEFAULT", True)
    assert (seen(), eyes()) == (before, open_eyes)
    bpy.ops.ed.undo()
    assert seen() == ["camera", "light", "porter root sphere", "quay"]
    show()
    assert (seen(), eyes()) == (before, open_eyes)


def test_what_came_was_renamed_or_went_meanwhile(tmp_path):
    a_set()
    hide()
    rigs.cube("new and shown")
    rigs.cube("new and hidden").hide_set(True)
    bpy.data.objects["crate"].name = "box"
    bpy.data.objects.remove(bpy.data.objects["shelf"])
    bpy.context.view_layer.name = "another name"
    show()
    assert seen() == [
        "box",
        "camera",
        "light",
        "new and shown",
        "porter",
        "porter root sphere",
        "quay",
    ]
    assert not bpy.ops.plumbline.show_again.poll()


def test_only_the_view_layer_that_is_looked_at():
    a_set()
    other = bpy.context.scene.view_layers.new("other")
    hide()
    assert bpy.data.objects["crate"].hide_get()
    assert not bpy.data.objects["crate"].hide_get(view_layer=other)
    bpy.context.window.view_layer = other
    show()
    first = bpy.context.scene.view_layers[0]
    assert not bpy.data.objects["crate"].hide_get(view_layer=first)
    assert bpy.data.objects["eye"].hide_get(view_layer=first)


def a_set_with_every_switch():
    """The set, with switches of objects and collections in many states, and a bystander."""
    rig = a_set()
    crate, shelf = bpy.data.objects["crate"], bpy.data.objects["shelf"]
    crate.hide_render, shelf.hide_select = True, True
    crate.is_holdout = True
    shelf.display_type = "WIRE"
    made = bpy.data.collections.new("held out")
    bpy.context.scene.collection.children.link(made)
    made.hide_render = True
    children = bpy.context.view_layer.layer_collection.children
    children["held out"].holdout = True
    children["closed"].indirect_only = True
    for name in ("bystander", "in the held out"):
        rigs.cube(name)
    made.objects.link(bpy.data.objects["in the held out"])
    bpy.context.view_layer.update()
    return rig


def test_every_switch_is_as_before(tmp_path):
    a_set_with_every_switch()
    before = flags()
    hide()
    assert flags() != before
    path = save(tmp_path / "hidden.blend")
    bpy.ops.wm.open_mainfile(filepath=str(path), load_ui=False)
    show()
    assert flags() == before
    bpy.ops.ed.undo_push(message="shown")
    bpy.ops.plumbline.hide_rest("EXEC_DEFAULT", True)
    bpy.ops.ed.undo()
    assert flags() == before
    bpy.ops.ed.redo()
    bpy.ops.plumbline.show_again("EXEC_DEFAULT", True)
    assert flags() == before


def test_the_upright_copies_stay_and_come_into_sight():
    a_set()
    bpy.ops.plumbline.turn_upright(axis="SIDE")
    hide()
    bpy.ops.plumbline.turn_upright(axis="AHEAD")
    copies = [f"porter root sphere {what}" for what in ("ahead and back", "side to side")]
    assert seen() == ["camera", "light", "porter root sphere", *copies, "quay"]


def test_a_local_view_shows_the_ball_meanwhile(tmp_path):
    a_set_with_every_switch()
    bpy.ops.plumbline.turn_upright(axis="SIDE")
    local_view("crate", "porter")
    assert seen_in_view() == ["crate", "porter"]
    before = flags()
    hide()
    balls = ["porter root sphere", "porter root sphere side to side"]
    assert seen_in_view() == balls
    bpy.ops.plumbline.turn_upright(axis="AHEAD")
    balls.insert(1, "porter root sphere ahead and back")
    assert seen_in_view() == balls
    bpy.ops.plumbline.turn_upright(axis="AHEAD")
    path = save(tmp_path / "hidden.blend")
    bpy.ops.wm.open_mainfile(filepath=str(path))
    show()
    assert seen_in_view() == ["crate", "porter"]
    assert flags() == before
    local_view()
    assert "quay" in seen_in_view()


def test_a_ball_that_is_in_the_local_view_stays_there():
    a_set()
    local_view("crate", "porter root sphere")
    hide()
    hide()
    assert seen_in_view() == ["porter root sphere"]
    show()
    assert seen_in_view() == ["crate", "porter root sphere"]


def test_undone_in_a_local_view():
    a_set()
    local_view("crate")
    bpy.ops.ed.undo_push(message="before")
    before = flags()
    bpy.ops.plumbline.hide_rest("EXEC_DEFAULT", True)
    assert seen_in_view() == ["porter root sphere"]
    bpy.ops.ed.undo()
    assert (seen_in_view(), flags()) == (["crate"], before)
    bpy.ops.ed.redo()
    assert seen_in_view() == ["porter root sphere"]
    bpy.ops.plumbline.show_again("EXEC_DEFAULT", True)
    assert (seen_in_view(), flags()) == (["crate"], before)


def test_a_local_view_that_was_left_or_entered_anew_meanwhile():
    a_set()
    local_view("crate")
    hide()
    local_view()
    local_view("porter root sphere")
    show()
    assert seen_in_view() == ["porter root sphere"]
    local_view()
    local_view("crate")
    hide()
    local_view()
    show()
    assert "porter root sphere" in seen_in_view()


def test_the_ball_is_deleted_while_it_is_in_a_local_view():
    a_set()
    local_view("crate")
    hide()
    bpy.data.objects.remove(bpy.data.objects["porter root sphere"])
    show()
    assert seen_in_view() == ["crate"]


def test_removing_the_sphere_shows_the_rest_first():
    rigs.biped()
    rigs.cube("crate")
    rigs.cube("eye").hide_set(True)
    bpy.context.view_layer.update()
    before = digest()
    bpy.ops.plumbline.bake_sphere()
    hide()
    assert bpy.ops.plumbline.remove_sphere() == {"FINISHED"}
    assert difference(before, digest()) == {}


def test_the_rig_is_baked_again_while_it_is_hidden():
    a_set()
    hide()
    assert bpy.ops.plumbline.bake_sphere() == {"FINISHED"}
    assert seen() == ["camera", "light", "porter root sphere", "quay"]


def test_a_hidden_sphere_is_told():
    a_set()
    bpy.data.objects["porter root sphere"].hide_set(True)
    with pytest.raises(RuntimeError, match="'porter root sphere' is hidden here"):
        bpy.ops.plumbline.hide_rest()
    assert not bpy.data.objects["crate"].hide_get()


def test_without_a_sphere_there_is_nothing_to_press():
    rigs.biped()
    for name in ("hide_rest", "show_again", "remove_sphere"):
        assert not getattr(bpy.ops.plumbline, name).poll()
