# SPDX-License-Identifier: GPL-3.0-or-later
"""Whatever a user does while a check or a search goes on, it ends in a sentence or goes on."""

import bpy
import pytest
import rigs
from drawn import fresh_session
from searched import event, in_window, stand_in


@pytest.fixture
def press(ext, monkeypatch):
    """Begins a check, a frame a tick; gives what ticks it."""
    checking = ext.addon.ui.checking
    for name in ("READ_S", "JUDGE_S", "MOST_S", "QUIET_S"):
        monkeypatch.setattr(checking, name, 0.0)
    fresh_session(ext)
    rigs.spike(rigs.biped().pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    context, _timers, told = in_window(monkeypatch, ext.addon.ui.stepped)

    def begin(until):
        me = stand_in(checking.PLUMBLINE_OT_check)
        me.invoke(context, None)
        done = {"PASS_THROUGH"}
        while done == {"PASS_THROUGH"} and not (told and str(told[-1]).startswith(until)):
            done = me.modal(context, event("TIMER", "NOTHING"))
        return me, lambda: me.modal(context, event("TIMER", "NOTHING"))

    yield begin
    ext.addon.ui.stepped.end_all()


def remove_the_rig():
    bpy.data.objects.remove(bpy.data.objects["porter"])


def remove_its_data():
    bpy.data.armatures.remove(bpy.data.armatures["porter"])


def remove_the_action():
    bpy.data.actions.remove(bpy.data.objects["porter"].animation_data.action)


def leave_the_scene():
    first = bpy.context.scene
    bpy.context.window.scene = bpy.data.scenes.new("other")
    bpy.data.scenes.remove(first)


def unlink_the_rig():
    bpy.context.scene.collection.objects.unlink(bpy.data.objects["porter"])


CHANGES = [remove_the_rig, remove_its_data, remove_the_action, leave_the_scene, unlink_the_rig]


@pytest.mark.parametrize("until", ["Reading frames 10", "Judging"])
@pytest.mark.parametrize("change", CHANGES)
def test_what_is_removed_meanwhile_ends_in_a_sentence_or_in_old_answers(ext, press, until, change):
    me, tick = press(until)
    change()
    bpy.context.view_layer.update()
    done = {"PASS_THROUGH"}
    while done == {"PASS_THROUGH"}:
        done = tick()
    session = bpy.context.window_manager.plumbline
    if done == {"CANCELLED"}:
        (sentence,) = me.reports
        assert sentence.endswith((": press Check again.", ": check again."))
        assert not session.headline
    else:
        assert until == "Judging"
        assert ext.addon.ui.changes.why_old(bpy.context) == ext.addon.ui.changes.KEYS


def test_saving_meanwhile_writes_nothing_of_ours_and_ends_nothing(ext, press, tmp_path):
    _me, tick = press("Reading frames 10")
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "shot.blend"), copy=True)
    done = {"PASS_THROUGH"}
    while done == {"PASS_THROUGH"}:
        done = tick()
    assert done == {"FINISHED"}
    assert not ext.addon.ui.changes.why_old(bpy.context)
    with bpy.data.libraries.load(str(tmp_path / "shot.blend")) as (held, _asked):
        assert held.scenes == [bpy.context.scene.name]
        assert held.objects == ["porter"]


def test_selecting_keys_meanwhile_ends_nothing(ext, press):
    _me, tick = press("Reading frames 10")
    for curve in rigs.fcurves(bpy.data.objects["porter"]):
        curve.keyframe_points[1].select_control_point = True
    bpy.data.objects["porter"].animation_data.action.update_tag()
    bpy.context.view_layer.update()
    done = {"PASS_THROUGH"}
    while done == {"PASS_THROUGH"}:
        done = tick()
    assert done == {"FINISHED"}
    assert not ext.addon.ui.changes.why_old(bpy.context)


def test_checking_and_finding_causes_leave_a_saved_file_saved(tmp_path):
    rigs.spike(rigs.biped().pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "shot.blend"))
    if bpy.data.is_dirty:
        pytest.skip("Blender's module tells this from 5.2 on")
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    assert bpy.ops.plumbline.find_causes() == {"FINISHED"}
    assert not bpy.data.is_dirty
    bpy.ops.plumbline.go_to("EXEC_DEFAULT", True, index=0)
    assert bpy.data.is_dirty  # as with any step of undo
