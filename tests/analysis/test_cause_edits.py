# SPDX-License-Identifier: GPL-3.0-or-later
"""What the bench of causes does to a key: that key, and nothing else."""

import numpy as np
import pytest

from demo_scenes.rigify_human.beziers import BEZIER, EXTRAS, LINEAR, Keys
from tests.causes import edits

FRAMES = (1.0, 5.0, 9.0, 15.0)
VALUES = {0: (0.0, 1.0, 4.0, 2.0), 2: (0.5, 0.25, 0.0, -1.0)}


def keys_of(values):
    co = np.stack((FRAMES, values), axis=-1)
    third = np.array([1.0, 0.0])
    extras = {name: np.zeros(len(FRAMES), kind) for name, kind in EXTRAS}
    extras["interpolation"][:] = BEZIER
    return Keys(np.stack((co - third, co, co + third), axis=1), extras)


@pytest.fixture
def group():
    return {index: keys_of(values) for index, values in VALUES.items()}


def values_of(keys):
    return keys.points[:, 1, 1].tolist()


def changed_keys(before, after):
    """Places of the keys that differ, all of a key: place, handles, interpolation."""
    off = np.abs(after.points - before.points).max(axis=(1, 2)) > 0.0
    for name, values in before.extras.items():
        off |= values != after.extras[name]
    return np.flatnonzero(off).tolist()


def test_a_linear_key_is_linear_and_keeps_its_value(group):
    for index, keys in edits.linear(group, 9.0).items():
        assert changed_keys(group[index], keys) == [2]
        assert keys.extras["interpolation"].tolist() == [BEZIER, BEZIER, LINEAR, BEZIER]
        assert values_of(keys) == values_of(group[index])


def test_a_moved_key_takes_its_handles_along(group):
    keys = edits.moved(group, 5.0, {0: 0.3, 2: 0.0})[0]
    assert changed_keys(group[0], keys) == [1]
    np.testing.assert_allclose(keys.points[1, :, 1], [1.3, 1.3, 1.3])


def test_a_late_key_keeps_its_value(group):
    keys = edits.retimed(group, 9.0, 1.0)[2]
    assert keys.frames.tolist() == [1.0, 5.0, 10.0, 15.0]
    assert values_of(keys) == list(VALUES[2])
    assert edits.room(group, 9.0) == (4.0, 6.0)


def test_a_held_key_has_the_values_of_the_key_before(group):
    changed = edits.held(group, 9.0)
    assert values_of(changed[0]) == [0.0, 1.0, 1.0, 2.0]
    assert values_of(changed[2]) == [0.5, 0.25, 0.25, -1.0]


def test_a_stray_key_is_held_by_keys_beside_it(group):
    keys = edits.strayed(group, 12.0, {0: 0.7}, lambda _index, frame: 10.0 + frame)[0]
    np.testing.assert_allclose(keys.frames, [1.0, 5.0, 9.0, 11.0, 12.0, 13.0, 15.0])
    strayed = values_of(keys)[4] - 0.7
    beside = (values_of(keys)[3], values_of(keys)[5])
    assert min(beside) < strayed < max(beside)
    assert keys.extras["interpolation"][3:5].tolist() == [LINEAR, LINEAR]


def test_only_keys_on_the_frame_are_touched(group):
    group[2] = Keys(group[2].points + [[3.0, 0.0]], group[2].extras)
    assert list(edits.moved(group, 9.0, {0: 1.0, 2: 1.0})) == [0]
    assert edits.keyed_on(group, 12.0) == [2]


def test_a_flipped_quaternion_is_the_same_turn(group):
    changed = edits.flip_sign(group, 5.0)
    for index in VALUES:
        before, after = values_of(group[index]), values_of(changed[index])
        assert after[1] == pytest.approx(-before[1])
        assert after[:1] + after[2:] == before[:1] + before[2:]


@pytest.mark.parametrize(("on", "moved"), [(False, [1]), (True, [1, 2, 3])])
def test_a_flipped_angle_is_a_turn_on(group, on, moved):
    changed = edits.flip_round(group, 5.0, 0, 2.0 * np.pi, on=on)
    assert list(changed) == [0]
    off = np.array(values_of(changed[0])) - values_of(group[0])
    assert np.flatnonzero(off).tolist() == moved
    np.testing.assert_allclose(off[moved], 2.0 * np.pi)
