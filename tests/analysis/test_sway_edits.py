# SPDX-License-Identifier: GPL-3.0-or-later
"""A stride that goes too far names the keys that lead it back, in the control's own axes."""

from dataclasses import replace

import numpy as np
import pytest
import walker
from scipy.spatial.transform import Rotation
from swaying import in_stride, swaying
from test_keys import curve_of
from walker import Walk

from analysis import Settings, check_clip, keys
from analysis.causes.asking import plan_trials
from analysis.causes.rank import find_causes
from analysis.pipeline import examine
from analysis.sway_edits import edits_text

PLAN = Walk(frames=168)
ASK = Settings(checks=("sway",), cycle="no")
# What carries the hips' control: turned, and half as large again.
TURN, SCALE = Rotation.from_euler("xyz", (20.0, -35.0, 70.0), degrees=True).as_matrix(), 1.5
STEP = 3


def keyed(clip, plan=PLAN, control="hips", strip=None):
    """The walk with its root keyed on threes by a control's location, and what these keys play."""
    root = clip.positions[:, 0]
    own = root @ TURN / SCALE
    frames = np.append(np.arange(0, plan.frames - 1, STEP), plan.frames - 1)
    drives = clip.joints
    curves = tuple(
        replace(
            curve_of(own[frames, k].tolist(), (frames + 1.0).tolist()),
            control=control,
            channel=f"location.{axis}",
            index=k,
            drives=drives,
            **(strip or {}),
        )
        for k, axis in enumerate("xyz")
    )
    return played(clip, curves, plan)


def played(clip, curves, plan=PLAN):
    """The walk whose root goes where its keys say; the feet stay."""
    own = np.stack([keys.values_at(curve, clip.frames) for curve in curves], axis=-1)
    root = own @ TURN.T * SCALE
    ways = {foot: walker._foot_way(plan, foot, ()) for foot in ("L", "R")}
    made = walker.steer(root, ways, plan.fps)
    matrices = np.tile(np.eye(4), (plan.frames, 1, 1, 1))
    matrices[:, 0, :3, :3], matrices[:, 0, :3, 3] = SCALE * TURN, root
    return replace(
        made,
        channels=tuple(f"{curve.control}|{curve.channel}" for curve in curves),
        channel_values=own,
        control_matrices=matrices,
        meta=replace(made.meta, curves=curves, controls=(curves[0].control,)),
    )


def edited(clip, edits):
    """The clip with these values typed into its keys."""
    curves = list(clip.meta.curves)
    for edit in edits:
        (k,) = (k for k, each in enumerate(curves) if each.channel == edit.channel)
        n = curves[k].frames.index(edit.frame)
        assert curves[k].values[n] == pytest.approx(edit.before)
        curves[k] = keys.with_value(curves[k], n, edit.after)
    return played(clip, tuple(curves))


@pytest.mark.parametrize("axis", ["side", "up"])
@pytest.mark.parametrize("times", [1.6, 2.0])
def test_typed_in_the_stride_goes_as_far_as_the_others(axis, times):
    clean = keyed(swaying(PLAN))
    assert check_clip(clean, ASK).findings == ()
    clip = keyed(swaying(PLAN, **{axis: in_stride(PLAN, 3, times)}))
    (finding,) = check_clip(clip, ASK).findings
    edits = finding.suggestion.edits
    first, last = finding.frames
    assert edits
    assert all(first - STEP <= edit.frame <= last + STEP for edit in edits)
    mended = edited(clip, edits)
    assert check_clip(mended, ASK).findings == ()
    before, after = (
        np.abs(each.positions[:, 0] - clean.positions[:, 0]).max() for each in (clip, mended)
    )
    assert after < 0.4 * before
    along = 0 if axis == "side" else 2
    across = [n for n in range(3) if n != along]
    moved = np.abs(mended.positions - clip.positions)[:, 0]
    assert moved[:, along].max() > 10.0 * moved[:, across].max()


def test_the_keys_are_said_and_the_search_for_causes_leaves_them():
    clip = keyed(swaying(PLAN, side=in_stride(PLAN, 3, 1.6)))
    examination = examine(clip, ASK)
    (finding,) = examination.shot.findings
    advice = finding.suggestion
    assert advice.text.endswith(edits_text(advice.edits))
    assert "Keys of hips: " in advice.text
    plan = plan_trials(examination)
    (told,) = find_causes(examination, plan, [None] * len(plan.trials)).findings
    assert told.suggestion.edits == advice.edits


def test_of_a_layer_that_counts_by_half_keys_move_twice_as_far():
    walk = swaying(PLAN, side=in_stride(PLAN, 3, 1.6))
    plain, half = keyed(walk), keyed(walk, strip={"weight": ((1.0, 0.5),)})
    ways = [
        np.array([e.after - e.before for e in check_clip(c, ASK).findings[0].suggestion.edits])
        for c in (plain, half)
    ]
    np.testing.assert_allclose(ways[1], 2.0 * ways[0], rtol=1e-6)


def test_keys_that_do_not_make_the_stride_are_not_named():
    """The control's keys stay where they are in other strides; something else moves the body."""
    walk = keyed(swaying(PLAN, side=in_stride(PLAN, 3, 1.6)))
    still = replace(walk, channel_values=np.zeros_like(walk.channel_values))
    (finding,) = check_clip(still, ASK).findings
    assert finding.suggestion.edits == ()
    assert "Keys of" not in finding.suggestion.text
