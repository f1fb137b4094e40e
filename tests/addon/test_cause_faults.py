# SPDX-License-Identifier: GPL-3.0-or-later
"""The bench of causes plants what it says, as large as it says, and leaves nothing behind."""

import bpy
import numpy as np
import pytest

from tests.causes.bases import BASES
from tests.causes.case import TOGETHER, own_joints, planted
from tests.causes.curves import read_groups
from tests.causes.kinds import KINDS, region
from tests.causes.plan import TRIPLE
from tests.causes.takes import takes
from tests.causes.watch import apart

PORTER = next(base for base in BASES if base.source == "sidestep")
HUMAN = next(base for base in BASES if base.rig == "rigify" and base.source == "walk")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Where the clean shots are kept: each test opens its own."""
    return tmp_path_factory.mktemp("bases")


@pytest.fixture
def porter(folder):
    (take,) = takes([PORTER], folder)
    return take


def differing(take):
    """Groups whose curves are not the clean ones, with the frames of the keys that differ."""
    now = read_groups(take.rig, take.first, take.last)
    found = {}
    for name, group in now.items():
        clean = take.groups.get(name)
        frames = set()
        for index, keys in group.keys.items():
            if clean is None or len(keys.points) != len(clean.keys[index].points):
                frames |= set(keys.frames.tolist())
            else:
                other = clean.keys[index]
                off = np.abs(keys.points[:, 1] - other.points[:, 1]).max(axis=1) > 1e-6
                off |= keys.extras["interpolation"] != other.extras["interpolation"]
                frames |= set(keys.frames[off].tolist())
        if frames:
            found[(name.control, name.prop)] = frames
    return found


def first_case(take, kind):
    """The number of the first case of a kind that the take has a place for."""
    for number in range(8):
        with planted(take, kind, number) as faulted:
            if faulted is not None:
                return number
    raise AssertionError(f"no place for {kind}")


def check_case(take, kind):
    with planted(take, kind, first_case(take, kind)) as faulted:
        (truth,) = faulted.truths
        low, high = KINDS[kind].sizes_m
        assert 0.9 * low <= truth.size_m <= 1.1 * high
        if truth.wanted_m is not None:
            assert truth.size_m == pytest.approx(truth.wanted_m, rel=0.1)
        touched = differing(take)
        assert list(touched) == [(truth.control, truth.channel)]
        assert truth.frame in touched[truth.control, truth.channel]
        playing = take.rig.animation_data.action.name
        assert {curve.action for curve in faulted.clip.meta.curves} == {playing}
        frames = np.array(faulted.clip.frames)
        off = apart(take.sample(), faulted.clean)[:, own_joints(take)].max(axis=1)
        assert frames[off > 1e-3].tolist() == list(truth.frames), "the scene holds it"
        assert min(truth.frames) - 1 <= truth.frame <= max(truth.frames) + 1
        return truth


@pytest.mark.parametrize("kind", list(KINDS))
def test_a_fault_on_our_rig_is_one_key_as_large_as_it_says(porter, kind):
    truth = check_case(porter, kind)
    assert truth.kind == kind
    if kind == "spike":
        assert truth.frames == (truth.frame,), "a stray value is off on its frame alone"
    if kind == "influence":
        assert truth.frames[0] == truth.frame
    assert_clean(porter)


def assert_clean(take):
    assert differing(take) == {}
    assert not [c for bone in take.rig.pose.bones for c in bone.constraints if c.name == "planted"]
    assert apart(take.sample(), take.clip).max() < 1e-6


def test_three_faults_lie_in_three_chains_and_together(porter):
    with planted(porter, TRIPLE, first_case(porter, TRIPLE)) as faulted:
        truths = faulted.truths
        assert len({region(truth.control) for truth in truths}) == 3
        frames = [truth.frame for truth in truths]
        assert max(frames) - min(frames) <= TOGETHER
        assert all(truth.size_m > 0.01 for truth in truths)
        assert set(differing(porter)) == {(t.control, t.channel) for t in truths}
    assert_clean(porter)


@pytest.mark.skipif(bpy.app.version < (5, 0), reason="the bench is run in the highest Blender")
@pytest.mark.rigify
def test_faults_on_the_rigify_human_are_as_large_as_they_say(tmp_path, human_file):
    (take,) = takes([HUMAN], tmp_path, human_file)
    assert len({tuple(group.frames) for group in take.groups.values()}) == 1, "keyed on one grid"
    for kind in ("spike", "off_arc", "reach", "flip", "influence"):
        check_case(take, kind)
        assert_clean(take)
