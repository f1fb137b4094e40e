# SPDX-License-Identifier: GPL-3.0-or-later
"""Roles of whole skeletons in the naming habits in use, and of rigs that are no figure."""

import numpy as np
import pytest
from skeletons import CAT, HABITS, cat

from analysis.roles import guess_roles, outline_joints
from analysis.roles.affixes import find_affixes
from analysis.roles.names import is_telling, tokens


@pytest.mark.parametrize("habit", HABITS, ids=lambda habit: habit.name)
def test_every_part_of_a_habit_and_nothing_else(habit):
    names, parents = habit.skeleton()
    roles = guess_roles(names, parents)
    assert roles.how == "names"
    assert {part: joints[0] for part, joints in roles.parts.items()} == habit.expected()


@pytest.mark.parametrize("habit", HABITS, ids=lambda habit: habit.name)
def test_the_order_of_the_bones_does_not_matter(habit):
    names, parents = habit.skeleton()
    order = np.random.default_rng(3).permutation(len(names)).tolist()
    moved = {old: new for new, old in enumerate(order)}
    shuffled = [names[old] for old in order]
    tree = [moved[parents[old]] if parents[old] >= 0 else -1 for old in order]
    roles = guess_roles(shuffled, tree)
    assert {part: joints[0] for part, joints in roles.parts.items()} == habit.expected()


@pytest.mark.parametrize("habit", HABITS, ids=lambda habit: habit.name)
def test_controls_of_the_same_names_change_nothing(habit):
    """A control rig over the bones, its controls named alike but moving no surface."""
    names, parents = habit.skeleton()
    controls = [f"{name}_ctrl" for name in names] + [f"MCH-{name}" for name in names]
    deform = [True] * len(names) + [False] * len(controls)
    roles = guess_roles(names + controls, parents + [-1] * len(controls), deform=deform)
    assert {part: joints[0] for part, joints in roles.parts.items()} == habit.expected()


def test_a_prefix_is_what_most_names_share_and_no_word_of_a_part():
    def prefix(names):
        return find_affixes([tokens(name) for name in names], is_telling).prefix

    assert prefix(["a_b_thigh_l", "a_b_thigh_r", "a_b_hand_l", "prop"]) == ("a", "b")
    assert prefix(["spine_01", "spine_02", "spine_03", "head"]) == ()
    assert prefix(["IK_foot_l", "IK_foot_r", "IK_hand_l", "IK_hand_r"]) == ()
    assert prefix(["a_thigh_l", "a_thigh_r", "hand_l", "hand_r"]) == ()


TURNS = {
    "standing": np.eye(3),
    "facing another way": [[0, -1, 0], [1, 0, 0], [0, 0, 1]],
    "nose up, or lying where Y is up": [[1, 0, 0], [0, 0, 1], [0, -1, 0]],
    "nose down": [[1, 0, 0], [0, 0, -1], [0, 1, 0]],
    "on its back": np.diag([1.0, -1.0, -1.0]),
}


@pytest.mark.parametrize("nameless", [False, True])
@pytest.mark.parametrize("turn", TURNS.values(), ids=TURNS)
def test_a_cat_is_no_figure(turn, nameless):
    names, parents, rest = cat(turn)
    if nameless:
        names = [f"bone{n}" for n in range(len(names))]
    roles = guess_roles(names, parents, rest)
    assert (roles.how, dict(roles.parts)) == ("none", {})


def test_names_that_tell_front_from_hind_legs_are_no_figure():
    names = ["hips", *(f"{name}.{s}" for s in "LR" for name in ("thigh", "shin", "foot"))]
    flat = [-1] + [0] * 6
    assert guess_roles(names, flat).how == "names"
    for more in (["front_thigh.L", "front_thigh.R"], ["HindLeg_L", "HindLeg_R"], ["foreleg_l"]):
        assert guess_roles(names + more, flat + [0] * len(more)).how == "none"
    human = ["leg_back_ctrl.L", "foot_front.L", "skirt_front_leg.L"]
    assert guess_roles(names + human, flat + [0] * 3).how == "names"


@pytest.mark.parametrize(
    ("names", "parents"),
    [
        (["base", "mast", "jib", "end", "hook"], [-1, 0, 1, 2, 3]),
        (["root", "blade", "grip"], [-1, 0, 0]),
        (["Bone", "Bone.001"], [-1, 0]),
    ],
    ids=["crane", "prop", "two bones"],
)
def test_a_crane_or_a_prop_alone_is_no_figure_but_has_an_outline(names, parents):
    rest = np.random.default_rng(1).normal(size=(len(names), 3))
    assert guess_roles(names, parents, rest).how == "none"
    assert outline_joints(parents, rest, names=names)[0] == 0


def test_an_outline_leaves_out_fingers_faces_helpers_and_cloth():
    names = ["root", "tail", "tail_tip", "jaw", "thumb_01_l", "cape_01", "leg_twist", "ear.L"]
    assert outline_joints([-1, 0, 1, 0, 0, 0, 0, 0], names=names) == [0, 2]
    assert outline_joints([-1, 0], names=["cape_01", "cape_02"]) == [0, 1]
    names = list(CAT)
    parents = [-1 if parent is None else names.index(parent) for parent, _place in CAT.values()]
    kept = {names[n] for n in outline_joints(parents, names=names)}
    assert {"spine", "tail.004", "hand.L", "r_toe.L", "spine.006"} <= kept
