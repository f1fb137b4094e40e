# SPDX-License-Identifier: GPL-3.0-or-later
"""The panel asks in the world or of the camera's picture, and tells styles and looks."""

import bpy
import drawn
import pytest
import rigs
from added import Paper


@pytest.fixture
def session():
    fresh = bpy.context.window_manager.plumbline
    fresh.rig, fresh.cycle, fresh.stage, fresh.space = "", "auto", "polish", "world"
    yield fresh
    fresh.space = "world"


def _popping():
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)


def _said(notes):
    return [note.says for note in notes]


def test_on_the_picture_sizes_are_per_cent_of_its_height(session):
    _popping()
    drawn.camera()
    session.space = "camera"
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    (line,) = session.findings
    assert "% of the picture's height" in line.says
    assert line.frame == 25
    (told,) = [says for says in _said(session.skipped) if says.endswith("in the world only.")]
    assert "slide, sink, stomp" in told


def test_a_panoramic_camera_is_told_where_its_picture_is_asked_for(ext, session, monkeypatch):
    _popping()
    drawn.camera("PANO")
    told = (
        "The camera 'camera' is panoramic, expected a perspective or an orthographic one: its "
        "picture is taken as if in perspective; choose another type for it, or look at paths in "
        "the world."
    )
    ui, texts = ext.addon.ui, []
    for module in (ui.choices, ui.trails_panel):
        draws = lambda _context, _layout, text, **_how: texts.append(text)  # noqa: E731
        monkeypatch.setattr(module, "draw_text", draws)

    def chosen():
        texts.clear()
        ui.choices._draw_more(bpy.context, Paper(), session)
        ui.trails_panel._draw_space(bpy.context, Paper(), session.trails)
        return texts

    bpy.ops.plumbline.check()
    assert told not in _said(session.skipped)
    assert chosen() == []
    session.trails.space = "camera"
    assert chosen() == [told]  # where the trails are
    session.trails.space = "check"
    session.space = "camera"
    bpy.ops.plumbline.check()
    assert told in _said(session.skipped)
    assert chosen() == [told, told]
    bpy.context.scene.camera.data.type = "PERSP"
    assert chosen() == []
    bpy.ops.plumbline.check()
    assert told not in _said(session.skipped)


def test_without_a_camera_it_says_what_to_do(session):
    _popping()
    bpy.context.scene.camera = None
    session.space = "camera"
    bpy.ops.plumbline.check()
    assert session.unjudged
    (told,) = [says for says in _said(session.skipped) if says.startswith("Pop, ")]
    assert told.endswith("the clip has no camera: choose one for the scene, or ask in the world.")


def test_animation_on_twos_is_said(session):
    rig = rigs.biped()
    modifiers = 0
    for curve in rigs.fcurves(rig):
        modifier = curve.modifiers.new("STEPPED")
        modifier.frame_step, modifier.frame_offset = 2, 1
        modifiers += 1
    assert modifiers
    bpy.ops.plumbline.check()
    assert _said(session.style) == [
        "The whole figure is animated on twos: spacing is judged from pose to pose."
    ]
