# SPDX-License-Identifier: GPL-3.0-or-later
"""The arrays of the overlay, and when they are made anew; nothing here needs a GPU."""

import bpy
import numpy as np
import pytest
import rigs
from bpy_extras.object_utils import world_to_camera_view

# Of the 256 published values of cividis (Nunez, Anderton & Renslow 2018), sRGB.
PUBLISHED = {
    0: (0.000000, 0.135112, 0.304751),
    63: (0.259740, 0.305120, 0.422810),
    191: (0.732422, 0.677364, 0.425717),
    255: (0.995737, 0.909344, 0.217772),
}
SIZE = (640, 360)


@pytest.fixture
def overlay(ext):
    return ext.addon.overlay


@pytest.fixture
def session(ext):
    fresh = bpy.context.window_manager.plumbline
    ext.addon.ui.session.clear(fresh)
    fresh.rig, fresh.cycle, fresh.stage = "", "auto", "polish"
    trails = fresh.trails
    trails.parts.clear()
    for name in ("show", "finding", "span", "before", "after"):
        trails.property_unset(name)
    return fresh


@pytest.fixture
def checked(session):
    """The session after a check of a biped whose head pops at frame 25."""
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    bpy.context.scene.frame_set(3)
    bpy.ops.plumbline.check()
    return session


def now(ext, session):
    return ext.addon.overlay.wanted.wanted(session, bpy.context.scene)


def picture(ext, session):
    check = ext.addon.ui.last_check.last_check()
    return ext.addon.overlay.wanted.picture_of(check, now(ext, session).choice)


def pick(session, *titles):
    for item in session.trails.parts:
        item.shown = item.title in titles


def view_of(ext, camera, scale=1.0):
    """What a viewport that looks through a camera has."""
    bpy.context.view_layer.update()
    lens = camera.calc_matrix_camera(bpy.context.evaluated_depsgraph_get(), x=SIZE[0], y=SIZE[1])
    turn = camera.matrix_world.inverted()
    return ext.addon.overlay.screen.View(
        np.array(lens @ turn), np.array(turn), SIZE[0], SIZE[1], scale
    )


def camera(kind="PERSP"):
    made = bpy.data.objects.new("camera", bpy.data.cameras.new("camera"))
    bpy.context.scene.collection.objects.link(made)
    made.data.type, made.data.ortho_scale = kind, 4.0
    made.location = (4.0, -6.0, 2.0)
    aim = rigs.Vector((0.0, -0.4, 0.9)) - made.location
    made.rotation_euler = aim.to_track_quat("-Z", "Y").to_euler()
    scene = bpy.context.scene
    scene.camera = made
    scene.render.resolution_x, scene.render.resolution_y = SIZE
    return made


def test_colours_are_the_published_ones(overlay):
    for index, colour in PUBLISHED.items():
        (made,) = overlay.colours.cividis([index / 255.0])
        np.testing.assert_allclose(made, colour, atol=0.012)


def test_faster_is_lighter_for_every_eye(overlay):
    """Relative luminance (ITU-R BT.709) rises all the way, so that no hue is needed."""
    colours = overlay.colours.cividis(np.linspace(0.0, 1.0, 200)).astype(float)
    linear = np.where(colours > 0.04045, ((colours + 0.055) / 1.055) ** 2.4, colours / 12.92)
    assert (np.diff(linear @ [0.2126, 0.7152, 0.0722]) > 0).all()


def test_speeds_beyond_the_ends_keep_the_ends_colours(overlay):
    made = overlay.colours.speed_colours([-1.0, 0.0, 2.0, 9.0], 2.0)
    np.testing.assert_array_equal(made[0], made[1])
    np.testing.assert_array_equal(made[2], made[3])
    assert np.isfinite(overlay.colours.speed_colours([0.0, 0.0], 0.0)).all()


def test_the_lead_and_what_the_finding_names_are_drawn_first(ext, checked):
    assert [item.title for item in checked.trails.parts if item.shown] == ["root"]
    assert [trace.name for trace in picture(ext, checked).traces] == ["Root", "Head"]
    checked.trails.finding = False
    assert [trace.name for trace in picture(ext, checked).traces] == ["Root"]


def test_a_trail_has_a_dot_a_frame_where_blender_has_the_bone(ext, checked):
    scene = bpy.context.scene
    scene.unit_settings.system, scene.unit_settings.scale_length = "METRIC", 0.01
    bpy.ops.plumbline.check()
    pick(checked, "foot.L")
    checked.trails.finding = False
    (trace,) = picture(ext, checked).traces
    assert trace.frames.tolist() == list(range(1, 41))
    rig = bpy.data.objects["porter"]
    for frame in (1, 17, 40):
        scene.frame_set(frame)
        head = rig.matrix_world @ rig.pose.bones["foot.L"].head
        np.testing.assert_allclose(trace.points[frame - 1], head, atol=1e-5)


