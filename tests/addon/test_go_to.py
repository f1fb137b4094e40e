# SPDX-License-Identifier: GPL-3.0-or-later
"""A click on a line: the frame, the control and its key, wherever kept, whatever hides it."""

from dataclasses import replace
from types import SimpleNamespace

import bpy
import pytest
import rigs
from added import Paper, overridden
from drawn import fresh_session
from explained import cause_of, curve_of, edit, tell


def popping(ext):
    """A checked biped whose head pops at frame 25."""
    session = fresh_session(ext)
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    bpy.context.scene.frame_set(3)
    return session, rig


def selected_keys(rig):
    """{(bone, path, index): frames} of the selected keys of what plays."""
    found = {}
    for path in ("head", "hips", "thigh.L"):
        for name in ("rotation_euler", "location"):
            for index in range(3):
                try:
                    curve = curve_of(rig, f'pose.bones["{path}"].{name}', index)
                except StopIteration:
                    continue
                frames = [k.co.x for k in curve.keyframe_points if k.select_control_point]
                if frames:
                    found[path, name, index] = frames
    return found


def selected_bones(rig):
    return [b.name for b in rig.pose.bones if (b if hasattr(b, "select") else b.bone).select]


def with_shift(ext):
    """By mouse with Shift: the frame only."""
    operator = ext.addon.ui.go_to.PLUMBLINE_OT_go_to
    stand_in = SimpleNamespace(select=True, frame_view=True, index=0)
    stand_in.execute = lambda context: operator.execute(stand_in, context)
    assert operator.invoke(stand_in, bpy.context, SimpleNamespace(shift=True)) == {"FINISHED"}
    assert (bpy.context.scene.frame_current, bpy.context.mode) == (25, "OBJECT")
    assert not stand_in.select
    assert not stand_in.frame_view
    bpy.context.scene.frame_set(3)


def in_edit_mode(ext):
    """Only the frame moves, and why is told."""
    bpy.ops.object.mode_set(mode="OBJECT")
    bpy.context.scene.frame_set(3)
    crate = rigs.cube("crate")
    bpy.context.view_layer.objects.active = crate
    bpy.ops.object.mode_set(mode="EDIT")
    bpy.ops.plumbline.go_to(index=0)
    assert (bpy.context.scene.frame_current, bpy.context.mode) == (25, "EDIT_MESH")
    (finding,) = ext.addon.ui.causes_session.all_findings()
    told = ext.addon.ui.go_to.select_target(bpy.context, finding)
    assert told == "Only the playhead moved: leave Edit Mode to select hips."


def test_frame_control_and_key_without_causes_and_with_them(ext):
    _session, rig = popping(ext)
    bpy.ops.plumbline.check()
    with_shift(ext)
    assert bpy.ops.plumbline.go_to(index=0) == {"FINISHED"}
    assert (bpy.context.scene.frame_current, bpy.context.mode) == (25, "POSE")
    assert (bpy.context.object, selected_bones(rig)) == (rig, ["head"])
    assert rig.data.bones.active.name == "head"
    assert selected_keys(rig) == {("head", "rotation_euler", 0): [25.0]}
    assert not ext.addon.ui.changes.why_old(bpy.context)  # selecting is no change
    tell(ext, [[cause_of(rig, control=None, channel=None), cause_of(rig)]])
    bpy.ops.plumbline.go_to(index=0)
    assert {f for frames in selected_keys(rig).values() for f in frames} == {20.0}
    tell(ext, [[cause_of(rig, control="hips", channel=None, action_frame=None)]])
    (finding,) = ext.addon.ui.causes_session.all_findings()
    told = ext.addon.ui.go_to.select_target(bpy.context, finding)
    assert told == "hips is selected; it has no key at frame 25, the nearest one is at 20."
    assert (selected_bones(rig), selected_keys(rig)) == (["hips"], {})
    in_edit_mode(ext)


