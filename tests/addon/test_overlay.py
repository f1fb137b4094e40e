# SPDX-License-Identifier: GPL-3.0-or-later
"""What is drawn over the viewport, when it is made anew, and that nothing of it stays."""

from dataclasses import replace
from types import SimpleNamespace

import bpy
import numpy as np
import pytest
import rigs
from drawn import camera, checked_session, fresh_session, now, pick, picture, view_of
from stepped import built

from analysis.trails import HangMark, Spot
from demo_scenes.porter import hop_crate
from tests.harness import extension


@pytest.fixture
def session(ext):
    return fresh_session(ext)


@pytest.fixture
def checked(ext):
    return checked_session(ext)


def test_the_lead_and_what_the_finding_names_are_drawn_first(ext, checked):
    assert [item.title for item in checked.trails.parts if item.shown] == ["root"]
    assert [trace.name for trace in picture(ext).traces] == ["Root", "Head"]
    checked.trails.finding = False
    assert [trace.name for trace in picture(ext).traces] == ["Root"]


def test_a_trail_has_a_dot_a_frame_where_blender_has_the_bone(ext, checked):
    scene = bpy.context.scene
    scene.unit_settings.system, scene.unit_settings.scale_length = "METRIC", 0.01
    bpy.ops.plumbline.check()
    pick(checked, "foot.L")
    checked.trails.finding = False
    (trace,) = picture(ext).traces
    assert trace.frames.tolist() == list(range(1, 41))
    rig = bpy.data.objects["porter"]
    for frame in (1, 17, 40):
        scene.frame_set(frame)
        head = rig.matrix_world @ rig.pose.bones["foot.L"].head
        np.testing.assert_allclose(trace.points[frame - 1], head, atol=1e-5)


def test_nothing_is_built_anew_while_nothing_changes(ext, checked):
    first, drawn = now(ext), picture(ext)
    assert now(ext) == first
    bpy.context.scene.frame_set(9)
    assert now(ext).choice == first.choice
    assert now(ext).span == first.span
    assert picture(ext) is drawn
    bpy.context.scene.objects["porter"].location.x += 1.0  # a trail is that of the check
    assert picture(ext) is drawn


def test_whatever_changes_the_picture_changes_its_key(ext, checked):
    seen = [now(ext)]
    drawn = picture(ext)

    def changed():
        seen.append(now(ext))
        return seen[-1] not in seen[:-1]

    bpy.context.scene.frame_set(9)
    assert changed()
    checked.trails.span = "around"
    assert changed()
    assert now(ext).ahead < 1.0
    checked.trails.fade_ahead = False
    assert now(ext).ahead == 1.0
    checked.trails.after = 5
    assert changed()
    pick(checked, "root", "hand.L")
    assert changed()
    checked.trails.finding = False
    assert changed()
    bpy.ops.plumbline.check()
    assert changed()
    assert picture(ext) is not drawn


def test_layers_begin_as_preferred_and_looks_can_be_reset(ext, session):
    look = bpy.context.preferences.addons[extension.PACKAGE].preferences.look
    rigs.biped()
    try:
        look.layers.ruler, look.dot = True, 5.0
        bpy.ops.plumbline.check()
        assert "ruler" in now(ext).layers
        assert now(ext).look.dot == 5.0
        session.trails.layers.ruler = session.trails.layers.numbers = False
        bpy.ops.plumbline.check()
        assert not {"ruler", "numbers"} & set(now(ext).layers)  # what was switched stays
    finally:
        bpy.ops.plumbline.reset_look()
    usual = ext.addon.overlay.look.Look()
    for name, value in vars(now(ext).look).items():
        assert value == pytest.approx(getattr(usual, name)), name
    assert not look.layers.ruler


@pytest.mark.parametrize("where", ["session", "preferences"])
def test_what_nobody_tells_is_read_after_a_moment(ext, checked, monkeypatch, where):
    wanted = ext.addon.overlay.wanted
    moment, reads, read_of = [0.0], [], wanted._read_of
    monkeypatch.setattr(wanted, "monotonic", lambda: moment[0])
    monkeypatch.setattr(wanted, "_read_of", lambda *how: reads.append(1) or read_of(*how))
    wanted.forget()
    preferred = bpy.context.preferences.addons[extension.PACKAGE].preferences
    held = checked.trails if where == "session" else preferred.look
    name, value = ("fade_ahead", False) if where == "session" else ("line", 5.0)
    setattr(held, name, value)
    set_otherwise = now(ext)
    held.property_unset(name)  # tells nobody, as Blender does where preferences are reverted
    for _ in range(20):
        assert now(ext) is set_otherwise
    assert len(reads) == 1
    moment[0] += wanted.HOLD_S + 0.01
    after = now(ext)
    assert after != set_otherwise
    moment[0] += wanted.HOLD_S + 0.01
    assert now(ext) is after  # what is the same stays the same object


