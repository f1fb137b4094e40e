# SPDX-License-Identifier: GPL-3.0-or-later
"""The spacing strip: which point it shows, where it stands, and when it is made anew."""

from dataclasses import replace
from types import SimpleNamespace

import bpy
import numpy as np
import pytest
from drawn import checked_session, pick


@pytest.fixture
def strip(ext):
    return ext.addon.strip


@pytest.fixture
def checked(ext):
    return checked_session(ext)


class EveryPiece(dict):
    """Each piece of letters is 7 pixels wide."""

    def __missing__(self, piece):
        return (0, 0, 9, 7.0)


PICTURE = SimpleNamespace(places=EveryPiece())


def shown(ext):
    check = ext.addon.ui.last_check.last_check()
    now = ext.addon.strip.wanted.in_world(
        bpy.context, ext.addon.overlay.wanted.wanted(bpy.context), check
    )
    return ext.addon.strip.wanted.strip_shown(check, now.choice)


def region(kind, x, y, width, height):
    return SimpleNamespace(type=kind, x=x, y=y, width=width, height=height)


def test_it_shows_the_findings_point_else_the_picked_one_else_the_lead(ext, checked):
    pick(checked, "hand.L")
    assert shown(ext).name == "Head"
    checked.trails.finding = False
    assert shown(ext).name == "Left hand"
    pick(checked)
    assert shown(ext).name == "Root"


def test_what_is_told_at_the_playhead_is_the_step_that_blender_shows(ext, strip, checked):
    scene, rig = bpy.context.scene, bpy.data.objects["porter"]
    pick(checked, "foot.L")
    checked.trails.finding = False
    places = []
    for frame in (16, 17):
        scene.frame_set(frame)
        places.append(rig.matrix_world @ rig.pose.bones["foot.L"].head)
    made = shown(ext)
    height = ext.addon.ui.last_check.last_check().examination.basis.height
    stepped = (places[1] - places[0]).length * scene.render.fps * height.to_story
    assert made.speed[16] == pytest.approx(stepped, rel=1e-4)
    assert strip.wanted.told_at(made, 17.0) == f"f 17: {stepped:.1f} m/s"
    assert strip.wanted.told_at(made, 1.0) == "f 1: begins"
    assert strip.wanted.told_at(made, 90.0) == ""


def test_bars_are_as_high_as_steps_are_fast_and_stay_in_the_chart(ext, strip):
    speed = np.array([np.nan, 1.0, 0.0, 2.0, 4.0, np.nan, 1.0])
    made = ext.analysis.spacing_strip.SpacingStrip(
        "Root", np.arange(1.0, 8.0), speed, 2.0, np.array([4]), 4
    )
    assert strip.wanted.told_full(made) == "cut at 2.0 m/s"
    assert strip.wanted.told_full(replace(made, full=4.0)) == "top 4.0 m/s"
    chart = strip.shapes.chart_of(made, 264.0, 74.0, 1.0)
    known = np.isfinite(speed)
    share = (chart.tops[known] - chart.bottom) / (chart.top - chart.bottom)
    assert share.tolist() == [0.5, 0.0, 1.0, 1.0, 0.5]
    assert np.isnan(chart.tops[~known]).all()
    assert (np.diff(chart.x) >= chart.width).all()
    mesh = strip.shapes.bars(made, chart, 2.0, 1.0)
    broken = (mesh.colours[:, :3] == np.float32(0.03)).all(axis=1)
    assert mesh.points[broken, 0].mean() == pytest.approx(chart.x[4], abs=1.0)
    assert mesh.points[broken, 1].tolist() == [chart.top - 6, chart.top - 6, *2 * [chart.top - 4]]
    assert strip.shapes.nearest(made, 5.2) == 4
    rings = strip.shapes.rings(made, chart, (1.0, 1.0, 1.0, 1.0), 1.0).points
    np.testing.assert_allclose(rings[:, 1].mean(), chart.top, atol=1e-3)
    assert mesh.points[:, 0].min() >= 0.0
    assert mesh.points[:, 0].max() <= 264.0
    assert rings[:, 1].max() < 74.0 - 10.0  # below the texts' lower half


def test_what_is_outside_of_the_span_or_ahead_is_dimmed(ext, strip):
    frames = np.arange(1.0, 11.0)
    made = ext.analysis.spacing_strip.SpacingStrip(
        "Root", frames, np.ones(10), 1.0, np.zeros(0, dtype=int), -1
    )
    chart = strip.shapes.chart_of(made, 264.0, 74.0, 1.0)

    def dimmed(span, playhead):
        parts = strip.shapes.curtains(made, chart, span, playhead)
        return [
            float(frame)
            for frame, x in zip(frames, chart.x, strict=True)
            if any(first <= x < last for first, last in parts)
        ]

    assert dimmed(None, None) == []
    assert dimmed(None, 7.0) == [8.0, 9.0, 10.0]
    assert dimmed((3.0, 8.0), None) == [1.0, 2.0, 9.0, 10.0]
    assert dimmed((3.0, 8.0), 5.0) == [1.0, 2.0, 6.0, 7.0, 8.0, 9.0, 10.0]
    assert dimmed((30.0, 40.0), None) == frames.tolist()


