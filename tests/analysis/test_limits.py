# SPDX-License-Identifier: GPL-3.0-or-later
"""The limits of the checks, as their definitions word them, computed here by other means."""

from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES, figure, names, spike

from analysis import Settings, check_clip
from analysis import quaternions as quat

ONCE, LOOP = Settings(cycle="no"), Settings(cycle="yes")
POP = Settings(cycle="no", checks=("pop",))
HEIGHT_M = 1.78
# As `python -m analysis checks` says: frames left out -> factors on what is left and the median.
FACTORS = {1: (5.0, 2.7), 2: (8.0, 2.4), 3: (8.0, 2.4)}


def residual(path, start, width):
    """A block's distances from a quartic through 3 frames on either side."""
    time = np.arange(start - 3, start + width + 3)
    inside = (time >= start) & (time < start + width)
    fitted = [
        np.polyval(np.polyfit((time - start)[~inside], path[time[~inside], axis], 4), range(width))
        for axis in range(3)
    ]
    return path[time[inside]] - np.array(fitted).T


def size(path, start, width):
    return np.linalg.norm(residual(path, start, width), axis=-1).max()


def rough(path, start, width):
    """What the path's own roughness hides of a block: what is left, and the median of .75 s."""
    repaired = path.copy()
    repaired[start : start + width] -= residual(path, start, width)
    left = [size(repaired, start + shift, width) for shift in range(-4, 5)]
    around = [size(path, at, width) for at in range(start - 18, start + 19)]
    on_left, on_median = FACTORS[width]
    return max(on_left * np.sqrt(np.mean(np.square(left))), on_median * np.median(around))


def trembling(size=0.004):
    """(48,3) a tremble from frame to frame."""
    return np.outer((-1.0) ** np.arange(48), [size, 0.0, 0.0])


def shaken(size):
    """(48,3) a shake that no polynomial follows."""
    return np.outer(np.random.default_rng(7).choice([-1.0, 1.0], 48), [size, 0.0, 0.0])


@pytest.mark.parametrize("width", FACTORS)
def test_a_pop_s_limit_is_what_its_definition_says(width):
    shift = trembling() + np.outer(spike(48, 22, 0.6, width), [0, 0, 1])
    clip = figure(shift=shift, speed=0.0)
    (found,) = check_clip(clip, POP).findings
    assert found.frames == (23, 22 + width)
    root = np.array(clip.positions[:, 0])
    tip = root + [0, 0, 0.15]
    path = tip if found.point.endswith("(tip)") else root
    assert found.limit == pytest.approx(100.0 * rough(path, 22, width), rel=0.02)
    assert found.amount == pytest.approx(100.0 * size(path, 22, width), rel=0.02)


@pytest.mark.parametrize(("joint", "least"), [("root", 0.0076), ("hand.L", 0.0132)])
@pytest.mark.parametrize(("share", "found"), [(0.9, 0), (1.1, 1)])
def test_a_smaller_pop_is_not_seen(joint, least, share, found):
    """Of the height: 1.3 cm at 1.7 m of the trunk, 2.2 cm of limbs; seen at the hand's tip."""
    metres = share * least * HEIGHT_M
    if joint == "root":
        clip = figure(shift=np.outer(spike(48, 22, metres), [0, 0, 1]), speed=0.0, period_s=1e6)
    else:
        turn = 2.0 * np.arcsin(metres / (2.0 * 0.15))
        clip = figure(turns={joint: spike(48, 22, turn)}, speed=0.0, period_s=1e6)
    assert len(check_clip(clip, POP).findings) == found


@pytest.mark.parametrize(("share", "found"), [(0.9, 0), (1.1, 1)])
def test_a_knee_must_be_off_by_twice_as_much(share, found):
    """Of the height 2.64 % (4.5 cm at 1.7 m): near full reach clean knees swing out as well."""
    clip = figure(speed=0.0, period_s=1e6)
    positions = np.array(clip.positions)
    positions[22, NAMES.index("shin.L"), 0] += share * 2.0 * 0.0132 * HEIGHT_M
    shot = check_clip(replace(clip, positions=positions), POP)
    assert len(shot.findings) == found


@pytest.mark.parametrize(("share", "found"), [(0.3, 0), (0.5, 1)])
@pytest.mark.parametrize("way", [(0, 0, 1), (1, 0, 0), (0, 1, 0), (0, -1, 0)])
def test_a_pop_that_hides_in_fast_motion_is_not_seen(share, found, way):
    """It must be off by .4 of what the point travels in a frame: 5.8 cm at this walk."""
    clip = figure(shift=np.outer(spike(48, 22, share * 1.4 / 24.0), way))
    assert len(check_clip(clip, POP).findings) == found


def test_a_pop_of_three_frames_is_told_as_three_and_of_one_as_one():
    for width in FACTORS:
        shot = check_clip(figure(shift=np.outer(spike(48, 22, 0.06, width), [0, 0, 1])), POP)
        assert [f.frames for f in shot.findings] == [(23, 22 + width)]


