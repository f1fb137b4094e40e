# SPDX-License-Identifier: GPL-3.0-or-later
"""A ball is checked by Check and Watch as anything else is, beside its figure, whose feet tell when
it is in the air."""

import bpy
import numpy as np
import pytest
import rigs
from digest import difference, digest
from stepped import built

from demo_scenes.porter import hop_crate, sidestep


def session():
    return bpy.context.window_manager.plumbline


def bake(**choices):
    rigs.every_frame()
    for name, value in choices.items():
        setattr(bpy.context.window_manager.plumbline.sphere, name, value)
    assert bpy.ops.plumbline.bake_sphere() == {"FINISHED"}
    (ball,) = [item for item in bpy.context.scene.objects if "plumbline_sphere_of" in item]
    return ball


def check_ball(ext):
    assert bpy.ops.plumbline.ball_check() == {"FINISHED"}
    return ext.addon.ui.last_check.last_check()


def move_keys(ball, frames, by, axis=2):
    """Move a ball's keys on some frames, in Blender units."""
    curve = rigs.fcurves(ball)[axis]
    for key in curve.keyframe_points:
        if frames[0] <= key.co.x <= frames[1]:
            key.co.y += by
    curve.update()
    ball.animation_data.action.update_tag()
    bpy.context.view_layer.update()


def told(check):
    return {(each.check, each.part) for each in check.examination.shot.findings}


@pytest.mark.parametrize("polished", [False, True])
def test_a_turn_in_one_frame_is_told_side_to_side_on_the_ball(ext, polished):
    built(sidestep, polished=polished)
    bake()
    check = check_ball(ext)
    swings = [f for f in check.examination.shot.findings if f.check == "hang_time"]
    if polished:
        assert check.examination.shot.findings == ()
    else:
        (swing,) = swings
        assert 27 <= swing.peak_frame <= 29
        assert swing.says.startswith("The ball rocks to the side and back")
        assert "pushed sideways with 2.6 times its weight" in swing.says
        assert "can give 0.4 times" in swing.says


def test_the_ball_is_judged_by_its_figures_feet(ext):
    built(hop_crate, polished=True)
    bake()
    ball = check_ball(ext)
    assert bpy.ops.plumbline.ball_leave() == {"FINISHED"}
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    figure = ext.addon.ui.last_check.last_check()
    assert not figure.keys.ball
    basis = figure.examination.basis
    assert ball.examination.basis.flights == basis.flights
    assert ball.examination.basis.plants == basis.plants
    assert ball.examination.basis.height == basis.height
    assert len(basis.flights) > 0


def test_a_checked_ball_changes_nothing(ext):
    built(hop_crate, polished=False)
    bake()
    before = digest()
    check_ball(ext)
    assert difference(before, digest()) == {}


def test_what_is_done_to_the_ball_is_told(ext):
    built(hop_crate, polished=True)
    ball = bake()
    assert told(check_ball(ext)) == set()
    move_keys(ball, (20, 20), 0.05)
    changes = ext.addon.ui.changes
    assert changes.why_old(bpy.context) == changes.KEYS
    found = told(check_ball(ext))
    assert ("pop", "root") in found
    assert session().findings[0].says.startswith("The ball jumps 5.1 cm up at frame 20")
    move_keys(ball, (20, 20), -0.05)
    assert told(check_ball(ext)) == set()


def test_editing_the_ball_makes_the_figures_answers_no_older(ext):
    built(hop_crate, polished=True)
    ball = bake()
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    move_keys(ball, (20, 20), 0.05)
    assert ext.addon.ui.changes.why_old(bpy.context) == ""


def test_editing_the_figure_makes_the_balls_answers_old(ext):
    rig = built(hop_crate, polished=True)
    bake()
    check_ball(ext)
    curve = rigs.fcurves(rig)[0]
    curve.keyframe_points[0].co.y += 0.1
    curve.update()
    rig.animation_data.action.update_tag()
    bpy.context.view_layer.update()
    changes = ext.addon.ui.changes
    assert changes.why_old(bpy.context) == changes.KEYS


def test_watch_brings_the_balls_answers_up_to_date(ext):
    built(hop_crate, polished=True)
    ball = bake()
    check_ball(ext)
    session().watch = True
    loop = ext.addon.watch.loop
    try:
        for _ in range(60):
            loop.tick()
        move_keys(ball, (20, 20), 0.05)
        for _ in range(60):
            loop.tick()
        watched = ext.addon.ui.last_check.last_check()
        assert ("pop", "root") in told(watched)
        reading = ext.addon.watch.readings.last_of((watched.scene_uid, watched.rig_uid))
        assert reading is not None
        assert reading.sampled < 0.5 * len(watched.examination.basis.frames)
    finally:
        session().watch = False
    full = check_ball(ext)
    ids = [[f.id for f in each.examination.shot.findings] for each in (watched, full)]
    assert ids[0] == ids[1]
    one, other = (each.examination.basis.positions for each in (watched, full))
    assert np.array_equal(one, other)


