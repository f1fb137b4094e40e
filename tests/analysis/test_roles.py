# SPDX-License-Identifier: GPL-3.0-or-later
"""Roles from names and from the shape of the rest pose."""

import numpy as np
import pytest
from figures import NAMES, OFFSETS, PARENTS

from analysis.roles import anatomical_parents, guess_roles

# Names as Blender's bundled Rigify gives them, and as BVH files commonly spell theirs
# (common practice, no source).
RIGIFY = [
    "root",
    "torso",
    "hips",
    "chest",
    "head",
    "hand_ik.L",
    "foot_ik.L",
    "ORG-spine",
    "MCH-torso.parent",
    "DEF-spine",
    *(f"DEF-spine.00{n}" for n in range(1, 7)),
    *(
        f"DEF-{name}.{side}{half}"
        for side in "LR"
        for name in ("upper_arm", "forearm", "thigh", "shin")
        for half in ("", ".001")
    ),
    *(
        f"DEF-{name}.{side}"
        for side in "LR"
        for name in ("shoulder", "hand", "foot", "toe", "f_index.01", "breast")
    ),
]
BVH = [
    "Hips",
    "Spine",
    "Spine1",
    "Spine2",
    "Neck",
    "Head",
    "HeadEnd",
    *(
        f"{side}{name}"
        for side in ("Left", "Right")
        for name in (
            "Shoulder",
            "Arm",
            "ForeArm",
            "Hand",
            "HandThumb1",
            "UpLeg",
            "Leg",
            "Foot",
            "ToeBase",
        )
    ),
]
OURS = ["mover", "body", "hips", "spine.1", "spine.2", "chest", "neck", "head", "knee_pole.L"] + [
    f"{name}.{side}"
    for side in "LR"
    for name in (
        "shoulder",
        "upper_arm",
        "forearm",
        "hand",
        "thigh",
        "shin",
        "foot",
        "toe",
        "foot_ik",
        "foot_roll",
    )
]


def guess(names):
    roles = guess_roles(names, [-1] + [0] * (len(names) - 1))
    assert roles.how == "names"
    return {part: joints[0] for part, joints in roles.parts.items()}


def test_rigify():
    parts = guess(RIGIFY)
    assert parts["root"] == "torso"
    assert parts["mover"] == "root"
    assert parts["pelvis"] == "DEF-spine"
    assert parts["chest"] == "DEF-spine.003"
    assert parts["head"] == "DEF-spine.006"
    assert parts["thigh.L"] == "DEF-thigh.L"
    assert parts["toe.R"] == "DEF-toe.R"
    assert len(parts) == 8 + 2 * 8


def test_rigify_lists_twist_halves_behind_the_main_joint():
    roles = guess_roles(RIGIFY, [-1] + [0] * (len(RIGIFY) - 1))
    assert roles.parts["shin.R"] == ("DEF-shin.R", "DEF-shin.R.001")


def test_bvh():
    parts = guess(BVH)
    assert parts["root"] == parts["pelvis"] == "Hips"
    assert [parts[p] for p in ("spine.1", "spine.2", "chest")] == ["Spine", "Spine1", "Spine2"]
    assert parts["shoulder.L"] == "LeftShoulder"
    assert parts["upper_arm.L"] == "LeftArm"
    assert parts["shin.R"] == "RightLeg"
    assert parts["toe.L"] == "LeftToeBase"
    assert "mover" not in parts


def test_our_own_rig():
    parts = guess(OURS)
    assert parts["mover"] == "mover"
    assert parts["root"] == "body"
    assert parts["pelvis"] == "hips"
    assert parts["spine.2"] == "spine.2"
    assert parts["foot.L"] == "foot.L"
    assert not any("ik" in joint or "pole" in joint for joint in parts.values())


def test_short_bvh_names():
    names = ["hips", "chest", "neck", "head"]
    names += [s + n for s in "lr" for n in ("hip", "knee", "ankle", "shoulder", "elbow", "wrist")]
    parts = guess(names)
    assert parts["thigh.L"] == "lhip"
    assert parts["upper_arm.R"] == "rshoulder"
    assert parts["hand.L"] == "lwrist"
    assert "shoulder.L" not in parts


