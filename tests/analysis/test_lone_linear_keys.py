# SPDX-License-Identifier: GPL-3.0-or-later
"""Lone linear keys: told by the curves, where the smooth curve would be seen to go elsewhere."""

from dataclasses import replace

import numpy as np
import pytest

from analysis import Event, Settings, check_clip
from tests.analysis import arcs_keyed
from tests.analysis.arcs_keyed import STEP, carried
from tests.analysis.figures import with_mover

AT = 6
FRAMES = (STEP * AT + 1.0, STEP * (AT + 1) + 1.0)
ROUND = np.radians(45.0 * np.arange(13))


def circle(radius=0.5):
    return radius * np.stack((np.cos(ROUND), np.sin(ROUND), 0.0 * ROUND), axis=-1)


def played(clip, kinds, besides=None):
    """The clip with keys of other kinds {key: kind}."""

    def edit(curve):
        given = tuple(kinds.get(n, "BEZIER") for n in range(len(curve.values)))
        return replace(curve, interpolation=given)

    return arcs_keyed.played(clip, edit, besides)


def bobbing(clip):
    """(T,3) of 6 cm, ten frames a beat: no path runs straight."""
    up = 0.03 * np.sin(2.0 * np.pi * np.arange(len(clip.frames)) / 10.0)
    return np.stack((0.0 * up, 0.0 * up, up), axis=-1)


def found(clip, **settings):
    return check_clip(clip, Settings(checks=("straight_run",), cycle="no", **settings)).findings


def apart(one, other):
    return float(np.linalg.norm(one.positions[:, 0] - other.positions[:, 0], axis=-1).max())


def test_a_lone_linear_key_is_told_with_its_control_and_key_and_how_far_it_is_off():
    clip = carried(circle(), height_m=1.7)
    wrong, right = played(clip, {AT: "LINEAR"}), played(clip, {})
    (finding,) = found(wrong)
    assert finding.frames == FRAMES
    assert "the key of body on frame 61 (location) is linear" in finding.says
    assert finding.amount == pytest.approx(100.0 * apart(wrong, right), rel=0.05)
    at = int(finding.peak_frame) - 1
    back = right.positions[at, 0] - wrong.positions[at, 0]
    assert np.linalg.norm(finding.suggestion.offset - back) < 0.1 * np.linalg.norm(back)
    assert not found(right)


def test_it_is_told_where_something_else_bends_the_path():
    clip = carried(circle(), height_m=1.7)
    (finding,) = found(played(clip, {AT: "LINEAR"}, bobbing(clip)))
    assert finding.frames == FRAMES
    assert "body on frame 61" in finding.says
    assert not found(played(clip, {}, bobbing(clip)))


@pytest.mark.parametrize(
    "kinds",
    [
        {5: "LINEAR", 6: "LINEAR", 7: "LINEAR"},
        {AT: "CONSTANT"},
        {AT: "LINEAR", 2: "LINEAR"},
        dict.fromkeys(range(13), "LINEAR"),
    ],
)
def test_linear_keys_that_are_the_shots_style_and_holds_are_let_alone(kinds):
    clip = carried(circle(), height_m=1.7)
    assert not [
        each for each in found(played(clip, kinds, bobbing(clip))) if "is linear" in each.says
    ]


@pytest.mark.parametrize(("radius", "told"), [(0.08, 0), (0.3, 1)])
def test_what_is_not_seen_is_let_alone(radius, told):
    """The smooth curve goes .6 cm and 2.3 cm off the chord of an eighth of the circle."""
    clip = carried(circle(radius), height_m=1.7)
    assert len(found(played(clip, {AT: "LINEAR"}, bobbing(clip)))) == told


def test_an_even_mover_and_declared_events_are_let_alone():
    clip = carried(circle(), height_m=1.7)
    wrong = played(clip, {AT: "LINEAR"}, bobbing(clip))
    hit = Event(frames=(FRAMES[1] - 1, FRAMES[1] + 1))
    assert not found(replace(wrong, meta=replace(wrong.meta, events=(hit,))))
    still = with_mover(wrong, np.zeros((len(wrong.frames), 3)))
    assert found(still)
    moves = [replace(curve, drives=still.joints) for curve in still.meta.curves]
    assert not found(replace(still, meta=replace(still.meta, curves=tuple(moves))))


@pytest.mark.parametrize(("scale", "fps"), [(0.01, 24.0), (100.0, 30.0)])
def test_neither_size_nor_rate_matters(scale, fps):
    clip = carried(circle(), scale=scale, fps=fps)
    (finding,) = found(played(clip, {AT: "LINEAR"}))
    assert finding.frames == FRAMES
    assert not found(played(clip, {}))