def test_the_key_that_makes_it_is_told(ext):
    built(hop_crate, polished=True)
    ball = bake()
    move_keys(ball, (20, 20), 0.05)
    check_ball(ext)
    assert bpy.ops.plumbline.find_causes() == {"FINISHED"}
    check = ext.addon.ui.last_check.last_check()
    cause = check.examination.shot.findings[0].causes[0]
    assert (cause.control, cause.frame) == (ball.name, 20.0)


def test_without_its_rig_the_ball_is_judged_alone_and_it_is_told(ext):
    rig = built(hop_crate, polished=True)
    bake()
    bpy.data.objects.remove(rig)
    check_ball(ext)
    assert any("judged alone" in note.says for note in session().skipped)


def test_arcs_are_listed_and_lead_to_their_tops(ext):
    built(hop_crate, polished=True)
    bake()
    session().arcs.axis = "up"
    check = check_ball(ext)
    arcs = [arc for arc in ext.addon.sphere.arcs_rows.arcs_of(check) if arc.axis == "up"]
    assert [row.says for row in session().arcs.rows] == [arc.says for arc in arcs]
    free = next(n for n, arc in enumerate(arcs) if arc.free)
    session().arcs.active = free
    assert bpy.context.scene.frame_current == round(arcs[free].apex_frame)
    session().arcs.axis = "side"
    assert len(session().arcs.rows) == sum(
        arc.axis == "side" for arc in ext.addon.sphere.arcs_rows.arcs_of(check)
    )
    session().arcs.axis = "up"


@pytest.mark.parametrize("on", ["ROOT", "PELVIS", "COM"])
@pytest.mark.parametrize("follows", [False, True])
def test_a_clean_hop_is_clean_wherever_the_ball_stands(ext, on, follows):
    built(hop_crate, polished=True)
    session().sphere.on = on
    press = bpy.ops.plumbline.follow_sphere if follows else bpy.ops.plumbline.bake_sphere
    assert press() == {"FINISHED"}
    check = check_ball(ext)
    assert check.examination.shot.findings == ()
    free = [arc for arc in ext.addon.sphere.arcs_rows.arcs_of(check) if arc.free]
    assert len(free) == len(check.examination.basis.flights) == 2
    if on == "COM":
        assert [arc.fall_g for arc in free] == pytest.approx([1.0, 1.0], abs=0.05)


def test_a_ball_on_a_hand_is_asked_for_no_fall(ext):
    rig = built(hop_crate, polished=True)
    bpy.context.view_layer.objects.active = rig
    rig.data.bones.active = rig.data.bones["hand.L"]
    session().sphere.on = "CONTROL"
    assert bpy.ops.plumbline.bake_sphere() == {"FINISHED"}
    skipped = dict(check_ball(ext).examination.shot.skipped)
    assert {"gravity", "carry", "sway"} <= skipped.keys()
    assert "stands for the body" in skipped["gravity"]


def test_the_layer_of_the_ball_draws_feet_errors_and_the_path_as_upright_copies_go(ext):
    built(sidestep, polished=False)
    ball = bake()
    assert bpy.ops.plumbline.turn_upright(axis="SIDE") == {"FINISHED"}
    check = check_ball(ext)
    overlay, sphere = ext.addon.overlay, ext.addon.sphere
    asked = overlay.wanted.wanted(bpy.context)
    assert "upright" in asked.layers
    assert [axis for axis, _turned in asked.copies] == ["side"]
    sheet = overlay.built.sheet_of("upright", check, asked)
    (copy,) = sphere.ours.uprights_of(bpy.context.scene, ball)
    scene = bpy.context.scene
    for frame, place in zip(sheet.dots.frames, sheet.dots.points, strict=True):
        if frame in (1, 28, 55):
            scene.frame_set(int(frame))
            seen = copy.evaluated_get(bpy.context.evaluated_depsgraph_get())
            assert np.array(seen.matrix_world.translation) == pytest.approx(place, abs=1e-5)
    assert len(sheet.dots) == 72
    told = [text for note in sheet.notes for text in note.texts]
    # Once at the foot itself and once under the copy's extreme.
    assert told.count("left foot") == 2
    assert bpy.ops.plumbline.turn_upright(axis="SIDE") == {"FINISHED"}
    bpy.context.view_layer.update()
    without = overlay.built.sheet_of("upright", check, overlay.wanted.wanted(bpy.context))
    assert len(without.dots) == 0
    assert 0 < len(without.lines) < len(sheet.lines)


def test_each_frame_of_a_flight_has_a_line_to_its_free_path(ext):
    built(hop_crate, polished=False)
    bake()
    check = check_ball(ext)
    overlay = ext.addon.overlay
    sheet = overlay.built.sheet_of("upright", check, overlay.wanted.wanted(bpy.context))
    (fast,) = [a for a in ext.addon.sphere.arcs_rows.arcs_of(check) if a.free and a.fall_g > 1.5]
    at = (sheet.lines.frames[:, 0] == sheet.lines.frames[:, 1]) & (
        np.abs(sheet.lines.frames[:, 0] - fast.worst_frame) < 0.1
    )
    lengths = np.linalg.norm(np.diff(sheet.lines.ends[at], axis=1)[:, 0], axis=1)
    assert lengths.max() == pytest.approx(fast.off_m.max(), rel=0.01)
