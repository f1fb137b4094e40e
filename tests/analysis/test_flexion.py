# SPDX-License-Identifier: GPL-3.0-or-later
"""How far a knee bends and which way, whatever its bones twist."""

from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES
from scipy.spatial.transform import Rotation
from test_locked_knee import leg

from analysis import Settings
from analysis import quaternions as quat
from analysis.basis import build_basis
from analysis.limbs import find_limbs


def test_flexion_is_the_angle_that_scipy_has_between_the_bones():
    rng = np.random.default_rng(4)
    knee, hip = rng.uniform(-10.0, 120.0, 30), rng.uniform(-60.0, 40.0, 30)
    clip = leg(knee, hip)
    limb = find_limbs(build_basis(clip, Settings()))[0]
    thigh, shin = (
        Rotation.from_quat(np.roll(clip.rotations[:, NAMES.index(name)], -1, axis=1))
        for name in ("thigh.L", "shin.L")
    )
    # About the figure's own left: bending is positive (Grood & Suntay 1983).
    turned = (thigh.inv() * shin).magnitude()
    assert np.radians(np.abs(limb.flexion_deg)) == pytest.approx(turned, abs=1e-6)
    assert limb.flexion_deg == pytest.approx(knee, abs=1e-6)


@pytest.mark.parametrize("bone", ["thigh.L", "shin.L"])
@pytest.mark.parametrize("degrees", [-150.0, 100.0, 150.0])
def test_a_bone_that_twists_along_the_limb_turns_no_knee_round(bone, degrees):
    """As a rig's deform bones do: the limb stands where it stood."""
    knee = np.linspace(-10.0, 120.0, 30)
    clip = leg(knee, np.linspace(-60.0, 40.0, 30))
    at, below = (NAMES.index(n) for n in (bone, "shin.L" if bone == "thigh.L" else "foot.L"))
    along = clip.positions[10:20, below] - clip.positions[10:20, at]
    along *= np.radians(degrees) / np.linalg.norm(along, axis=1, keepdims=True)
    twist = np.roll(Rotation.from_rotvec(along).as_quat(), 1, axis=1)
    turns = clip.rotations.copy()
    turns[10:20, at] = quat.multiply(twist, turns[10:20, at])
    limb = find_limbs(build_basis(replace(clip, rotations=turns), Settings()))[0]
    assert limb.flexion_deg == pytest.approx(knee, abs=1e-6)