def test_where_causes_are_not_known_the_part_to_mend_is_selected_and_the_advised_key(ext):
    """What shows a finding is another part: a head that jumps, carried by the hips."""
    _session, rig = popping(ext)
    bpy.ops.plumbline.check()
    target = ext.addon.ui.go_to_target
    scene, check = bpy.context.scene, ext.addon.ui.last_check.last_check()
    (finding,) = check.examination.shot.findings
    lead = check.examination.basis.bodies[check.examination.basis.lead]
    assert finding.point.startswith("head")
    carried = replace(finding, part=lead.part, body=lead.title)
    control = target.control_of(scene, check, carried)
    assert control.name == "hips"
    assert target.target_of(scene, control, carried).says.startswith("hips is selected; it has no")
    # The advice names a frame that has a key, and then a control.
    advice = replace(finding.suggestion, frame=20.0, edits=(), key=None)
    at = replace(carried, suggestion=advice)
    assert target.target_of(scene, control, at).says == "hips, key 20: selected."
    typed = replace(advice, edits=(edit("x", 0.1, 0.2, control="thigh.L"),))
    assert target.control_of(scene, check, replace(at, suggestion=typed)).name == "thigh.L"
    assert selected_bones(rig) == []


def test_the_key_is_found_through_a_strip_s_time(ext):
    """Frames 1 to 40 slowed to half speed from frame 11 on, and again from 89 on: checked there."""
    session, rig = popping(ext)
    strip = rigs.push_to_strip(rig, scale=2.0, start=11)
    other = rig.animation_data.nla_tracks.new()
    other.select = True
    first = 11 + 78
    strip.repeat = 2.0
    rigs.set_range(first, first + 77)
    bpy.ops.plumbline.check()
    line = next(n for n, each in enumerate(session.findings) if each.title == "Head: pop")
    assert session.findings[line].frame == first + 48
    told = ext.addon.ui.go_to.select_target(
        bpy.context, ext.addon.ui.causes_session.all_findings()[line]
    )
    assert told.startswith(f"head, key {first + 48}: selected. It is in the strip 'porter")
    assert selected_keys(rig) == {("head", "rotation_euler", 0): [25.0]}
    track = rig.animation_data.nla_tracks[0]
    assert (strip.select, track.select, other.select) == (True, True, False)
    assert rig.animation_data.nla_tracks.active == track
    rig.animation_data.use_tweak_mode = True  # its keys are in sight
    assert rig.animation_data.action is not None
    for key in curve_of(rig, 'pose.bones["hips"].location').keyframe_points:
        key.select_control_point = True
    told = ext.addon.ui.go_to.select_target(
        bpy.context, ext.addon.ui.causes_session.all_findings()[line]
    )
    assert told.endswith(f"selected. It is in the strip {strip.name!r}.")
    assert selected_keys(rig) == {("head", "rotation_euler", 0): [25.0]}
    assert rig.animation_data.use_tweak_mode


def test_an_overridden_rig_is_posed_and_a_linked_one_is_only_selected(ext, tmp_path):
    popping(ext)
    rig = overridden(tmp_path)
    rigs.set_range(1, 40)
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    bpy.ops.plumbline.go_to(index=0)
    assert (bpy.context.object, selected_bones(rig)) == (rig, ["head"])
    bpy.ops.wm.read_homefile(use_empty=True)
    with bpy.data.libraries.load(str(tmp_path / "library.blend"), link=True) as (_f, asked):
        asked.objects = ["porter"]
    (linked,) = asked.objects
    bpy.context.scene.collection.objects.link(linked)
    rigs.set_range(1, 40)
    bpy.ops.plumbline.check()
    assert len(bpy.context.window_manager.plumbline.findings) == 1
    bpy.ops.plumbline.go_to(index=0)
    assert (bpy.context.object, bpy.context.mode, linked.select_get()) == (linked, "OBJECT", True)
    (finding,) = ext.addon.ui.causes_session.all_findings()
    told = ext.addon.ui.go_to.select_target(bpy.context, finding)
    assert told.startswith("'porter' is linked, so it is selected and its control head cannot be")