def test_the_dot_that_a_finding_names_is_larger_and_ringed(ext, checked):
    glyphs, data = ext.addon.overlay.glyphs, ext.addon.overlay.render_data
    head = picture(ext, checked).traces[1]
    assert np.flatnonzero(head.weights).tolist() == [24]  # frame 25
    assert head.weights[24] == data.READ
    assert not picture(ext, checked).traces[0].weights.any()
    view = view_of(ext, camera())
    mesh = glyphs.named(view, [head])
    pixels, _inside = ext.addon.overlay.screen.project(view, mesh.points)
    (centre,), _inside = ext.addon.overlay.screen.project(view, head.points[24:25])
    strong = mesh.colours[:, 3] > 0.5
    reach = np.linalg.norm(pixels[strong] - centre, axis=1).max()
    assert reach > 3 * glyphs.DOT


@pytest.mark.parametrize("kind", ["PERSP", "ORTHO"])
def test_points_fall_where_blender_says(ext, kind):
    made = camera(kind)
    view = view_of(ext, made)
    points = np.array([(0, 0, 1.0), (0.4, -0.3, 0.2), (-0.5, 0.6, 1.7), (9.0, 0.0, 1.0)])
    pixels, inside = ext.addon.overlay.screen.project(view, points)
    for n, point in enumerate(points):
        x, y, _depth = world_to_camera_view(bpy.context.scene, made, rigs.Vector(point))
        np.testing.assert_allclose(pixels[n], (x * SIZE[0], y * SIZE[1]), atol=0.1)
        assert inside[n] == (0 <= x <= 1 and 0 <= y <= 1)
    assert inside.tolist() == [True, True, True, False]


def test_what_lies_behind_the_eye_is_not_drawn(ext):
    view = view_of(ext, camera())
    behind = np.array([(8.0, -12.0, 3.0)])
    assert not ext.addon.overlay.screen.project(view, behind)[1].any()
    radii, colours = np.array([[0.0, 6.0]]), np.ones((1, 2, 4))
    mesh = ext.addon.overlay.screen.discs(view, behind, radii, colours)
    np.testing.assert_allclose(mesh.points, np.tile(behind, (24, 1)), atol=1e-5)  # no area


@pytest.mark.parametrize("kind", ["PERSP", "ORTHO"])
@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_discs_keep_their_size_in_pixels_at_any_depth(ext, kind, scale):
    view = view_of(ext, camera(kind), scale)
    screen = ext.addon.overlay.screen
    points = np.array([(0.5, -2.0, 1.0), (0.0, 0.0, 1.0), (-0.5, 2.0, 1.0)])
    radii = np.full((3, 1), 6.0 * scale)
    mesh = screen.discs(view, points, np.hstack((0 * radii, radii)), np.ones((3, 2, 4)), corners=8)
    corners, _inside = screen.project(view, mesh.points.reshape(3, 2, 8, 3)[:, 1].reshape(-1, 3))
    centres, _inside = screen.project(view, points)
    away = np.linalg.norm(corners.reshape(3, 8, 2) - centres[:, None], axis=-1)
    np.testing.assert_allclose(away, 6.0 * scale, rtol=0.01)


def test_nothing_is_built_anew_while_nothing_changes(ext, checked):
    first, drawn = now(ext, checked), picture(ext, checked)
    assert now(ext, checked) == first
    bpy.context.scene.frame_set(9)
    assert now(ext, checked).choice == first.choice
    assert now(ext, checked).span == first.span
    assert picture(ext, checked) is drawn
    bpy.context.scene.objects["porter"].location.x += 1.0  # a trail is that of the check
    assert picture(ext, checked) is drawn


def test_whatever_changes_the_picture_changes_its_key(ext, checked):
    seen = [now(ext, checked)]
    drawn = picture(ext, checked)

    def changed():
        seen.append(now(ext, checked))
        return seen[-1] not in seen[:-1]

    bpy.context.scene.frame_set(9)
    assert changed()
    checked.trails.span = "around"
    assert changed()
    checked.trails.after = 5
    assert changed()
    pick(checked, "root", "hand.L")
    assert changed()
    checked.trails.finding = False
    assert changed()
    bpy.ops.plumbline.check()
    assert changed()
    assert picture(ext, checked) is not drawn


def test_a_view_has_a_key_of_its_own(ext):
    class Data:
        perspective_matrix = ((1.0, 0.0), (0.0, 1.0))

    class Region:
        width, height = SIZE

    key = ext.addon.overlay.wanted.view_key(Region, Data, 1.0)
    assert ext.addon.overlay.wanted.view_key(Region, Data, 1.0) == key
    assert ext.addon.overlay.wanted.view_key(Region, Data, 2.0) != key
    Data.perspective_matrix = ((1.0, 0.1), (0.0, 1.0))
    assert ext.addon.overlay.wanted.view_key(Region, Data, 1.0) != key


