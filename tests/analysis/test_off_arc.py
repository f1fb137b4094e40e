# SPDX-License-Identifier: GPL-3.0-or-later
"""`off_arc` on keys whose arcs are known: circles, ellipses, spirals, bounces."""

from dataclasses import replace

import numpy as np
import pytest

from analysis import Event, Settings, check_clip
from analysis.arc_keys import key_errors
from analysis.arc_shape import arcs
from analysis.basis.build import build_basis
from tests.analysis.arcs_keyed import STEP, carried, found

AT = 6
FRAME = STEP * AT + 1.0
ROUND = np.radians(45.0 * np.arange(13))


def circle(radius=0.5, flat=1.0, growing=0.0):
    grown = radius * (1.0 + growing * ROUND)
    return np.stack((grown * np.cos(ROUND), flat * grown * np.sin(ROUND), 0.0 * ROUND), axis=-1)


def off(places, way, metres, at=AT):
    moved = places.copy()
    moved[at] += metres * np.asarray(way, float) / np.linalg.norm(way)
    return moved


def leaning(axis, angle):
    half = 0.5 * np.asarray(angle)[:, None]
    return np.concatenate((np.cos(half), np.sin(half) * axis), axis=-1)


def rocking():
    """Turns whose axis goes round: what they carry goes round a circle."""
    axes = np.stack((np.cos(ROUND), np.sin(ROUND), 0.0 * ROUND), axis=-1)
    return leaning(axes, np.full(len(ROUND), np.radians(20.0)))


@pytest.mark.parametrize("centimetres", [4.0, 6.0, 9.0])
@pytest.mark.parametrize("way", [(0, 0, 1), (0, -1, 0), (0, 1, 0.7)])
def test_a_key_off_a_circle_is_told_with_its_size_and_where_it_should_be(way, centimetres):
    places = circle()
    (finding,) = found(carried(off(places, way, centimetres / 100.0)))
    assert finding.peak_frame == FRAME
    assert finding.part == "root"
    assert "body on frame 61" in finding.says
    scale = finding.amount / (100.0 * np.linalg.norm(finding.suggestion.offset))
    assert finding.amount == pytest.approx(scale * centimetres, rel=0.2)
    back = finding.suggestion.offset / np.linalg.norm(finding.suggestion.offset)
    assert back @ (-np.asarray(way, float) / np.linalg.norm(way)) > 0.95


def test_what_is_to_be_typed_puts_the_key_back():
    places = circle()
    wrong = off(places, (0, -1, 1), 0.08)
    (finding,) = found(carried(wrong))
    edits = {edit.channel: edit for edit in finding.suggestion.edits}
    assert {edit.frame for edit in edits.values()} == {FRAME}
    mended = wrong.copy()
    for axis, name in enumerate("xyz"):
        edit = edits.get(f"location.{name}")
        if edit is not None:
            assert edit.before == pytest.approx(wrong[AT, axis])
            mended[AT, axis] = edit.after
    assert np.linalg.norm(mended[AT] - places[AT]) < 0.2 * 0.08
    assert not found(carried(mended))


QUIET = {
    "circle": circle(),
    "ellipse": circle(flat=0.4),
    "spiral": circle(growing=0.3),
    "line": np.stack((0.3 * np.arange(13.0), np.zeros(13), np.zeros(13)), axis=-1),
    "bounce": np.stack((0.2 * np.arange(13.0), np.zeros(13), np.abs(np.sin(ROUND))), axis=-1),
    "swing": np.stack((np.sin(1.7 * ROUND), 0.1 * np.cos(3.4 * ROUND), 0.0 * ROUND), axis=-1),
    "stays": np.zeros((13, 3)) + 1e-9 * ROUND[:, None],
}


@pytest.mark.parametrize("name", QUIET)
def test_keys_on_their_arcs_are_let_alone(name):
    assert not found(carried(QUIET[name]))


def test_a_key_that_is_early_is_on_its_arc():
    frames = STEP * np.arange(13)
    frames[AT] -= 6
    assert not found(carried(circle(), frames=frames))