def test_suggestions_lie_above_the_rings_of_points_and_the_list_of_layers_stays(ext, checked):
    """Less than 3 cm away a hollow dot lies within the ring of the point that it is for."""
    uppermost, *others = now(ext).layers
    assert uppermost == "targets"
    assert others == [name for name in ext.addon.overlay.layers.NAMES if name in others]
    checked.trails.layers.targets = False
    assert now(ext).layers == tuple(others)


def test_a_view_has_a_key_of_its_own(ext):
    view = view_of(ext, camera())
    key = ext.addon.overlay.wanted.view_key
    assert key(replace(view)) == key(view)
    assert key(replace(view, scale=2.0)) != key(view)
    assert key(replace(view, perspective=view.perspective * (1.0 + 1e-9))) == key(view)
    turned = view.perspective.copy()
    turned[0, 1] += 0.01
    assert key(replace(view, perspective=turned)) != key(view)


def test_off_is_off_and_other_scenes_show_nothing(ext, checked):
    assert now(ext) is not None
    other = bpy.data.scenes.new("other")
    context = SimpleNamespace(scene=other, preferences=bpy.context.preferences)
    assert ext.addon.overlay.wanted.wanted(context) is None
    checked.trails.show = False
    assert now(ext) is None


def test_a_span_is_cut_around_the_playhead(ext, checked):
    checked.trails.span, checked.trails.before, checked.trails.after = "around", 2, 3
    bpy.context.scene.frame_set(10)
    trace = picture(ext).traces[0]
    cut = ext.addon.overlay.render_data.cut(trace, now(ext).span)
    assert cut.frames.tolist() == [8, 9, 10, 11, 12, 13]
    assert len(ext.addon.overlay.strokes.trail_lines([cut], 1.0)) == 5


def test_a_problem_or_another_file_forgets_what_was_drawn(ext, checked):
    bpy.data.objects.remove(bpy.data.objects["porter"])
    with pytest.raises(RuntimeError, match="expected"):
        bpy.ops.plumbline.check()
    assert now(ext) is None
    rigs.biped()
    bpy.ops.plumbline.check()
    assert now(ext) is not None
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    assert ext.addon.ui.last_check.last_check() is None
    assert len(bpy.context.window_manager.plumbline.trails.parts) == 0


def test_picks_stay_from_check_to_check(checked):
    pick(checked, "hand.L", "chest")
    bpy.ops.plumbline.check()
    assert [item.title for item in checked.trails.parts if item.shown] == ["chest", "hand.L"]
    pick(checked)
    bpy.ops.plumbline.check()
    assert not any(item.shown for item in checked.trails.parts)  # none, as the user left it


def test_parts_are_listed_in_pairs(ext, checked):
    panel = ext.addon.ui.trails_panel
    usual, others = panel.split_parts(checked.trails.parts)
    rows = [(name, [item.title for item in items]) for name, items in panel.pair_up(usual)]
    assert rows[0] == ("", ["root"])
    assert ("Foot", ["foot.L", "foot.R"]) in rows
    assert ("Hand", ["hand.L", "hand.R"]) in rows
    assert "thigh.L" in [item.title for item in others]
    assert len(usual) + len(others) == len(checked.trails.parts)


def test_a_rig_without_known_parts_has_a_short_list(ext, session):
    rig = rigs.armature(
        "crane",
        {f"b{n}": (f"b{n - 1}" if n else None, (n, 0, 0), (n + 1, 0, 0)) for n in range(12)},
    )
    rigs.key(rig.pose.bones["b0"], "location", [(0, 0, 0), (1, 0, 0), (0, 0, 0)])
    rigs.set_range(1, 40)
    bpy.ops.plumbline.check()
    panel = ext.addon.ui.trails_panel
    shown = [item for item in session.trails.parts if item.shown]
    assert len(shown) == 1
    assert [trace.name for trace in picture(ext).traces] == [shown[0].label]
    usual, others = panel.split_parts(session.trails.parts)
    assert len(usual) == min(len(session.trails.parts), panel.MOST_UNKNOWN)
    assert len(usual) + len(others) == len(session.trails.parts)


def test_unregistering_takes_every_draw_handler_back(ext, monkeypatch):
    open_handles = []
    add, remove = bpy.types.SpaceView3D.draw_handler_add, bpy.types.SpaceView3D.draw_handler_remove

    def adding(*args):
        open_handles.append(add(*args))
        return open_handles[-1]

    def removing(handle, region):
        open_handles.remove(handle)
        remove(handle, region)

    ext.unregister()
    monkeypatch.setattr(bpy.types.SpaceView3D, "draw_handler_add", staticmethod(adding))
    monkeypatch.setattr(bpy.types.SpaceView3D, "draw_handler_remove", staticmethod(removing))
    ext.register()
    # Trails, what was drawn for notes, texts with the strip, and the last operation's panel.
    assert len(open_handles) == 4
    ext.unregister()
    assert open_handles == []
    assert ext.addon.ui.last_check.last_check() is None
    ext.register()


