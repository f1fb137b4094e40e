# SPDX-License-Identifier: GPL-3.0-or-later
"""Measured signals as curves in the Graph Editor: right, harmless, and never in a saved file."""

import bpy
import numpy as np
import pytest
import rigs
from digest import difference, digest
from drawn import checked_session, pick

NAME = "Plumbline signals"


@pytest.fixture
def checked(ext):
    session = checked_session(ext)
    pick(session, "root", "foot.L")
    return session


@pytest.fixture
def shown(checked):
    assert bpy.ops.plumbline.signals() == {"FINISHED"}
    return bpy.data.objects[NAME]


def curves(item):
    return {each.data_path: each for each in rigs.fcurves(item)}


def value(item, name, frame):
    return curves(item)[f'["{name}"]'].evaluate(frame)


def answers(ext):
    return ext.addon.ui.last_check.last_check().examination


def undo_steps():
    bpy.context.preferences.edit.use_global_undo = True
    bpy.ops.ed.undo_push(message="before")


def test_curves_have_the_numbers_that_blender_shows(ext, shown):
    scene, rig = bpy.context.scene, bpy.data.objects["porter"]
    height = answers(ext).basis.height
    heads = []
    for frame in (16, 17):
        scene.frame_set(frame)
        heads.append(np.array(rig.matrix_world @ rig.pose.bones["foot.L"].head))
    moved = np.linalg.norm(heads[1] - heads[0]) * scene.render.fps * height.to_story
    assert value(shown, "Left foot speed, m/s", 17) == pytest.approx(moved, rel=1e-4)
    above = heads[1][2] - answers(ext).basis.ground.floor_z
    up = value(shown, "Left foot height, m", 17)
    assert up == pytest.approx(above * height.to_story, abs=1e-5)
    # As it plays, the property itself has the number.
    assert shown["Left foot height, m"] == pytest.approx(up)
    hip, knee, ankle = (np.array(rig.pose.bones[f"{n}.L"].head) for n in ("thigh", "shin", "foot"))
    reach = np.linalg.norm(ankle - hip) / (
        np.linalg.norm(knee - hip) + np.linalg.norm(ankle - knee)
    )
    told = value(shown, "Left leg reach, % of its length", 17)
    assert told == pytest.approx(100.0 * reach, abs=0.01)
    off = [value(shown, "Head off its neighbours' path, m", n) for n in range(1, 41)]
    assert int(np.argmax(off)) + 1 == 25  # where the head pops, and the finding is
    assert "Centre of mass height, m" in shown


def test_lengths_and_speeds_have_one_unit_which_is_the_scenes(ext, shown):
    metric = value(shown, "Left foot height, m", 17), value(shown, "Left foot speed, m/s", 17)
    bend = value(shown, "Left knee bend, degrees", 17)
    units = bpy.context.scene.unit_settings
    # An inch is 2.54 cm and a foot .3048 m, exactly (NIST Special Publication 811).
    for system, length, unit, metres in (
        ("IMPERIAL", "FEET", "ft", 0.3048),
        ("IMPERIAL", "INCHES", "in", 0.0254),
        ("METRIC", "CENTIMETERS", "cm", 0.01),
    ):
        units.system, units.length_unit = system, length
        bpy.ops.plumbline.signals()
        # One unit of length for all, so that one view holds them.
        told = {name.rpartition(", ")[2] for name in shown.keys() if not name.startswith("plumb")}  # noqa: SIM118
        assert told == {unit, f"{unit}/s", "degrees", "% of its length"}
        assert value(shown, f"Left foot height, {unit}", 17) == pytest.approx(metric[0] / metres)
        assert value(shown, f"Left foot speed, {unit}/s", 17) == pytest.approx(metric[1] / metres)
        assert value(shown, "Left knee bend, degrees", 17) == bend
    assert "Left foot height, m" not in shown


def test_every_frame_has_a_value_and_no_key_fills_the_timeline(shown):
    for curve in rigs.fcurves(shown):
        first = 2 if "speed" in curve.data_path else 1
        assert [point.co.x for point in curve.sampled_points] == list(range(first, 41))
        assert not len(curve.keyframe_points)
        assert curve.lock
        assert not curve.modifiers
    colours = [tuple(curve.color) for curve in rigs.fcurves(shown)]
    assert min(max(colour) for colour in colours) > 0.5
    assert len(set(colours)) == 6
    assert shown.hide_render
    assert all(group.hide_render for group in shown.users_collection)