def test_one_that_goes_too_far_along_its_way_overshoots():
    line = QUIET["line"].copy()
    line[7:] = line[6]
    line[6, 0] += 0.06
    assert not found(carried(line))


@pytest.mark.parametrize(("scale", "fps"), [(0.01, 24.0), (100.0, 30.0), (1.0, 60.0)])
def test_neither_size_nor_rate_matters(scale, fps):
    (finding,) = found(carried(off(circle(), (0, 0, 1), 0.06), scale=scale, fps=fps))
    assert finding.peak_frame == FRAME
    assert not found(carried(circle(), scale=scale, fps=fps))


def test_a_turn_off_its_arc_is_told_and_can_be_typed():
    turns = rocking()
    wrong = turns.copy()
    wrong[AT] = leaning(np.array([[np.cos(ROUND[AT]), np.sin(ROUND[AT]), 0.0]]), [0.26])[0]
    assert not found(carried(turns=turns))
    (finding,) = found(carried(turns=wrong))
    assert finding.peak_frame == FRAME
    new = wrong.copy()
    for edit in finding.suggestion.edits:
        new[AT, "wxyz".index(edit.channel[-1])] = edit.after
    before, after = (np.arccos(abs(each[AT] @ turns[AT])) for each in (wrong, new))
    assert after < 0.35 * before
    assert not found(carried(turns=new))


def test_an_extreme_may_lie_further_off():
    wrong = off(circle(), (0, 0, 1), 0.06)
    kinds = ["KEYFRAME"] * 13
    (plain,) = found(carried(wrong, kinds=kinds))
    kinds[AT] = "EXTREME"
    (extreme,) = found(carried(wrong, kinds=kinds))
    assert extreme.limit > plain.limit


def test_the_tolerance_widens_it():
    wrong = carried(off(circle(), (0, 0, 1), 0.06))
    limits = [found(wrong, tolerance=each)[0].limit for each in ("strict", "normal", "loose")]
    assert limits[0] < limits[1] < limits[2]


def test_declared_hits_and_gaps_are_not_judged():
    clip = carried(off(circle(), (0, 0, 1), 0.06))
    hit = Event(frames=(FRAME - 1, FRAME + 1))
    assert not found(replace(clip, meta=replace(clip.meta, events=(hit,))))
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[STEP * AT - 2 : STEP * AT + 3] = False
    assert not found(replace(clip, valid=valid))


def _why(clip):
    return dict(check_clip(clip, Settings(checks=("off_arc",), cycle="no")).skipped)["off_arc"]


def test_it_says_what_it_needs():
    line = np.stack((np.sin(ROUND), 0.0 * ROUND, 0.0 * ROUND), axis=-1)
    clip = carried(circle())
    assert "the clip has none" in _why(replace(clip, meta=replace(clip.meta, curves=())))
    assert "five keys" in _why(carried(line))
    assert "five keys" in _why(carried(circle()[:4]))
    assert "five keys" in _why(
        replace(clip, control_matrices=None, meta=replace(clip.meta, controls=()))
    )


def test_keys_are_ranked_and_can_be_asked_for():
    basis = build_basis(carried(off(circle(), (0, 0, 1), 0.06), rocking()), Settings())
    first, *rest = key_errors(basis)
    assert (first.control, first.group, first.frame) == ("body", "location", FRAME)
    assert first.clear > 2.0 * max(each.clear for each in rest)
    assert first.gain > 0.9
    turns = key_errors(basis, [("body", "rotation")], (FRAME, FRAME))
    assert [(each.group, each.frame) for each in turns] == [("rotation", FRAME)]


def test_an_arc_passes_through_its_keys_and_stays_near_a_circle():
    """Of 1 m, keyed every 45 degrees: the arc between two keys is within 1.2 cm of it."""
    four = [circle(1.0)[n][None] for n in range(4)]
    (path,) = arcs(*four)
    assert path[0] == pytest.approx(four[1][0])
    assert path[-1] == pytest.approx(four[2][0])
    assert np.abs(np.linalg.norm(path, axis=-1) - 1.0).max() < 0.012
