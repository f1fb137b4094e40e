# SPDX-License-Identifier: GPL-3.0-or-later
"""Dots, rings, lines, colours and labels: where they fall on the screen; no GPU is needed."""

from dataclasses import replace
from types import SimpleNamespace

import bpy
import numpy as np
import pytest
import rigs
from bpy_extras.object_utils import world_to_camera_view
from drawn import SIZE, camera, checked_session, pick, picture, view_of

from tests.harness import extension

# Of the 256 published values each, sRGB: cividis as Nunez, Anderton & Renslow 2018 have it, the
# others as matplotlib 3.9.2 has them.
PUBLISHED = {
    "cividis": {
        0: (0.000000, 0.135112, 0.304751),
        63: (0.259740, 0.305120, 0.422810),
        191: (0.732422, 0.677364, 0.425717),
        255: (0.995737, 0.909344, 0.217772),
    },
    "viridis": {
        0: (0.267004, 0.004874, 0.329415),
        63: (0.231674, 0.318106, 0.544834),
        191: (0.360741, 0.785964, 0.387814),
        255: (0.993248, 0.906157, 0.143936),
    },
    "plasma": {
        0: (0.050383, 0.029803, 0.527975),
        63: (0.489055, 0.010127, 0.658534),
        191: (0.971835, 0.580382, 0.254931),
        255: (0.940015, 0.975158, 0.131326),
    },
}
RAMPS = tuple(PUBLISHED)


@pytest.fixture
def checked(ext):
    return checked_session(ext)


@pytest.fixture
def overlay(ext):
    return ext.addon.overlay


@pytest.mark.parametrize("ramp", RAMPS)
def test_colours_are_the_published_ones(overlay, ramp):
    for index, colour in PUBLISHED[ramp].items():
        (made,) = overlay.colours.ramp_colours([index / 255.0], ramp)
        np.testing.assert_allclose(made, colour, atol=0.012)
        (turned,) = overlay.colours.ramp_colours([1.0 - index / 255.0], ramp, reverse=True)
        np.testing.assert_allclose(turned, made, atol=1e-6)


@pytest.mark.parametrize("ramp", RAMPS)
def test_faster_is_lighter_for_every_eye(overlay, ramp):
    """Relative luminance (ITU-R BT.709) rises all the way, so that no hue is needed."""
    colours = overlay.colours.ramp_colours(np.linspace(0.0, 1.0, 200), ramp).astype(float)
    linear = np.where(colours > 0.04045, ((colours + 0.055) / 1.055) ** 2.4, colours / 12.92)
    assert (np.diff(linear @ [0.2126, 0.7152, 0.0722]) > 0).all()


def test_the_preferred_colours_tell_speed_in_trails_and_paths(ext, checked):
    preferred = bpy.context.preferences.addons[extension.PACKAGE].preferences.look
    usual = picture(ext)
    try:
        preferred.ramp, preferred.reverse = "plasma", True
        made = picture(ext)
        for one, other in zip(usual.traces, made.traces, strict=True):
            np.testing.assert_array_equal(one.points, other.points)
            slowest, fastest = (int(at(other.colours.sum(axis=1))) for at in (np.argmax, np.argmin))
            bright = one.colours.sum(axis=1)
            assert bright[slowest] == bright.min()
            assert bright[fastest] == bright.max()
        assert bpy.ops.plumbline.reset_look() == {"FINISHED"}
        np.testing.assert_array_equal(picture(ext).traces[0].colours, usual.traces[0].colours)
    finally:
        bpy.ops.plumbline.reset_look()


def test_speeds_beyond_the_ends_keep_the_ends_colours(overlay):
    made = overlay.colours.speed_colours([-1.0, 0.0, 2.0, 9.0], 2.0)
    np.testing.assert_array_equal(made[0], made[1])
    np.testing.assert_array_equal(made[2], made[3])
    assert np.isfinite(overlay.colours.speed_colours([0.0, 0.0], 0.0)).all()


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


def test_what_is_kept_as_intended_is_marked_only_while_it_is_read(ext, checked):
    data, line = ext.addon.overlay.render_data, checked.findings[0]
    pick(checked, "root", "head")

    def head():
        return next(t for t in picture(ext).traces if t.name == "Head").weights.max()

    checked.active = -1
    assert head() == data.NAMED
    line.reason = "a jolt from the cart"
    assert head() == data.PLAIN
    checked.active = 0
    assert head() == data.READ


