# SPDX-License-Identifier: GPL-3.0-or-later
"""What a key would likely be: exact where motion is a cubic, told by other channels where poses go
together, and unsure where neither says it."""

from types import SimpleNamespace

import numpy as np
import pytest

from analysis import keys
from analysis.cause import MOST_MISSED
from analysis.causes.groups import Group
from analysis.causes.likely import likely, likely_off
from analysis.causes.values import off_as_played, off_smoothest
from analysis.curves import Curve

FRAMES = np.arange(1.0, 60.0)
KEYS = (1.0, 4.0, 8.0, 11.0, 16.0, 20.0, 24.0, 27.0, 31.0, 36.0, 40.0, 43.0, 48.0, 52.0, 56.0, 59.0)


def group_of(values):
    """A location's x with keys of these values."""
    count = len(KEYS)
    pairs = tuple(zip(KEYS, map(float, values), strict=True))
    curve = Curve(
        control="torso",
        channel="location.x",
        data_path='pose.bones["torso"].location',
        index=0,
        action="walk",
        strip=None,
        frames=KEYS,
        action_frames=KEYS,
        values=tuple(map(float, values)),
        interpolation=("BEZIER",) * count,
        handle_left=tuple((frame - 1.0, value) for frame, value in pairs),
        handle_right=tuple((frame + 1.0, value) for frame, value in pairs),
        handle_types=(("AUTO_CLAMPED", "AUTO_CLAMPED"),) * count,
        key_types=("KEYFRAME",) * count,
    )
    return Group("torso", "location", (keys.recomputed(curve),), (0,))


def basis_of(group, *others):
    """The basis of a clip that plays the group, and beside it other controls' x through values
    on its keys."""
    played = [keys.values_at(each.curves[0], FRAMES) for each in (group, *map(group_of, others))]
    names = ("torso|location.x", *(f"hand{n}|location.x" for n in range(len(others))))
    clip = SimpleNamespace(channels=names, channel_values=np.stack(played, axis=-1))
    return SimpleNamespace(clip=clip, frames=FRAMES, height=SimpleNamespace(scene_m=1.7))


def cubic(frames):
    t = (np.asarray(frames) - 30.0) / 30.0
    return 0.4 * t**3 - 0.3 * t * t + 0.1 * t


def held(values, n):
    values = np.array(values, dtype=float)
    values[n] = values[n - 1]
    return values


@pytest.mark.parametrize("n", [4, 7, 11])
def test_a_cubic_is_told_whatever_the_key_holds(n):
    group = group_of(held(cubic(KEYS), n))
    told = likely(basis_of(group), group, KEYS[n])
    np.testing.assert_allclose(told.values, [cubic(KEYS[n])], atol=1e-12)
    assert told.miss < 0.002  # the first and the last inner key have but three neighbours


def poses(seed=3):
    """What poses add to a smooth way: to the torso, and alike to two hands."""
    rng = np.random.default_rng(seed)
    ways = rng.normal(size=(2, len(KEYS))) * 0.05
    torso = cubic(KEYS) + ways[0] - ways[1]
    return torso, (ways[0] + 0.3, 0.7 * ways[1]), rng.normal(size=(2, len(KEYS))) * 0.05


def test_what_goes_along_at_a_pose_tells_what_the_neighbours_do_not():
    torso, hands, unrelated = poses()
    n = 8
    group = group_of(held(torso, n))
    alone, told, noise = (
        likely(basis_of(group, *others), group, KEYS[n]) for others in ((), hands, unrelated)
    )
    off = abs(float(alone.values[0]) - torso[n])
    assert off > 0.02
    assert abs(float(told.values[0]) - torso[n]) < 0.3 * off
    assert told.miss < 0.5 * alone.miss
    assert noise.miss > 0.8 * alone.miss  # what does not go along is not believed


def test_ends_and_few_keys_tell_nothing():
    group = group_of(cubic(KEYS))
    assert likely(basis_of(group), group, KEYS[0]) is None
    assert likely(basis_of(group), group, KEYS[-1]) is None
    assert likely(basis_of(group), group, 5.0) is None  # no key


def rough_of(basis, group, n):
    return off_smoothest(basis, group, KEYS[n])


@pytest.mark.parametrize("n", [5, 7, 8])
def test_a_held_key_is_told_as_its_curves_really_play(n):
    """Clamped handles lie flat at a key that repeats its neighbour, and not where it belongs."""
    values = held(cubic(KEYS), n)
    group = group_of(values)
    basis = basis_of(group)
    rough, meant = rough_of(basis, group, n), cubic(KEYS[n]) - values[n]
    played = off_as_played(basis, group, KEYS[n], rough)
    assert abs(played[0] - meant) < 0.1 * abs(rough[0] - meant)
    off, misses = likely_off(basis, group, KEYS[n], rough)
    assert off == pytest.approx([meant], rel=0.03)
    assert misses < 0.1


def test_where_the_two_ways_part_a_value_is_not_sure():
    torso, _hands, _unrelated = poses()
    group = group_of(held(torso, 8))
    basis = basis_of(group)
    _off, misses = likely_off(basis, group, KEYS[8], rough_of(basis, group, 8))
    assert misses > MOST_MISSED
