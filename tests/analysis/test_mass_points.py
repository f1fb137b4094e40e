# SPDX-License-Identifier: GPL-3.0-or-later
"""The centre of mass is the weighted mean of points on bones, which a ball can follow."""

import numpy as np
import pytest
from figures import figure

from analysis import PlumblineError, Settings
from analysis import quaternions as quat
from analysis.basis import build_basis
from analysis.basis.mass_points import mass_points


@pytest.mark.parametrize("masses", ["winter", "dumas"])
@pytest.mark.parametrize("scale", [1.0, 20.0])
def test_the_weighted_mean_of_its_points_is_the_centre_of_mass(masses, scale):
    basis = build_basis(figure(scale=scale), Settings(masses=masses))
    points = mass_points(basis)
    assert sum(point.share for point in points) == pytest.approx(1.0)
    assert len({point.joint for point in points}) == len(points)
    mean = np.zeros_like(basis.com)
    for point in points:
        joint = basis.clip.joint(point.joint)
        along = quat.rotate(basis.clip.rotations[:, joint], np.array([0.0, point.along_m, 0.0]))
        mean += point.share * (basis.clip.positions[:, joint] + along)
    assert mean == pytest.approx(basis.com, abs=1e-9 * scale)


def test_a_hand_counts_from_wrist_to_tip_and_a_shin_at_both_its_joints():
    """Winter 2009, Table 4.1: .006 of the mass at .506 of the hand; of .0465 of the shin, .567 at
    the knee and .433 at the ankle, where the foot's .0145 begins as well."""
    points = {point.joint: point for point in mass_points(build_basis(figure(), Settings()))}
    total = 0.081 + 0.497 + 2 * (0.028 + 0.016 + 0.006 + 0.1 + 0.0465 + 0.0145)
    hand, foot, shin = (points[f"{part}.L"] for part in ("hand", "foot", "shin"))
    assert hand.share == pytest.approx((0.006 + 0.016 * 0.43) / total)
    assert hand.along_m == pytest.approx(0.15 * 0.006 * 0.506 / (0.006 + 0.016 * 0.43))
    assert foot.share == pytest.approx((0.0145 + 0.0465 * 0.433) / total)
    assert shin.share == pytest.approx((0.0465 * 0.567 + 0.1 * 0.433) / total)


def test_without_legs_there_is_none_and_heels_are_refused():
    clip = figure()
    roles = {"root": ("root",), "chest": ("chest",), "head": ("head",)}
    legless = figure(roles=roles)
    assert mass_points(build_basis(legless, Settings())) is None
    with pytest.raises(PlumblineError, match="from heel to toe, expected segments that end at"):
        mass_points(build_basis(clip, Settings(masses="de_leva")))