def listed():
    """The curves that a Graph Editor shows."""
    window = bpy.context.window_manager.windows[0]
    area = window.screen.areas[0]
    before, area.type = area.type, "GRAPH_EDITOR"
    region = next(each for each in area.regions if each.type == "WINDOW")
    try:
        with bpy.context.temp_override(window=window, area=area, region=region):
            assert area.spaces[0].dopesheet.show_only_selected
            return [curve.data_path for curve in bpy.context.visible_fcurves]
    finally:
        area.type = before


@pytest.mark.parametrize("mode", ["OBJECT", "POSE"])
def test_they_are_listed_in_every_mode_and_nothing_else_is_selected(checked, mode):
    rig = bpy.data.objects["porter"]
    bpy.context.view_layer.objects.active = rig
    bpy.ops.object.mode_set(mode=mode)
    rig.select_set(True)
    bpy.ops.plumbline.signals()
    assert '["Root height, m"]' in listed()
    assert (bpy.context.mode, bpy.context.object) == (mode, rig)
    assert list(bpy.context.selected_objects) == [rig]
    bpy.data.objects[NAME].select_set(True)
    assert not bpy.data.objects[NAME].select_get()


def test_other_parts_have_their_curves_when_it_is_pressed_again(checked, shown):
    pick(checked, "hand.R")
    bpy.ops.plumbline.signals()
    names = set(shown.keys())
    assert {"Right hand speed, m/s", "Right elbow bend, degrees"} <= names
    assert "Left foot speed, m/s" not in names
    assert len([item for item in bpy.data.objects if item.name.startswith(NAME)]) == 1
    assert len([each for each in bpy.data.actions if each.name.startswith(NAME)]) == 1


def test_they_follow_the_next_check_and_make_no_answers_old(ext, shown):
    check = ext.addon.ui.last_check.last_check()
    bpy.context.view_layer.update()
    assert not ext.addon.ui.keys_since.have_changed(bpy.context.scene, check)
    before = value(shown, "Root height, m", 20)
    hidden = curves(shown)['["Root height, m"]']
    hidden.hide = True
    rig = bpy.data.objects["porter"]
    for frame in (1, 20, 40):
        rig.location = (0.0, 0.0, 0.0)
        rig.keyframe_insert("location", frame=frame)
    (up,) = [c for c in rigs.fcurves(rig) if c.data_path == "location" and c.array_index == 2]
    up.keyframe_points[1].co.y = 0.1
    up.update()
    bpy.ops.plumbline.check()
    basis = answers(ext).basis
    path = basis.positions[19, [b.title for b in basis.bodies].index("root"), 2]
    expected = (path - basis.ground.floor_z) * basis.height.to_story
    assert value(shown, "Root height, m", 20) == pytest.approx(expected, abs=1e-5)
    assert value(shown, "Root height, m", 20) != pytest.approx(before, abs=1e-4)
    assert curves(shown)['["Root height, m"]'].hide
    up.keyframe_points[1].co.y = 0.0
    up.update()
    update = ext.addon.ui.one_check.Check(bpy.context, watched=True)
    while not update.step():
        pass
    update.take(bpy.context)
    assert value(shown, "Root height, m", 20) == pytest.approx(before, abs=1e-4)


def test_a_check_is_the_same_with_them_there_and_they_are_nothing_to_check(ext, checked):
    def told():
        bpy.ops.plumbline.check()
        found = answers(ext)
        return found.basis.positions.tobytes(), [each.says for each in found.shot.findings]

    before = told()
    bpy.ops.plumbline.signals()
    assert told() == before
    scene = bpy.context.scene
    moving = ext.addon.sampling.scene_facts.moving_objects(scene)
    assert bpy.data.objects[NAME] not in moving
    bpy.context.view_layer.objects.active = bpy.data.objects[NAME]
    subject = ext.addon.ui.operators.chosen_subject(bpy.context, "")
    assert subject == bpy.data.objects["porter"]


def test_what_is_left_where_the_empty_was_deleted_is_not_saved_and_goes(shown, tmp_path):
    bpy.data.objects.remove(shown)
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "shot.blend"), copy=True)
    with bpy.data.libraries.load(str(tmp_path / "shot.blend")) as (found, _wanted):
        names = [*found.objects, *found.collections, *found.actions]
    assert not [name for name in names if "ignals" in name]
    assert NAME in bpy.data.collections
    assert bpy.ops.plumbline.remove_signals() == {"FINISHED"}
    assert NAME not in bpy.data.collections


@pytest.mark.parametrize("how", ["FULL_COPY", "LINK_COPY"])
def test_a_copied_scene_brings_none_of_them_into_a_file(shown, tmp_path, how):
    bpy.ops.scene.new(type=how)
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "shot.blend"), copy=True)
    with bpy.data.libraries.load(str(tmp_path / "shot.blend")) as (found, _wanted):
        names = [*found.objects, *found.collections, *found.actions]
    assert "porter" in names
    assert not [name for name in names if "ignals" in name]


