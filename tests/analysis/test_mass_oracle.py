# SPDX-License-Identifier: GPL-3.0-or-later
"""The centre of mass against PyPI's center-of-mass 1.0.1, which finds it from markers.

Its `Kinematics` follow Dumas & Wojtusch 2018 and, with few markers, Tisserand et al. 2016. The
markers are put where the figure's joints are, so that both see the same joint centres; its pelvis
is asked for at the hips by its own scaling.
"""

import contextlib
import io

import numpy as np
import pytest
from center_of_mass import Kinematics, kinematic
from figures import NAMES, figure
from scipy.spatial.transform import Rotation
from walker import walk

from analysis import Settings
from analysis.basis import build_basis

# The figure faces along -Y, its left is +X: forwards, upwards, rightwards.
AXES = np.array([[0.0, -1.0, 0.0], [0.0, 0.0, 1.0], [-1.0, 0.0, 0.0]])
OF_PARTS = {"SHO": "upper_arm", "ELL": "forearm", "WRU": "hand", "FLE": "shin", "LMAL": "foot"}


def turned(clip, joint, offset):
    """(T,3) a point of a joint, given at rest in the world's axes."""
    at = NAMES.index(joint)
    now, rest = (
        np.asarray(each)[..., [1, 2, 3, 0]] for each in (clip.rotations, clip.rest_rotations)
    )
    turn = Rotation.from_quat(now[:, at]) * Rotation.from_quat(rest[at]).inv()
    return clip.positions[:, at] + turn.apply(offset)


def pelvis_markers(clip):
    """Markers from which the package finds hips at the figure's thighs."""
    scaling = kinematic.Pelvis_scaling["R_hip"]["male"]
    left, right = (clip.positions[:, NAMES.index(f"thigh.{side}")] for side in "LR")
    width = float(np.median(np.linalg.norm(left - right, axis=-1))) / (2.0 * scaling[2])
    middle = 0.5 * (left + right) - width * (scaling[0] * AXES[0] + scaling[1] * AXES[1])
    return {
        "LASI": middle - 0.5 * width * AXES[2],
        "RASI": middle + 0.5 * width * AXES[2],
        "PSI": middle - 0.1 * AXES[0],
    }


def markers(clip):
    """Their names and paths (3,T)."""
    found = pelvis_markers(clip)
    for side in "LR":
        for name, part in OF_PARTS.items():
            found[side + name] = clip.positions[:, NAMES.index(f"{part}.{side}")]
        found[f"{side}DMC5"] = turned(clip, f"hand.{side}", [0.0, 0.0, -0.15])
    found["Vertex"] = turned(clip, "head", [0.0, 0.0, 0.16])
    found["Sellion"] = turned(clip, "head", [0.0, -0.1, 0.1])
    return {name: np.asarray(path).T for name, path in found.items()}


def theirs(clip):
    """(T,3) the centre of mass as the package has it."""
    placed = markers(clip)
    with contextlib.redirect_stdout(io.StringIO()):  # it tells what it works out
        return Kinematics(placed, list(placed), "male").calculate_CoM().T


def ours(clip, masses):
    return build_basis(clip, Settings(masses=masses, cycle="no")).com


def test_their_hips_are_ours():
    clip = walk()
    placed = markers(clip)
    found = Kinematics(placed, list(placed), "male")
    found.calculate_Pelvis(list(placed))
    for side in "LR":
        hip = clip.positions[:, NAMES.index(f"thigh.{side}")]
        np.testing.assert_allclose(found.Joint_centers[f"{side}_hip"].T, hip, atol=1e-9)


def swinging_arms():
    """It stands still but for its arms, which swing at all joints."""
    time = np.arange(48) / 24.0
    turns = {
        f"{part}.{side}": size * np.sin(6.0 * time + shift)
        for side in "LR"
        for part, size, shift in (
            ("upper_arm", 1.0, 0.0),
            ("forearm", 0.7, 0.4),
            ("hand", 0.5, 1.0),
        )
    }
    return figure(speed=0.0, turns=turns, period_s=1e9)


def test_arms_move_it_by_the_same_way():
    """What upper arms, forearms and hands do to it is theirs to a millionth of a metre."""
    clip = swinging_arms()
    mine, other = ours(clip, "dumas"), theirs(clip)
    assert np.ptp(mine, axis=0).max() > 0.01
    np.testing.assert_allclose(mine - mine[0], other - other[0], atol=1e-6)


@pytest.mark.parametrize(
    ("masses", "off_m", "moves_m"),
    [("dumas", 0.025, 0.0015), ("winter", 0.04, 0.004), ("de_leva", 0.03, 0.003)],
)
def test_a_walk_has_it_where_they_have_it(masses, off_m, moves_m):
    """Where it lies in the trunk is told by tables to some centimetres; its way is the same.

    Their pelvis leads back from the hips, and their feet hang on as the shins do.
    """
    clip = walk()
    gap = ours(clip, masses) - theirs(clip)
    assert np.linalg.norm(gap, axis=-1).max() < off_m
    assert np.linalg.norm(gap - gap.mean(axis=0), axis=-1).max() < moves_m