def fourth(path):
    """A third of the fourth differences' lengths, by numpy's own differences."""
    return np.linalg.norm(np.diff(path, 4, axis=0), axis=-1) / 3.0


def wrapped(path):
    return np.concatenate((path[-4:], path, path[:4]))


@pytest.mark.parametrize(("share", "breaks"), [(0.8, False), (1.2, True)])
def test_a_seam_s_limit_is_what_its_definition_says(share, breaks):
    """Of one hand: what is usual is the most of both hands, whose fingertips turn alike."""
    turns = {"hand.R": 0.5 * np.sin(8 * np.pi * np.arange(48) / 48)}
    plain = figure(speed=0.0, period_s=1e6, turns=turns)
    tips = [
        np.array(plain.positions[:, at])
        + 0.15 * quat.rotate(plain.rotations[:, at], np.array([0.0, 1.0, 0.0]))
        for at in (NAMES.index("hand.L"), NAMES.index("hand.R"))
    ]
    left, right = (fourth(wrapped(tip)).max() for tip in tips)
    assert right > 1.5 * left
    limit = 1.65 * (1.0 + 2.0 / 44.0) * (3e-4 * HEIGHT_M + right)
    # A ramp over the whole loop breaks nothing but the seam, by its height.
    ramp = share * limit / 0.15 * (np.arange(48) / 48.0 - 0.5)
    shot = check_clip(figure(speed=0.0, period_s=1e6, turns=turns | {"hand.L": ramp}), LOOP)
    assert names(shot) == ([("loop_seam", "hand.L")] if breaks else [])
    for each in shot.findings:
        assert each.limit == pytest.approx(100.0 * limit, rel=0.1)
        assert each.amount == pytest.approx(100.0 * share * limit, rel=0.2)


@pytest.mark.parametrize(("share", "breaks"), [(0.8, False), (1.25, True)])
def test_a_whole_body_s_limit_at_a_seam_is_what_its_definition_says(share, breaks):
    plain = figure(speed=0.0, shift=shaken(0.01))
    paths = [wrapped(np.array(plain.positions[:, at])) for at in range(len(NAMES))]
    jumps = np.stack([np.diff(path, 4, axis=0) / 3.0 for path in paths], axis=1)[4:-4]
    weights = 1.0 / (np.mean(np.sum(jumps**2, axis=-1), axis=0) + (1e-4 * HEIGHT_M) ** 2)
    together = np.einsum("b,tbx->tx", weights / weights.sum(), jumps)
    usual = np.linalg.norm(together, axis=-1).max()
    limit = 1.25 * (1.0 + 2.0 / 44.0) * (1e-4 * HEIGHT_M + usual)
    ramp = np.outer(np.arange(48) / 48.0 - 0.5, [0, 0, share * limit])
    shot = check_clip(figure(speed=0.0, shift=shaken(0.01) + ramp), LOOP)
    assert names(shot) == ([("loop_seam", "root")] if breaks else [])
    for each in shot.findings:
        assert each.limit == pytest.approx(100.0 * limit, rel=0.1)


@pytest.mark.parametrize(
    ("metres", "step", "severity"),
    [(0.014, 0.0, "minor"), (0.017, 0.0, "major"), (0.03, 1.4, "major")],
)
def test_major_is_what_can_be_seen(metres, step, severity):
    """From 1.5 cm at 1.7 m on, if it does not hide in fast motion."""
    shift = np.outer(spike(48, 22, metres), [0, 0, 1])
    (found,) = check_clip(figure(shift=shift, speed=step), POP).findings
    assert found.severity == severity


@pytest.mark.parametrize(("times", "severity"), [(1.15, "minor"), (1.35, "major")])
def test_major_is_clearly_over_the_limit(times, severity):
    """1.25 times, whatever its size: here a tremble hides all that is smaller."""
    plain = figure(shift=trembling(0.02), speed=0.0, period_s=1e6)
    tip = np.array(plain.positions[:, 0]) + [0, 0, 0.15]
    there = residual(tip, 22, 1)[0]
    way = there / np.linalg.norm(there)
    shift = trembling(0.02) + np.outer(spike(48, 22, times * rough(tip, 22, 1)), way)
    clip = figure(shift=shift - spiked(there), speed=0.0, period_s=1e6)
    found = check_clip(clip, POP).findings
    assert [each.severity for each in found] == [severity]


def spiked(there):
    """(48,3) zero but for one sample."""
    only = np.zeros((48, 3))
    only[22] = there
    return only


def test_every_check_names_its_part_in_order_of_mending():
    shift = np.outer(spike(48, 22, 0.05), [0, 0, 1])
    turns = {"hand.L": spike(48, 10, 0.6), "head": spike(48, 34, 0.4)}
    shot = check_clip(figure(shift=shift, turns=turns), ONCE)
    assert names(shot) == [("pop", "root"), ("pop", "head"), ("pop", "hand.L")]
