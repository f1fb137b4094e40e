# SPDX-License-Identifier: GPL-3.0-or-later
"""The outline of a rig that is no figure, and trees of any size and order."""

import time

import numpy as np
import pytest

from analysis.roles import between, guess_roles, outline_joints
from analysis.roles.tree import children_of, depths, tips_first


def test_outline_takes_roots_branches_and_tips_and_at_most_24():
    #     0-1-2-3   and  1-4: the chain's middle (2) is left out
    assert outline_joints([-1, 0, 1, 2, 1]) == [0, 1, 3, 4]
    fingers = [-1] + [0] * 60
    rest = np.zeros((61, 3))
    rest[1:, 0] = np.arange(1, 61)
    kept = outline_joints(fingers, rest)
    assert len(kept) == 24
    assert kept[0] == 0
    assert kept[1:] == list(range(38, 61))


def test_long_ropes_and_thick_hair_take_no_time():
    """Sizes that a recursion or a walk to the root from every joint cannot take."""
    rope = 20000
    start = time.perf_counter()
    rest = np.zeros((rope, 3))
    rest[:, 2] = np.arange(rope)
    names = [f"b{n}" for n in range(rope)]
    assert guess_roles(names, [*range(-1, rope - 1)], rest).how == "none"
    assert outline_joints([*range(-1, rope - 1)], rest) == [0, rope - 1]
    strands = [-1] + [0 if n % 4 == 0 else n for n in range(1200)]
    rest = np.random.default_rng(5).normal(size=(1201, 3))
    guess_roles([f"b{n}" for n in range(1201)], strands, rest)
    assert len(outline_joints(strands, rest)) == 24
    assert time.perf_counter() - start < 5.0


def test_joints_that_keys_move_come_first_in_an_outline():
    many = [-1] + [0] * 60
    rest = np.zeros((61, 3))
    rest[1:, 0] = np.arange(1, 61)
    kept = outline_joints(many, rest, first={3, 4})
    assert kept == [0, 3, 4, *range(40, 61)]
    assert outline_joints(many, rest, first=range(1, 31)) == list(range(7, 31))
    assert outline_joints([-1, 0, 1], first={1}) == [0, 2]


@pytest.mark.parametrize("seed", range(20))
def test_depths_and_order_of_any_tree(seed):
    random = np.random.default_rng(seed)
    order = random.permutation(40)
    parents = [0] * 40
    for place, joint in enumerate(order):
        parents[joint] = -1 if place == 0 else int(order[random.integers(place)])
    found = depths(parents)
    assert all(found[j] == (0 if p < 0 else found[p] + 1) for j, p in enumerate(parents))
    seen = set()
    for joint in tips_first(parents):
        assert seen >= set(children_of(parents)[joint])
        seen.add(joint)


def test_the_tree_of_a_long_chain():
    long = [*range(-1, 20000)]
    assert between(long, range(0, 20000, 2)) == [*range(-1, 9999)]
    # Parents may come after their children in the list.
    assert between([2, 0, -1, 1], [0, 3, 2]) == [2, 0, -1]