def test_the_dot_that_a_finding_names_is_larger_and_ringed(ext, checked):
    marks, data = ext.addon.overlay.marks, ext.addon.overlay.render_data
    head = picture(ext).traces[1]
    assert np.flatnonzero(head.weights).tolist() == [24]  # frame 25
    assert head.weights[24] == data.READ
    assert not picture(ext).traces[0].weights.any()
    ring, core = marks.named([head], 2.5, (1.0, 1.0, 1.0, 1.0)).shapes
    assert ring[1:3].tolist() == pytest.approx(marks.RINGS[data.READ])
    assert core[0] > 1.5 * marks.dots([head], 2.5).shapes[0, 0]
    assert ring[1] > core[0]


def test_lines_never_lead_from_one_trail_to_another(ext, checked):
    traces = picture(ext).traces
    lines = ext.addon.overlay.strokes.trail_lines(traces, 1.0)
    assert len(lines) == sum(len(trace.frames) - 1 for trace in traces)
    assert (lines.frames[:, 1] - lines.frames[:, 0] == 1.0).all()
    cut = replace(traces[0], begins=traces[0].frames == 20.0)
    assert 19.0 not in ext.addon.overlay.strokes.trail_lines([cut], 1.0).frames[:, 0]
    assert len(ext.addon.overlay.strokes.trail_lines([], 1.0)) == 0


def test_dashes_are_even_and_end_with_one(ext):
    path = np.array([(0, 0, 0), (0.3, 0, 0), (1.0, 0, 0), (1.0, 2.0, 0)])
    made = ext.addon.overlay.strokes.dashes(path, np.ones((4, 4)), 1.0, [0, 1, 2, 3], 0.2)
    lengths = np.linalg.norm(made.ends[:, 1] - made.ends[:, 0], axis=1).reshape(-1, 3).sum(axis=1)
    assert len(lengths) == 8
    assert lengths == pytest.approx(3.0 / 15.0, rel=0.12)  # one bends around the corner
    np.testing.assert_allclose(made.ends[-1, 1], path[-1], atol=1e-6)
    assert made.frames[-1, 1] == 3.0


def test_labels_lie_inside_and_on_nothing(ext, checked):
    labels = ext.addon.overlay.labels
    pick(checked, "root", "foot.L", "foot.R", "hand.L", "hand.R")
    found = picture(ext)
    view = view_of(ext, camera())
    letters = ext.addon.overlay.page.Type(7.0, 10.0)
    placed = labels.place_labels(view, labels.Texts(found.traces, found.tops), letters)
    texts = [label.text for label in placed]
    assert {"25", "Root", "Left foot"} <= set(texts)
    boxes = [(each.x, each.y, each.x + 7.0 * len(each.text), each.y + 10.0) for each in placed]
    head = next(trace for trace in found.traces if trace.name == "Head")
    (ring,), _inside = ext.addon.overlay.screen.project(view, head.points[head.weights > 0])
    for n, a in enumerate(boxes):
        assert not (
            a[0] < ring[0] + 12
            and ring[0] - 12 < a[2]
            and a[1] < ring[1] + 12
            and ring[1] - 12 < a[3]
        )
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
    letters = ext.addon.overlay.page.Type(7.0, 10.0)
    texts = ("12 f in the air, 50 % in the top quarter", "12 f, 50 %")
    top = data.Top(frame=12.0, point=np.array([0.0, 0.0, 1.0], np.float32), texts=texts)
    view = view_of(ext, camera())
    narrow = ext.addon.overlay.screen.View(view.perspective, view.turn, 150, 150, 1.0)
    assert [
        label.text for label in labels.place_labels(view, labels.Texts((), [top]), letters)
    ] == [texts[0]]
    assert [
        label.text for label in labels.place_labels(narrow, labels.Texts((), [top]), letters)
    ] == [texts[1]]


def test_texts_keep_clear_of_what_covers_the_region(ext):
    """A sidebar over the right half: the same sentence is shortened, or stands nowhere."""
    data, labels = ext.addon.overlay.render_data, ext.addon.overlay.labels
    whole = view_of(ext, camera())
    point = np.array([0.0, -0.4, 0.9], np.float32)  # in the middle of the picture
    top = data.Top(frame=12.0, point=point, texts=("a long sentence", "short"))
    letters = ext.addon.overlay.page.Type(7.0, 10.0)

    def placed(right):
        view = replace(whole, free=(0.0, 0.0, right, float(SIZE[1])))
        return [label.text for label in labels.place_labels(view, labels.Texts((), [top]), letters)]

    assert placed(float(SIZE[0])) == ["a long sentence"]
    assert placed(SIZE[0] / 2 + 30.0) == ["short"]
    assert placed(SIZE[0] / 2 + 5.0) == []


