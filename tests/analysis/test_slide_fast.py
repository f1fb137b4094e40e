# SPDX-License-Identifier: GPL-3.0-or-later
"""`slide` on feet that are shifted faster than a foot that stands goes, held and captured ones."""

import numpy as np
import pytest
from walker import steer

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.basis.level import level_steps
from analysis.basis.shifts import shifted_steps

SLIDE = Settings(checks=("slide",), cycle="no")


def standing(fps, way, *, seconds=0.12, lift=0.0, root=0.0, noise=0.0, begins=0.8, raised=0.0):
    """Both feet stand for two seconds; the right one goes that way (x,y) along the floor from
    `begins` on, lifted by so much in between. The left one may be raised for a second then."""
    count = round(2 * fps)
    at = np.arange(count) / fps
    u = np.clip((at - begins) / seconds, 0.0, 1.0)
    hips = np.tile([root, 0.0, 0.80], (count, 1))
    ankles = {side: np.tile([x, 0.0, 0.08], (count, 1)) for side, x in (("L", 0.1), ("R", -0.1))}
    ankles["R"] += np.outer(u, [*way, 0.0]) + np.outer(np.sin(np.pi * u), [0.0, 0.0, lift])
    up = np.sin(np.pi * np.clip(at - 0.4, 0.0, 1.0)) ** 2
    ankles["L"] += np.outer(up, [0.0, 0.0, raised])
    rng = np.random.default_rng(3)
    for side, path in ankles.items():
        ankles[side] = path + noise * rng.uniform(-1.0, 1.0, path.shape)
    return steer(hips, ankles, fps)


def found(clip):
    return check_clip(clip, SLIDE).findings


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("far", [0.04, 0.06, 0.08])
def test_a_held_foot_that_is_shifted_fast_beside_the_other_slides(fps, far):
    """In an eighth of a second, while both feet stand: up to .7 m/s, faster than what stands."""
    (finding,) = found(standing(fps, (0.0, -far)))
    assert (finding.part, finding.severity) == ("foot.R", "major")
    assert finding.amount == pytest.approx(100 * far, rel=0.05)
    assert abs(finding.frames[0] - (1 + 0.8 * fps)) <= 3
    assert abs(finding.frames[1] - (1 + 0.92 * fps)) <= 3


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_foot_that_is_lifted_on_its_way_steps(fps):
    assert not found(standing(fps, (0.0, -0.08), seconds=0.2, lift=0.02))


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_a_foot_that_goes_further_than_a_shift_steps_along_the_floor(fps):
    assert not found(standing(fps, (0.0, -0.12), seconds=0.2))


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("far", [0.1, 0.12, 0.14])
@pytest.mark.parametrize("frames", [2, 3])
def test_a_foot_that_bears_the_body_alone_cannot_step(fps, far, frames):
    """It goes on as many frames, while the other foot is off the floor."""
    begins = round(0.8 * fps) / fps
    clip = standing(fps, (0.0, -far), begins=begins, seconds=frames / fps, root=-0.1, raised=0.15)
    assert [f.amount for f in found(clip)] == [pytest.approx(100 * far, rel=0.02)]


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_foot_that_trembles_is_shifted_while_it_bears_little(fps):
    """Every joint is off by up to half a millimetre, as captured feet are, and the hips stand over
    the other foot: dragged slowly the foot may be, but not from one stand to the next at once."""
    clip = standing(fps, (0.0, -0.08), root=0.06, noise=0.0005)
    assert [f.part for f in found(clip)] == ["foot.R"]
    slowly = standing(fps, (0.0, -0.08), root=0.06, noise=0.0005, seconds=0.6)
    assert not found(slowly)


def test_a_toe_that_slides_while_the_heel_rises_slides_all_the_way():
    """The toe keeps its height: no spot towards the heel stands, however little that one moves."""
    clip = standing(24.0, (0.0, 0.0))
    count, foot = len(clip.frames), clip.joints.index("foot.R")
    u = np.clip((np.arange(count) - 12) / 20.0, 0.0, 1.0)
    # Turned about the tip of the toe, which meanwhile slides 3 cm back.
    tip = np.array([-0.1, -0.16, 0.0])
    lift = np.stack((np.cos(u / 4), np.sin(u / 4), 0 * u, 0 * u), axis=-1)
    place, rotations = np.array(clip.positions), np.array(clip.rotations)
    gap = place[:, foot] - tip
    y, z = gap[:, 1], gap[:, 2]
    turned = np.stack(
        (
            gap[:, 0],
            np.cos(u / 2) * y - np.sin(u / 2) * z,
            np.sin(u / 2) * y + np.cos(u / 2) * z,
        ),
        axis=-1,
    )
    place[:, foot] = tip + turned + np.outer(u, [0.0, 0.03, 0.0])
    w, x, y0, z0 = lift.T
    a, b, c, d = rotations[:, foot].T
    rotations[:, foot] = np.stack(
        (w * a - x * b, w * b + x * a, w * c - x * d, w * d + x * c), axis=-1
    )
    assert not (y0.any() or z0.any())
    (finding,) = found(type(clip)(**{**vars(clip), "positions": place, "rotations": rotations}))
    assert finding.part == "foot.R"
    assert finding.amount == pytest.approx(3.0, abs=0.3)


@pytest.mark.parametrize("count", [2, 3, 5])
def test_ranges_too_short_to_tell_have_neither(count):
    clip = standing(24.0, (0.0, -0.08)).cut(1, count)
    basis = build_basis(clip, SLIDE)
    for soles in basis.soles:
        assert not np.any(shifted_steps(basis, soles))
        assert len(level_steps(basis, soles)) == count - 1


def test_in_gaps_nothing_touches():
    clip = standing(24.0, (0.0, -0.08))
    valid = np.ones((len(clip.frames), len(clip.joints)), dtype=bool)
    valid[10:40, clip.joints.index("foot.R")] = False
    basis = build_basis(type(clip)(**{**vars(clip), "valid": valid}), SLIDE)
    right = basis.soles[1]
    assert not level_steps(basis, right)[10:39].any()
    assert not shifted_steps(basis, right)[0][10:39].any()