def hide_all(rig):
    """Hide the head in every way; what must come back, and what must stay hidden."""
    bones, scene = rig.data.collections, bpy.context.scene
    upper = bones.new("Upper")
    lower = bones.new("Lower", parent=upper)
    lower.assign(rig.data.bones["head"])
    other = bones.new("Other")
    other.assign(rig.data.bones["hips"])
    upper.is_visible = lower.is_visible = other.is_visible = False
    head = rig.pose.bones["head"]
    for bone in (head, rig.pose.bones["neck"]):
        (bone if hasattr(bone, "hide") else bone.bone).hide = True
    shelf = bpy.data.collections.new("shelf")
    scene.collection.children.link(shelf)
    scene.collection.objects.unlink(rig)
    shelf.objects.link(rig)
    rig.hide_set(True)
    bpy.context.view_layer.layer_collection.children["shelf"].exclude = True
    return other


def test_show_shows_what_hides_the_control_and_nothing_else(ext):
    _session, rig = popping(ext)
    bpy.ops.plumbline.check()
    assert not bpy.ops.plumbline.show_control.poll()
    other = hide_all(rig)
    (finding,) = ext.addon.ui.causes_session.all_findings()
    told = ext.addon.ui.go_to.select_target(bpy.context, finding)
    assert told == (
        "Only the playhead moved: 'porter' is hidden. Press Show below the list to see it."
    )
    paper = Paper()
    with pytest.MonkeyPatch.context() as patch:
        panel = ext.addon.ui.go_to_panel
        patch.setattr(panel, "draw_text", lambda _c, layout, text, icon: layout.label(text=text))
        panel.draw_go_to(bpy.context, paper, finding)
    assert paper.lines[0][0].startswith("head is out of sight: the collection 'shelf'")
    assert paper.buttons[0][0] == "plumbline.show_control"
    hidden = ext.addon.ui.hidden
    _control, hiders = ext.addon.ui.show_control.hidden_control(bpy.context)
    assert hidden.hidden_text("head", hiders) == (
        "head is out of sight: the collection 'shelf' is excluded from the view layer, head is "
        "hidden, the bone collection 'Upper' is hidden and the bone collection 'Lower' is hidden."
    )
    assert bpy.ops.plumbline.show_control() == {"FINISHED"}
    assert not bpy.ops.plumbline.show_control.poll()
    assert rig.visible_get()
    assert rig.data.collections_all["Lower"].is_visible_effectively
    assert not other.is_visible
    neck = rig.pose.bones["neck"]
    assert (neck if hasattr(neck, "hide") else neck.bone).hide
    assert selected_bones(rig) == ["head"]
    other.is_solo = True
    assert bpy.ops.plumbline.show_control() == {"FINISHED"}
    assert other.is_solo  # joined, not replaced
    assert rig.data.collections_all["Lower"].is_visible_effectively


def test_a_camera_s_finding_selects_the_camera(ext):
    scene = bpy.context.scene
    camera = bpy.data.objects.new("shot", bpy.data.cameras.new("shot"))
    scene.collection.objects.link(camera)
    rigs.key(camera, "location", [(0, -8, 1), (1, -8, 1), (2, -8, 1)])
    finding = SimpleNamespace(part="camera", peak_frame=20.0, suggestion=None)
    scene.camera = camera
    check = SimpleNamespace(rig_in=lambda _scene: None)
    targets = ext.addon.ui.go_to_target
    control = targets.control_of(scene, check, finding)
    assert (control.owner, control.bone) == (camera, None)
    target = targets.target_of(scene, control, finding)
    assert len(target.places) == 3
    assert target.says == "shot, key 20: selected."