def test_the_free_part_of_a_region_is_what_the_panels_leave(ext):
    def region(kind, x, y, width, height):
        return SimpleNamespace(type=kind, x=x, y=y, width=width, height=height)

    window = region("WINDOW", 100, 50, 1000, 600)
    others = [
        window,
        region("HEADER", 100, 620, 1000, 30),
        region("UI", 850, 50, 250, 570),
        region("TOOLS", 100, 50, 60, 570),
        region("HUD", 100, 50, 1, 1),
    ]
    free = ext.addon.overlay.wanted.free_part
    assert free(SimpleNamespace(regions=others), window) == (60.0, 0.0, 750.0, 570.0)
    assert free(SimpleNamespace(regions=[window]), window) == (0.0, 0.0, 1000.0, 600.0)


def test_looking_down_shows_no_heights(ext):
    made = camera()
    assert view_of(ext, made).shows_height
    made.location, made.rotation_euler = (0.0, 0.0, 9.0), (0.0, 0.0, 0.7)
    assert not view_of(ext, made).shows_height


def test_texts_keep_clear_of_what_blender_writes_into_the_corners(ext, checked):
    labels, pixels = ext.addon.overlay.labels, ext.addon.overlay.screen.project
    view, letters = view_of(ext, camera()), ext.addon.overlay.page.Type(7.0, 10.0)
    traces = picture(ext).traces
    free = labels.place_labels(view, labels.Texts(traces), letters)
    (head,), _inside = pixels(view, traces[1].points[24:25])
    box = (head[0] - 90.0, head[1] - 60.0, head[0] + 90.0, head[1] + 60.0)

    def inside(placed):
        return [t for t in placed if box[0] - 14 < t.x < box[2] and box[1] - 10 < t.y < box[3]]

    assert inside(free)
    placed = labels.place_labels(replace(view, taken=(box,)), labels.Texts(traces), letters)
    assert placed
    assert not inside(placed)


def test_the_corners_hold_blenders_texts_and_what_turns_the_view(ext):
    overlay = SimpleNamespace(show_overlays=True, show_text=True, show_stats=False)
    space = SimpleNamespace(overlay=overlay, show_gizmo=True, show_gizmo_navigate=True)
    taken = ext.addon.overlay.wanted.taken_parts
    texts, *gizmos = taken(space, (60.0, 0.0, 750.0, 570.0), 2.0)
    assert (texts[0], texts[3]) == (60.0, 570.0)
    assert all((box[2], box[3]) == (750.0, 570.0) for box in gizmos)
    space.show_gizmo_navigate = False
    assert taken(space, (60.0, 0.0, 750.0, 570.0), 2.0) == (texts,)
    overlay.show_stats = True
    assert taken(space, (60.0, 0.0, 750.0, 570.0), 2.0)[0][1] < texts[1]
    overlay.show_overlays = False
    assert taken(space, (60.0, 0.0, 750.0, 570.0), 2.0) == ()


def test_the_number_of_a_tick_stands_at_its_tick_or_nowhere(ext):
    labels, sheets = ext.addon.overlay.labels, ext.addon.overlay.sheets
    point, letters = np.array([0.0, -0.4, 0.9], np.float32), ext.addon.overlay.page.Type(7.0, 10.0)
    view = view_of(ext, camera())

    def placed(*notes):
        texts = labels.Texts((), floor_notes=notes)
        return [label.text for label in labels.place_labels(view, texts, letters)]

    first, second = sheets.Note(point, ("1 m",)), sheets.Note(point, ("2 m",))
    assert placed(first, second) == ["1 m", "2 m"]  # a line further up
    assert placed(first, replace(second, right_there=True)) == ["1 m"]


def test_hundreds_of_texts_stand_on_none_of_each_other(ext):
    page = ext.addon.overlay.page.Page(view_of(ext, camera()), np.zeros((0, 2)))
    rng, stood = np.random.default_rng(7), []
    for x, y in rng.uniform((0.0, 0.0), (SIZE[0] - 6.0, SIZE[1] - 4.0), (3000, 2)):
        box = (x, y, x + 6.0, y + 4.0)
        apart = all(
            box[0] >= b[2] + 2 or b[0] >= box[2] + 2 or box[1] >= b[3] + 2 or b[1] >= box[3] + 2
            for b in stood
        )
        assert page.is_free(box) == apart
        if apart:
            page.take(box)
            stood.append(box)
    assert len(stood) > 512  # more than room was made for at first


def test_a_text_hides_the_dots_that_lie_in_its_box(ext):
    rng = np.random.default_rng(3)
    dots = rng.uniform(0.0, 100.0, (40, 2))
    page = ext.addon.overlay.page.Page(view_of(ext, camera()), dots)
    answers = set()
    for x, y in rng.uniform(0.0, 90.0, (200, 2)):
        hides = any(x < a < x + 14.0 and y < b < y + 8.0 for a, b in dots)
        assert page.covers_dots((x, y, x + 14.0, y + 8.0)) == hides
        answers.add(hides)
    assert answers == {True, False}
