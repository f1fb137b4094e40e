# SPDX-License-Identifier: GPL-3.0-or-later
"""The corpus's figure: local channels and back, and edits that carry a whole limb."""

import numpy as np
from figures import NAMES, figure
from scipy.spatial.transform import Rotation

from tests.quality.figure import channels_of, posed, rebuild, subtree

CLIP = figure()
ELBOW = NAMES.index("forearm.L")


def same_turns(a, b):
    return np.abs(np.sum(a * b, axis=-1)).min() > 1 - 1e-12


def test_channels_give_the_clip_again():
    back = posed(CLIP, channels_of(CLIP))
    np.testing.assert_allclose(back.positions, CLIP.positions, atol=1e-12)
    assert same_turns(back.rotations, CLIP.rotations)


def test_what_hangs_on_an_elbow():
    assert [NAMES[j] for j in subtree(CLIP, ELBOW)] == ["forearm.L", "hand.L"]


def test_a_turn_carries_the_limb_about_its_joint():
    turn = np.tile([1.0, 0, 0, 0], (48, 1))
    turn[20] = np.roll(Rotation.from_euler("z", 30, degrees=True).as_quat(), 1)
    bent = rebuild(CLIP, ELBOW, turn=turn)
    np.testing.assert_array_equal(
        np.delete(bent.positions, 20, 0), np.delete(CLIP.positions, 20, 0)
    )
    elbow, hand = ELBOW, NAMES.index("hand.L")
    np.testing.assert_allclose(bent.positions[20, elbow], CLIP.positions[20, elbow])
    lever = CLIP.positions[20, hand] - CLIP.positions[20, elbow]
    expected = Rotation.from_euler("z", 30, degrees=True).apply(lever)
    np.testing.assert_allclose(bent.positions[20, hand] - bent.positions[20, elbow], expected)
    others = [j for j in range(len(NAMES)) if j not in (elbow, hand)]
    np.testing.assert_array_equal(bent.rotations[20, others], CLIP.rotations[20, others])
    assert not same_turns(bent.rotations[20, hand], CLIP.rotations[20, hand])


def test_a_shift_carries_the_limb():
    shift = np.zeros((48, 3))
    shift[10:12] = [0, 0.05, 0]
    moved = rebuild(CLIP, ELBOW, shift=shift).positions - CLIP.positions
    np.testing.assert_allclose(moved[10:12, ELBOW, 1], 0.05)
    assert np.abs(moved[:, NAMES.index("upper_arm.L")]).max() == 0.0