def test_a_saved_file_has_nothing_of_them_and_they_are_there_as_before(shown, tmp_path):
    other = bpy.data.scenes.new("other")
    curves_before = {path: value(shown, path[2:-2], 17) for path in curves(shown)}
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "shot.blend"), copy=True)
    with bpy.data.libraries.load(str(tmp_path / "shot.blend")) as (found, _wanted):
        names = [*found.objects, *found.collections, *found.actions]
    assert "porter" in names
    assert not [name for name in names if "ignals" in name]
    assert bpy.data.objects[NAME] == shown
    assert shown.name in bpy.context.scene.objects
    assert shown.name not in other.objects
    assert '["Root height, m"]' in listed()
    assert {path: value(shown, path[2:-2], 17) for path in curves(shown)} == curves_before
    bpy.context.scene.frame_set(17)
    assert shown["Left foot height, m"] == pytest.approx(curves_before['["Left foot height, m"]'])


def test_what_an_autosave_has_kept_goes_as_the_file_is_opened(ext, shown, tmp_path):
    aside = ext.addon.signals.aside
    bpy.app.handlers.save_pre.remove(aside.put_aside)  # no autosave calls it
    try:
        bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "auto.blend"), copy=True)
    finally:
        bpy.app.handlers.save_pre.append(aside.put_aside)
    bpy.ops.wm.open_mainfile(filepath=str(tmp_path / "auto.blend"))
    assert "porter" in bpy.data.objects
    blocks = [*bpy.data.objects, *bpy.data.collections, *bpy.data.actions]
    assert not [block for block in blocks if "plumbline_signals_of" in block]


def test_undo_takes_them_away_and_redo_brings_them_with_the_answers_that_are_shown(ext, checked):
    undo_steps()
    bpy.ops.plumbline.signals()
    bpy.ops.ed.undo_push(message="signals")
    expected = value(bpy.data.objects[NAME], "Root height, m", 20)
    bpy.ops.wm.save_as_mainfile(filepath=str(bpy.app.tempdir) + "undo.blend", copy=True)
    bpy.data.objects["porter"].location.x = 3.0
    bpy.ops.ed.undo_push(message="moved")
    bpy.ops.ed.undo()
    assert value(bpy.data.objects[NAME], "Root height, m", 20) == expected
    bpy.ops.ed.undo()
    assert NAME not in bpy.data.objects
    bpy.ops.ed.redo()
    item = bpy.data.objects[NAME]
    assert value(item, "Root height, m", 20) == expected


def test_one_click_removes_them_and_nothing_else(checked):
    before = digest()
    bpy.ops.plumbline.signals()
    bpy.ops.plumbline.remove_signals()
    assert not difference(before, digest())
    assert not bpy.ops.plumbline.remove_signals.poll()
    bpy.ops.plumbline.signals()
    bpy.ops.plumbline.clear(kinds={"signals"})
    assert not difference(before, digest())


def test_where_time_is_stretched_curves_play_the_same(ext, checked):
    scene = bpy.context.scene
    scene.render.frame_map_old, scene.render.frame_map_new = 100, 150
    bpy.ops.plumbline.check()
    bpy.ops.plumbline.signals()
    item, found = bpy.data.objects[NAME], answers(ext)
    spot = ext.analysis.trails.Spot("root")
    speed = ext.analysis.spacing_strip.step_speed(found.basis, spot)
    for frame in (2, 17, 38):
        scene.frame_set(frame)
        assert item["Root speed, m/s"] == pytest.approx(speed[frame - 1], rel=1e-4)


def test_names_that_blender_would_cut_keep_their_units_and_awkward_ones_work(ext, checked):
    rig = bpy.data.objects["porter"]
    signal = ext.analysis.signals.Signal
    item = ext.addon.signals.ours.make_holder(bpy.context.scene, rig)
    long, quoted = "x" * 90 + " speed, m/s", 'the "left" \\ claw height, m'
    frames, values = np.arange(1.0, 4.0), np.array([np.nan, 2.0, 3.0])
    nothing = signal("never, cm", np.full(3, np.nan))
    told = [signal(long, values), signal(quoted, values), nothing]
    assert ext.addon.signals.curves.write_signals(item, frames, told) == 2
    names = [name for name in item.keys() if not name.startswith("plumbline")]  # noqa: SIM118
    assert names[0].endswith(" speed, m/s")
    assert names[1] == quoted
    for curve in rigs.fcurves(item):
        assert [point.co.y for point in curve.sampled_points] == [2.0, 3.0]
    bpy.context.scene.frame_set(3)
    assert item[quoted] == 3.0