def test_every_choice_explains_itself():
    trails = bpy.types.WindowManager.bl_rna.properties["plumbline"].fixed_type.properties["trails"]
    for name in ("show", "finding", "span", "before", "after", "fade_ahead", "space"):
        assert len(trails.fixed_type.properties[name].description) > 10


def each_layer_has_arrays_of_its_own(ext, session):
    for layer in session.trails.layers.bl_rna.properties.keys():  # noqa: SIM118 - no dict
        if layer in ext.addon.overlay.layers.NAMES:
            setattr(session.trails.layers, layer, True)
    asked, check = now(ext), ext.addon.ui.last_check.last_check()
    sheets = {
        name: ext.addon.overlay.built.sheet_of(name, check, asked)
        for name in asked.layers
        if name != "numbers"
    }
    assert len(sheets) == 8
    assert not len(sheets["upright"].lines)  # no ball was checked
    for name in ("paths", "pushes", "footprints", "ruler"):
        assert len(sheets[name].lines) > 4, name
        assert sheets[name].notes, name
    assert len(sheets["ruler"].fine) == 103  # a mark for each frame
    assert len(sheets["tops"].above) == len(picture(ext).tops)
    session.active = [line.title for line in session.findings].index("Head: pop")
    targets = ext.addon.overlay.built.sheet_of("targets", check, now(ext)).above
    assert 8.0 in targets.frames
    scene = bpy.context.scene
    scene.unit_settings.system = "IMPERIAL"
    ruler = ext.addon.overlay.built.sheet_of("ruler", check, now(ext))
    assert any("ft" in text for note in ruler.notes for text in note.texts)


def test_a_flight_has_one_bar_where_parts_tell_the_same_and_each_says_whose_it_is(ext, checked):
    check = ext.addon.ui.last_check.last_check()
    place = np.zeros(3)

    def mark(title, flight, share):
        return HangMark(Spot(title), flight, 9.0 + flight, place, 10, share)

    told = [("root", 0, 0.60), ("head", 0, 0.61), ("hand.L", 0, 0.40), ("head", 1, 0.50)]
    marks = [mark(*each) for each in told]
    found = list(ext.addon.overlay.render_data._tops(check, now(ext).choice, marks))
    assert [top.texts[0] for top in found] == [
        "Root: 10 frames in the air, 60 % near the top",
        "Left hand: 40 % near the top",
        "Head: 10 frames in the air, 50 % near the top",
    ]
    assert found[0].texts[1:] == ("Root: 60 % near the top", "Root: 60 % at top")


def test_a_flight_draws_its_mass_and_each_layer_has_arrays_of_its_own(ext):
    built(hop_crate, polished=False)
    session = fresh_session(ext)  # of the file that was opened
    bpy.ops.plumbline.check()
    hang = next(line for line in session.findings if "hang" in line.title)
    assert hang.frame == 26
    assert session.active == 0
    found = picture(ext)
    assert [trace.name for trace in found.traces] == ["Root", "Centre of mass"]
    first = min(found.tops, key=lambda top: top.frame)
    told = "Centre of mass: 10 frames in the air, 68 % near the top"
    assert first.texts[0] == told  # as its sentence says
    assert "68 %" in hang.says
    assert first.frame == pytest.approx(26, abs=1)
    session.active = [line.title for line in session.findings].index("Head: pop")
    assert [trace.name for trace in picture(ext).traces] == ["Root", "Head"]
    each_layer_has_arrays_of_its_own(ext, session)


def test_what_is_about_a_motion_that_is_no_more_is_drawn_faint(ext, checked):
    """The numbers that shaders are told: the strength of all is the third of the last row."""
    overlay = ext.addon.overlay
    joined = SimpleNamespace(hidden="dots", above="rings", level="rings", on_floor=False)
    built = SimpleNamespace(joined=[joined])

    def strengths():
        overlay.steps.forget()
        made = overlay.steps.steps(1, now(ext), built, (800.0, 600.0), 1.0, shows_height=True)
        return [round(step.told[2][3], 3) for step in made.layers]

    faint, old = overlay.steps.FAINT, overlay.steps.OLD
    assert strengths() == [faint, 1.0, 1.0, 1.0]
    curve = next(iter(rigs.fcurves(bpy.data.objects["porter"])))
    value = curve.keyframe_points[1].co_ui.y
    for moved, strength in ((value + 0.3, old), (value, 1.0)):
        curve.keyframe_points[1].co_ui.y = moved
        curve.update()
        curve.id_data.update_tag()
        bpy.context.view_layer.update()
        assert strengths() == pytest.approx([faint * strength, *3 * [strength]])
