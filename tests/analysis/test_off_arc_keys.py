# SPDX-License-Identifier: GPL-3.0-or-later
"""`off_arc` by the keys themselves: odd on their own curves, or a frame beside a pose."""

from dataclasses import replace

import numpy as np
import pytest

from analysis import Event
from analysis.keys import with_frame
from tests.analysis.arcs_keyed import STEP, carried, found, played

AT = 6
FRAME = STEP * AT + 1.0
ROUND = np.radians(45.0 * np.arange(13))
# Keys two frames apart, and what they swing by, radians.
DENSE = 2 * np.arange(13)
DENSE_FRAME = DENSE[AT] + 1.0
SWING = 0.3 * np.cos(ROUND / 3.0)


def nodding(angles, **meta):
    """Turns about one axis alone: no arc to be off."""
    half = 0.5 * np.asarray(angles)
    zero = 0.0 * half
    turns = np.stack((np.cos(half), np.sin(half), zero, zero), axis=-1)
    return carried(turns=turns, height_m=1.7, frames=DENSE, **meta)


def stray(angles, by, at=AT):
    moved = np.array(angles)
    moved[at] += by
    return moved


def test_a_key_that_is_odd_on_its_own_curve_is_told_with_what_to_type():
    wrong = stray(SWING, 0.05)
    (finding,) = found(nodding(wrong))
    assert finding.peak_frame == DENSE_FRAME
    assert "key of body on frame 13 (rotation)" in finding.says
    edits = {each.channel: each for each in finding.suggestion.edits}
    edit = edits["rotation_quaternion.x"]
    assert edit.before == pytest.approx(np.sin(0.5 * wrong[AT]))
    assert edit.after == pytest.approx(np.sin(0.5 * SWING[AT]), abs=0.2 * 0.025)
    mended = wrong.copy()
    mended[AT] = 2.0 * np.arcsin(edit.after)
    assert not found(nodding(mended))
    assert not found(nodding(SWING))


def test_how_far_it_is_off_is_what_the_furthest_point_shows():
    (finding,) = found(nodding(stray(SWING, 0.05)))
    clean, wrong = nodding(SWING), nodding(stray(SWING, 0.05))
    off = np.linalg.norm(wrong.positions - clean.positions, axis=-1)[DENSE[AT]]
    told = np.linalg.norm(finding.suggestion.offset)
    assert told == pytest.approx(off.max(), rel=0.35)


@pytest.mark.parametrize(
    "angles",
    [
        stray(SWING, 0.012),  # not seen
        stray(SWING, 0.4),  # a pose by itself
        stray(stray(stray(SWING, 0.05), 0.05, 3), -0.05, 9),  # what such keys do there
        np.where(np.arange(13) % 2, 0.3, -0.3),  # to and fro
        np.interp(np.arange(13.0), [0, 5, 8, 12], [0.0, 0.0, 0.6, 0.6]),  # a hold and a move
    ],
)
def test_keys_that_are_no_odder_than_others_are_let_alone(angles):
    assert not found(nodding(angles))


def test_legs_declared_hits_and_stepped_keys_are_let_alone():
    clip = nodding(stray(SWING, 0.05))
    hit = Event(frames=(DENSE_FRAME - 1, DENSE_FRAME + 1))
    assert not found(replace(clip, meta=replace(clip.meta, events=(hit,))))
    legs = tuple(each for each in clip.joints if each.startswith(("thigh", "shin", "foot")))
    moves = [replace(curve, drives=legs) for curve in clip.meta.curves]
    assert not found(replace(clip, meta=replace(clip.meta, curves=tuple(moves))))
    held = [replace(each, interpolation=("CONSTANT",) * 13) for each in clip.meta.curves]
    assert not found(replace(clip, meta=replace(clip.meta, curves=tuple(held))))


def along(frames=None):
    """A control that goes to and fro along one line, which no arc rule looks at."""
    places = np.stack((0.3 * np.sin(1.1 * np.arange(13)), 0.0 * ROUND, 0.0 * ROUND), axis=-1)
    return carried(places, height_m=1.7, frames=frames)


def posed(clip, by=0.0, at=AT, others=4, their_frames=None):
    """The clip with more controls that are keyed on its own key frames, or on others, and its
    own key `at` so many frames later."""
    wrong = played(
        clip, lambda curve: with_frame(curve, at, curve.frames[at] + by) if by else curve
    )
    curves, channels = list(wrong.meta.curves), list(wrong.channels)
    frames = clip.meta.curves[0].frames if their_frames is None else their_frames
    for n in range(others):
        also = replace(clip.meta.curves[1], control=f"other.{n}", drives=())
        curves.append(replace(also, frames=tuple(frames), action_frames=tuple(frames)))
        channels.append(f"other.{n}|{also.channel}")
    still = np.zeros((len(clip.frames), others))
    return replace(
        wrong,
        channels=tuple(channels),
        channel_values=np.concatenate((wrong.channel_values, still), axis=1),
        meta=replace(wrong.meta, curves=tuple(curves)),
    )


@pytest.mark.parametrize(("by", "when"), [(1.0, "late"), (-1.0, "early")])
def test_a_key_beside_the_pose_is_told_as_late_or_early(by, when):
    clip = along()
    wrong = posed(clip, by)
    (finding,) = found(wrong)
    assert f"body on frame {FRAME + by:.0f} (location) comes a frame {when}" in finding.says
    assert "4 other controls are keyed on 61" in finding.says
    assert "to frame 61" in finding.suggestion.text
    off = np.linalg.norm(wrong.positions[:, 0] - posed(clip).positions[:, 0], axis=-1)
    told = np.linalg.norm(finding.suggestion.offset)
    assert told == pytest.approx(off.max(), rel=0.02)
    assert off[int(finding.peak_frame) - 1] == pytest.approx(off.max())
    assert not found(posed(clip))


def test_without_a_pose_there_nobody_is_late():
    frames = along().meta.curves[0].frames
    assert not found(posed(along(), 1.0, others=0))
    assert not found(posed(along(), 1.0, their_frames=[each + 4.0 for each in frames]))
    assert not found(posed(along(), 1.0, their_frames=frames[:AT] + frames[AT + 1 :]))


def test_what_moves_on_offset_keys_is_late_by_right():
    """Every third key stands a frame later than the others' poses."""
    frames = STEP * np.arange(13) + (np.arange(13) % 3 == 0)
    theirs = [STEP * n + 1.0 for n in range(13)]
    assert not found(posed(along(frames), their_frames=theirs))
