# SPDX-License-Identifier: GPL-3.0-or-later
"""Soles, from rest poses of all kinds."""

import numpy as np
import pytest
from figures import along
from walker import walk

from analysis import Meta, Settings
from analysis import quaternions as quat
from analysis.basis import build_basis
from analysis.meta import Prop


def basis(clip):
    return build_basis(clip, Settings(cycle="no"))


@pytest.mark.parametrize("degrees", [-90.0, 90.0, 180.0])
def test_a_rest_pose_may_lie(degrees):
    """On its back, on its face, or upside down: the soles are as thick as they are."""
    clip = walk()
    half = np.radians(degrees) / 2.0
    turn = np.broadcast_to([np.cos(half), np.sin(half), 0.0, 0.0], (len(clip.joints), 4))
    lies = type(clip)(
        **{
            **vars(clip),
            "rest_positions": quat.rotate(turn, clip.rest_positions),
            "rest_rotations": quat.multiply(turn, clip.rest_rotations),
        }
    )
    assert np.allclose(basis(lies).soles[0].sole.points, basis(clip).soles[0].sole.points)


def test_feet_that_point_down_at_rest_tell_no_heel():
    clip = walk()
    down = np.array(clip.rest_rotations)
    for side in ("L", "R"):
        down[clip.joint(f"foot.{side}")] = along((0.0, -0.02, -0.18))
    pointed = type(clip)(**{**vars(clip), "rest_rotations": down})
    found = basis(pointed)
    assert found.ground.floor_z == pytest.approx(0.0, abs=2e-3)
    heel = found.soles[0].sole.points[:, 0]
    assert np.array_equal(heel, clip.positions[:, clip.joint("foot.L")])


def test_a_prop_that_hangs_below_the_floor_moves_no_sole():
    clip = walk()
    count = len(clip.frames)
    low = np.tile([0.3, 0.0, -1.0], (count, 1, 1))
    still = np.tile([1.0, 0.0, 0.0, 0.0], (count, 1, 1))
    roles = {name: (name,) for name in clip.joints}
    prop = Prop(name="anchor", joint="anchor", held_by="hand.R")
    held = type(clip)(
        **{
            **vars(clip),
            "joints": (*clip.joints, "anchor"),
            "parents": [*clip.parents, clip.joint("hand.R")],
            "positions": np.concatenate((clip.positions, low), axis=1),
            "rotations": np.concatenate((clip.rotations, still), axis=1),
            "rest_positions": np.concatenate((clip.rest_positions, low[0])),
            "rest_rotations": np.concatenate((clip.rest_rotations, still[0])),
            "lengths": [*clip.lengths, 0.5],
            "meta": Meta(name="figure", roles=roles, props=(prop,)),
        }
    )
    assert basis(held).ground.floor_z == pytest.approx(0.0, abs=2e-3)
