# SPDX-License-Identifier: GPL-3.0-or-later
"""From a finding to a declaration: what bears weight below a foot, and an event of its frames."""

from dataclasses import replace
from types import SimpleNamespace

import bpy
import pytest
import rigs
from added import select_objects
from drawn import fresh_session


def read(ext, **changes):
    """A checked biped, whose finding is one of its left foot at frame 20."""
    fresh_session(ext)
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    bpy.ops.plumbline.check()
    examination = ext.addon.ui.last_check.last_check().examination
    (finding,) = examination.shot.findings
    told = {"check": "slide", "part": "foot.L", "point": "foot.L", "peak_frame": 20.0}
    told = replace(finding, **{**told, "frames": (18.0, 22.4), **changes})
    ext.addon.ui.last_check.retell(replace(examination.shot, findings=(told,)))
    return rig


def slab(name, place, size=0.5):
    made = rigs.cube(name)
    made.location, made.scale = place, (size / 0.5, size / 0.5, 0.1)
    return made


def foot(ext, name="foot.L"):
    examination = ext.addon.ui.last_check.last_check().examination
    basis = examination.basis
    return basis.positions[19, basis.body(name)]


def bearing(ext):
    listed = ext.addon.sampling.supports.declared_supports(bpy.context.scene)
    return [item.name for item in listed]


def test_what_is_below_the_foot_bears_and_the_figure_s_own_does_not(ext):
    rig = read(ext)
    at = foot(ext)
    crate = slab("crate", (at[0], at[1], at[2] - 0.2))
    slab("cellar", (at[0], at[1], at[2] - 1.2))  # too far below to stand on
    own = slab("boot", (at[0], at[1], at[2] - 0.03), size=0.2)
    own.parent, own.parent_type, own.parent_bone = rig, "BONE", "foot.L"
    bpy.context.scene.frame_set(20)
    own.matrix_world.translation = (at[0], at[1], at[2] - 0.03)
    bpy.context.scene.frame_set(3)
    with pytest.raises(RuntimeError, match="go to frame 20"):
        bpy.ops.plumbline.bear_found()
    bpy.context.scene.frame_set(20)
    assert bpy.ops.plumbline.bear_found() == {"FINISHED"}
    assert bearing(ext) == ["crate"]
    assert ext.addon.ui.changes.why_old(bpy.context) == ext.addon.ui.changes.ASKED
    bpy.data.objects.remove(crate)
    with pytest.raises(RuntimeError, match="Nothing is below the left foot at frame 20"):
        bpy.ops.plumbline.bear_found()


def test_what_is_selected_comes_first(ext):
    rig = read(ext)
    step = slab("step", (3.0, 0.0, 0.1))
    select_objects(rig, step)
    assert bpy.ops.plumbline.bear_found() == {"FINISHED"}
    assert bearing(ext) == ["step"]


def test_another_character_bears_as_its_rig(ext):
    read(ext, check="balance", part=None, point="centre of mass")
    at = foot(ext, "foot.R")
    scene = bpy.context.scene
    horse = rigs.armature("horse", {"back": (None, (0, 0, 0), (0, 0, 0.1))})
    body = slab("hide", (at[0], at[1], at[2] - 0.2), size=0.3)
    body.vertex_groups.new(name="back").add(range(8), 1.0, "REPLACE")
    body.modifiers.new("skin", "ARMATURE").object = horse
    scene.frame_set(20)
    bpy.ops.object.select_all(action="DESELECT")
    assert bpy.ops.plumbline.bear_found() == {"FINISHED"}
    assert bearing(ext) == ["horse"]


def test_the_event_dialog_begins_with_the_finding_and_names_its_source(ext):
    rig = read(ext)
    operator = ext.addon.ui.events.PLUMBLINE_OT_declare_event
    asked = []
    context = SimpleNamespace(
        scene=bpy.context.scene,
        window_manager=SimpleNamespace(
            plumbline=bpy.context.window_manager.plumbline,
            invoke_props_dialog=lambda _self, **how: asked.append(how["confirm_text"]),
        ),
    )
    dialog = SimpleNamespace(of_finding=True)
    operator.invoke(dialog, context, None)
    assert asked == ["Declare"]
    assert (dialog.first, dialog.last, dialog.part) == (18, 23, "foot.L")
    bpy.ops.plumbline.declare_event(
        kind="hit", first=18, last=23, part="foot.L", source="crane hook"
    )
    (event,) = ext.addon.sampling.events.declared_events(bpy.context.scene, rig)
    text = "Hit by crane hook, frames 18 to 23, left foot"
    assert ext.addon.ui.events.event_text(event) == text
    bpy.ops.plumbline.check()
    clip = ext.addon.ui.last_check.last_check().examination.basis.clip
    assert clip.meta.events == (event,)
    style = [note.says for note in bpy.context.window_manager.plumbline.style]
    assert any("hit by 'crane hook', frames 18 to 23, left foot" in says for says in style)