def test_it_stands_clear_of_what_blender_draws_and_is_left_out_where_there_is_no_room(strip):
    here = region("WINDOW", 10, 20, 1200, 800)
    free = (50.0, 0.0, 900.0, 740.0)

    def placed(*others, scale=1.0, free=free):
        return strip.place.place_of(SimpleNamespace(regions=[here, *others]), here, free, scale)

    assert placed() == (62, 58, 326, 132)
    assert placed(region("HEADER", 10, 20, 1200, 26)) == (62, 84, 326, 158)
    assert placed(region("HUD", 60, 42, 160, 30)) == placed()  # it comes and goes with each edit
    last_operation = region("HUD", 60, 20, 300, 200)
    assert placed(last_operation) == (362, 58, 626, 132)
    assert placed(last_operation, free=(50.0, 0.0, 500.0, 740.0)) == (62, 212, 326, 286)
    assert placed(scale=2.0) == (74, 116, 602, 264)
    assert placed(free=(50.0, 0.0, 900.0, 190.0)) == (62, 12, 326, 86)
    assert placed(free=(50.0, 0.0, 200.0, 740.0)) is None
    assert placed(free=(50.0, 0.0, 900.0, 140.0)) is None


def test_of_a_quad_view_it_is_in_the_region_that_can_be_orbited(strip):
    orbited, top = object(), object()
    one = SimpleNamespace(region_quadviews=[], region_3d=orbited)
    four = SimpleNamespace(region_quadviews=[top, orbited], region_3d=orbited)
    assert strip.place.is_shown_in(one, orbited)
    assert strip.place.is_shown_in(four, orbited)
    assert not strip.place.is_shown_in(four, top)


def test_texts_stand_beside_each_other_and_a_name_that_is_too_long_is_cut(strip):
    texts = strip.texts
    words = texts.Words("Root", "f 17: 1.4 m/s", ("1", "top 2.0 m/s", "40"))
    labels = texts.labels_of(words, PICTURE, 264.0, 74.0, 1.0)
    told = [each for each in labels if each.strong][1:]
    assert [each.text for each in told] == ["f", " ", "17", ":", " ", "1", ".", "4", " ", "m/s"]
    steps = np.diff([each.away[0] for each in told])
    assert steps.tolist() == [7.0, 7.0, 14.0, *6 * [7.0]]  # two digits are two pieces
    assert told[-1].away[0] + 7.0 == 264.0 - strip.shapes.SIDE
    assert texts.fitting("Left hand", 264.0, 11.0, 1.0) == "Left hand"
    cut = texts.fitting("a very long name of a rather small thing", 264.0, 11.0, 1.0)
    assert cut.startswith("a very long")
    assert cut.endswith(texts.ELLIPSIS)


def test_nothing_is_made_anew_while_nothing_changes(ext, strip, checked, monkeypatch):
    """Without a window batches cannot be made: how often they would be is counted."""
    letters = ext.addon.overlay.letters
    monkeypatch.setattr(strip.draw, "_batch", lambda mesh: mesh)
    monkeypatch.setattr(strip.draw, "text_shader", lambda: None)
    monkeypatch.setattr(letters, "letters_of", lambda texts, size: PICTURE)
    monkeypatch.setattr(letters, "text_batch", lambda *_told: "batch")
    box = (62.0, 12.0, 326.0, 86.0)

    def prepared():
        builds = ext.addon.overlay.counted.builds
        before, now = builds.copy(), ext.addon.overlay.wanted.wanted(bpy.context)
        if now.strip:
            strip.draw.prepare(bpy.context, now, (800.0, 600.0), 1.0, box)
        return tuple(builds[name] - before[name] for name in ("strip", "strip texts"))

    assert prepared() == (1, 1)
    assert prepared() == (0, 0)
    bpy.context.scene.frame_set(9)
    assert prepared() == (0, 1)
    checked.trails.span = "around"
    assert prepared() == (0, 0)
    bpy.context.scene.unit_settings.system = "IMPERIAL"
    assert prepared() == (1, 1)
    checked.spacing.strip = False
    assert prepared() == (0, 0)
    checked.spacing.strip = True
    strip.draw.forget()