def test_a_bone_called_root_is_the_mover_only_beside_a_body():
    legs = ["thigh.L", "shin.L", "thigh.R", "shin.R"]
    assert guess(["root", *legs])["root"] == "root"
    assert guess(["root", "pelvis", *legs])["mover"] == "root"


def test_deform_bones_win_over_controls_of_the_same_name():
    names = ["hips", "thigh.L", "thigh.R", "shin.L", "shin.R", "head", "DEF-head"]
    roles = guess_roles(names, [-1] * 7, deform=[True] * 5 + [False, True])
    assert roles.parts["head"] == ("DEF-head",)


LIMBS = [f"{n}.{s}" for s in "LR" for n in ("thigh", "shin", "foot", "upper_arm", "forearm")]


@pytest.mark.parametrize("flags", ["told", "all on"])
def test_the_spine_is_the_deform_bones_alone(flags):
    controls = ["spine_01", "spine_02", "spine_03"]
    names = ["hips", *controls, *(f"DEF-{name}" for name in controls), *LIMBS]
    deform = [flags == "all on" or name not in controls for name in names]
    roles = guess_roles(names, [-1, 0, 1, 2, 0, 4, 5, *[0] * len(LIMBS)], deform=deform)
    spine = {part: roles.parts[part][0] for part in ("spine.1", "spine.2", "chest")}
    assert [*spine.values()] == ["DEF-spine_01", "DEF-spine_02", "DEF-spine_03"]
    assert "spine.3" not in roles.parts


def test_a_pole_or_a_target_of_a_fitting_name_is_no_joint_of_the_limb():
    names = ["hips", "knee.L", "ankle.L", "elbow.L", *LIMBS]
    places = {name: n for n, name in enumerate(names)}
    above = {"shin": "thigh", "foot": "shin", "forearm": "upper_arm"}
    parents = [-1, -1, -1, -1]
    parents += [places.get(f"{above.get(n[:-2])}{n[-2:]}", 0) for n in LIMBS]
    roles = guess_roles(names, parents, deform=[True] * len(names))
    for part in ("shin.L", "foot.L", "forearm.L"):
        assert roles.parts[part] == (part,)


REST = np.zeros((len(NAMES), 3))
for _j, _parent in enumerate(PARENTS):
    REST[_j] = OFFSETS[_j] + (0.0 if _parent < 0 else REST[_parent])
# The figure's toes, so that its facing can be seen.
TOES = {"toe.L": ("foot.L", (0, -0.14, -0.06)), "toe.R": ("foot.R", (0, -0.14, -0.06))}


def with_toes(turn_degrees):
    rest = [*REST]
    parents = [*PARENTS.tolist()]
    for foot, way in TOES.values():
        parents.append(NAMES.index(foot))
        rest.append(REST[NAMES.index(foot)] + way)
    angle = np.radians(turn_degrees)
    c, s = np.cos(angle), np.sin(angle)
    return parents, np.array(rest) @ np.array([[c, s, 0], [-s, c, 0], [0, 0, 1]])


@pytest.mark.parametrize("turn", [0, 90, 180, 250])
def test_a_nameless_figure_is_known_by_its_shape(turn):
    parents, rest = with_toes(turn)
    names = [f"b{n}" for n in range(len(parents))]
    roles = guess_roles(names, parents, rest)
    assert roles.how == "topology"
    found = {part: joints[0] for part, joints in roles.parts.items()}
    for n, name in enumerate([*NAMES, *TOES]):
        assert found[name] == f"b{n}", name


def test_no_figure_no_roles():
    crane = np.array([[0, 0, 0], [0, 0, 3], [2, 0, 4], [4, 0, 4], [4, 0, 1.0]])
    roles = guess_roles(["base", "mast", "jib", "end", "hook"], [-1, 0, 1, 2, 3], crane)
    assert roles.how == "none"
    assert not roles.parts
    assert guess_roles([], [], np.zeros((0, 3))).how == "none"


def test_anatomical_parents_skip_what_is_missing():
    tree = anatomical_parents(["mover", "root", "spine.2", "head", "hand.L", "upper_arm.L"])
    assert tree == {
        "mover": None,
        "root": "mover",
        "spine.2": "root",
        "head": "spine.2",
        "upper_arm.L": "spine.2",
        "hand.L": "upper_arm.L",
    }