def test_off_is_off_and_other_scenes_show_nothing(ext, checked):
    assert now(ext, checked) is not None
    other = bpy.data.scenes.new("other")
    assert ext.addon.overlay.wanted.wanted(checked, other) is None
    checked.trails.show = False
    assert now(ext, checked) is None


def test_a_span_is_cut_around_the_playhead(ext, checked):
    checked.trails.span, checked.trails.before, checked.trails.after = "around", 2, 3
    bpy.context.scene.frame_set(10)
    trace = picture(ext, checked).traces[0]
    cut = ext.addon.overlay.render_data.cut(trace, now(ext, checked).span)
    assert cut.frames.tolist() == [8, 9, 10, 11, 12, 13]
    assert len(ext.addon.overlay.lines.lines_of([cut]).pairs) == 5
    assert ext.addon.overlay.render_data.playhead_dot(cut, 10.0) == 2
    assert ext.addon.overlay.render_data.playhead_dot(cut, 30.0) is None


def test_lines_never_lead_from_one_trail_to_another(ext, checked):
    traces = picture(ext, checked).traces
    lines = ext.addon.overlay.lines.lines_of(traces)
    assert len(lines.pairs) == sum(len(trace.frames) - 1 for trace in traces)
    assert [39, 40] not in lines.pairs.tolist()
    assert len(ext.addon.overlay.lines.lines_of([]).pairs) == 0


def test_labels_lie_inside_and_on_nothing(ext, checked):
    labels = ext.addon.overlay.labels
    pick(checked, "root", "foot.L", "foot.R", "hand.L", "hand.R")
    found = picture(ext, checked)
    view = view_of(ext, camera())
    letters = labels.Type(7.0, 10.0)
    placed = labels.place_labels(view, found.traces, found.tops, letters)
    texts = [label.text for label in placed]
    assert {"25", "Root", "Left foot"} <= set(texts)
    boxes = [(each.x, each.y, each.x + 7.0 * len(each.text), each.y + 10.0) for each in placed]
    for n, a in enumerate(boxes):
        assert a[0] >= 0
        assert a[1] >= 0
        assert a[2] <= SIZE[0]
        assert a[3] <= SIZE[1]
        for b in boxes[:n]:
            assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]


def test_numbers_keep_their_distance(ext):
    step = ext.addon.overlay.labels.number_step
    path = np.stack((np.arange(101.0) * 4.0, np.zeros(101)), axis=-1)  # 400 pixels, 101 frames
    seen = np.ones(101, dtype=bool)
    assert step(path, seen, 400.0) == 200  # room for one
    assert step(path, seen, 40.0) == 20  # room for ten, and 10 would make eleven
    assert step(path * 100.0, seen, 40.0) == 1


def test_the_longest_sentence_that_fits_stands_at_a_top(ext, checked):
    data, labels = ext.addon.overlay.render_data, ext.addon.overlay.labels
    letters = labels.Type(7.0, 10.0)
    texts = ("12 f in the air, 50 % in the top quarter", "12 f, 50 %")
    top = data.Top(frame=12.0, point=np.array([0.0, 0.0, 1.0], np.float32), texts=texts)
    view = view_of(ext, camera())
    narrow = ext.addon.overlay.screen.View(view.perspective, view.turn, 150, 150, 1.0)
    assert [label.text for label in labels.place_labels(view, [], [top], letters)] == [texts[0]]
    assert [label.text for label in labels.place_labels(narrow, [], [top], letters)] == [texts[1]]
    assert len(labels.top_places(view, [top])) == 1


def test_a_problem_or_another_file_forgets_what_was_drawn(ext, checked):
    bpy.data.objects.remove(bpy.data.objects["porter"])
    with pytest.raises(RuntimeError, match="expected"):
        bpy.ops.plumbline.check()
    assert now(ext, checked) is None
    rigs.biped()
    bpy.ops.plumbline.check()
    assert now(ext, checked) is not None
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
    assert [trace.name for trace in picture(ext, session).traces] == [shown[0].label]
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
    assert len(open_handles) == 2
    ext.unregister()
    assert open_handles == []
    assert ext.addon.ui.last_check.last_check() is None
    ext.register()


def test_every_choice_explains_itself():
    trails = bpy.types.WindowManager.bl_rna.properties["plumbline"].fixed_type.properties["trails"]
    for name in ("show", "finding", "span", "before", "after"):
        assert len(trails.fixed_type.properties[name].description) > 10
