# SPDX-License-Identifier: GPL-3.0-or-later
"""What is computed once: bodies, height, facing, marks, foot strikes, gaps."""

from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES, figure, steered
from scipy.spatial.transform import Rotation

from analysis import Meta, Prop, Settings
from analysis import quaternions as quat
from analysis.basis import build_basis


def basis(clip, **settings):
    return build_basis(clip, Settings(**settings))


def with_pole(clip, length=4.0, held_by="hand.R"):
    """The clip with a long upright pole as one more joint."""
    hand = clip.positions[:, [NAMES.index("hand.R")]]
    upright = np.tile(Rotation.from_euler("x", 90, degrees=True).as_quat()[[3, 0, 1, 2]], (1, 1))
    return replace(
        clip,
        joints=(*clip.joints, "pole"),
        parents=[*clip.parents, NAMES.index("hand.R")],
        positions=np.concatenate((clip.positions, hand), axis=1),
        rotations=np.concatenate((clip.rotations, np.tile(upright, (len(hand), 1, 1))), axis=1),
        rest_positions=np.concatenate((clip.rest_positions, [[0, 0, 1.0]])),
        rest_rotations=np.concatenate((clip.rest_rotations, upright)),
        lengths=[*clip.lengths, length],
        points=("pole base", "pole tip"),
        point_joint=[len(NAMES), len(NAMES)],
        point_offset=[[0, -1.0, 0], [0, length - 1.0, 0]],
        meta=Meta(props=(Prop(name="pole", joint="pole", held_by=held_by),)),
    )


def test_bodies_hang_on_each_other_as_the_figure_does():
    found = basis(figure())
    place = {body.part: n for n, body in enumerate(found.bodies)}
    assert [found.bodies[a].part for a in found.ancestors(place["hand.L"])] == [
        "forearm.L",
        "upper_arm.L",
        "chest",
        "root",
    ]
    assert found.ancestors(place["root"]) == []
    for body, each in enumerate(found.bodies):
        assert each.parent < body


def test_height_comes_from_the_rest_pose_and_no_prop_changes_it():
    plain = basis(figure()).height
    assert plain.scene_m == pytest.approx(1.78, abs=1e-6)
    assert plain.story_m == plain.scene_m
    assert basis(with_pole(figure())).height.scene_m == pytest.approx(1.78, abs=1e-6)


def test_height_without_a_rest_pose_comes_from_the_limbs():
    bare = replace(figure(), rest_positions=None, rest_rotations=None, lengths=None)
    assert basis(bare).height.scene_m == pytest.approx(1.78, rel=0.08)


@pytest.mark.parametrize("axis", ["x", "y"])
def test_a_rest_pose_that_lies_down_does_not_make_a_dwarf(axis):
    clip = figure()
    lay = Rotation.from_euler(axis, 90, degrees=True)
    standing = Rotation.from_quat(np.array(clip.rest_rotations)[:, [1, 2, 3, 0]])
    quaternions = (lay * standing).as_quat()
    lying = replace(
        clip,
        rest_positions=lay.apply(np.array(clip.rest_positions)),
        rest_rotations=quaternions[:, [3, 0, 1, 2]],
    )
    assert basis(lying).height.scene_m == pytest.approx(1.78, rel=0.08)


@pytest.mark.parametrize(
    ("scale", "stated", "asked", "story"),
    [(1, None, None, 1.78), (10, None, None, None), (10, 1.7, None, 1.7), (1, 1.7, 2.0, 2.0)],
)
def test_the_story_s_height(scale, stated, asked, story):
    found = basis(figure(scale=scale, height_m=stated), height_m=asked).height
    assert found.story_m == (None if story is None else pytest.approx(story))
    if story is not None:
        assert found.to_story * found.scene_m == pytest.approx(story)


def test_a_plain_object_is_as_large_as_its_path():
    path = np.zeros((30, 1, 3))
    path[:, 0, 0] = np.linspace(0, 4, 30)
    path[:, 0, 2] = np.linspace(0, 3, 30)
    clip = replace(
        figure(frames=30),
        joints=("ball",),
        parents=[-1],
        positions=path,
        rotations=np.tile([1.0, 0, 0, 0], (30, 1, 1)),
        rest_positions=None,
        rest_rotations=None,
        lengths=None,
    )
    found = basis(clip)
    assert found.height.scene_m == pytest.approx(5.0)
    assert found.height.story_m is None
    assert [body.title for body in found.bodies] == ["ball"]


def test_a_mirrored_figure_faces_where_its_feet_point():
    clip = figure()
    swap = {"L": "R", "R": "L"}
    mirrored = [n[:-1] + swap[n[-1]] if n[-2:] in (".L", ".R") else n for n in clip.joints]
    ahead = basis(replace(clip, joints=tuple(mirrored))).forward
    np.testing.assert_allclose(ahead, np.tile([0, -1.0, 0], (48, 1)), atol=1e-9)


def test_a_kneeling_figure_faces_ahead_though_its_feet_point_back():
    knees = figure(speed=0.0, turns={f"shin.{side}": np.full(48, 2.6) for side in "LR"})
    feet = basis(knees)
    toes = feet.marks[:, feet.body("foot.L"), 1] - feet.marks[:, feet.body("foot.L"), 0]
    assert (toes[:, 1] > 0.0).any()  # it faces along -Y
    np.testing.assert_allclose(feet.forward, np.tile([0, -1.0, 0], (48, 1)), atol=1e-9)


def test_marks_turn_with_the_body():
    found = basis(figure())
    body = found.body("forearm.L")
    turn = Rotation.from_quat(found.rotations[:, body][:, [1, 2, 3, 0]])
    tip = found.positions[:, body] + turn.apply([0.0, found.reach[body], 0.0])
    np.testing.assert_allclose(found.marks[:, body, 1], tip, atol=1e-12)
    assert found.reach[body] == pytest.approx(0.26)


def test_own_marks_do_not_see_what_the_parent_does():
    swinging = figure(turns={"chest": 0.4 * np.sin(np.arange(48) / 3.0)})
    found, plain = basis(swinging), basis(figure())
    body = found.body("forearm.L")
    np.testing.assert_allclose(found.own_marks[:, body], plain.own_marks[:, body], atol=1e-9)
    assert np.abs(found.marks[:, body] - plain.marks[:, body]).max() > 0.05


def test_a_foot_that_pops_up_for_three_frames_has_not_stepped():
    lifted = np.zeros((48, 3))
    lifted[20:23, 2] = 0.1
    assert (basis(steered(foot_shift=lifted)).leg_lenience == 1.0).all()


def rolling(degrees):
    """A standing figure whose left foot lifts its heel by turning about its ball, and back."""
    angle = np.radians(degrees) * np.clip(np.sin(np.linspace(-1.0, 4.1, 48)), 0.0, 1.0)
    clip = figure(speed=0.0, period_s=1e6)
    foot = clip.joints.index("foot.L")
    turn = np.stack((np.cos(angle / 2), -np.sin(angle / 2), 0 * angle, 0 * angle), axis=-1)
    ball = clip.positions[:, foot] + [0.0, -0.16, -0.08]
    place, rotations = np.array(clip.positions), np.array(clip.rotations)
    place[:, foot] = ball - quat.rotate(turn, ball - place[:, foot])
    rotations[:, foot] = quat.multiply(turn, rotations[:, foot])
    return replace(clip, positions=place, rotations=rotations)


def test_while_a_foot_rolls_the_limit_is_doubled():
    found = basis(rolling(-30.0))
    factor = {body.part: set(found.leg_lenience[:, n]) for n, body in enumerate(found.bodies)}
    assert factor.pop("foot.L") == {1.0, 2.0}  # its ball stays down all the while
    assert factor.pop("shin.L") == factor.pop("thigh.L") == {1.0, 2.0}
    assert all(each == {1.0} for each in factor.values())


def test_a_named_point_is_the_tip():
    found = basis(with_pole(figure()))
    body = found.body("prop.1")
    assert found.mark_name(body, 1) == "pole tip"
    assert found.mark_name(found.body("head"), 1) == "tip"
    assert found.reach[body] == pytest.approx(3.0)
    assert found.bodies[found.bodies[body].parent].part == "hand.R"


@pytest.mark.parametrize("degrees", [0, 90, 200])
def test_facing_follows_the_hips(degrees):
    clip = figure()
    turn = Rotation.from_euler("z", degrees, degrees=True)
    moved = turn.apply(np.array(clip.positions).reshape(-1, 3)).reshape(48, -1, 3)
    about = np.roll(turn.as_quat(), 1)
    rotations = quat.multiply(np.broadcast_to(about, clip.rotations.shape), clip.rotations)
    ahead = basis(replace(clip, positions=moved, rotations=rotations)).forward
    np.testing.assert_allclose(ahead, np.tile(turn.apply([0, -1.0, 0]), (48, 1)), atol=1e-9)


def test_legs_are_judged_leniently_around_strikes_and_nothing_else_is():
    lifted = np.zeros((48, 3))
    lifted[16:30, 2] = 0.15 * np.sin(np.linspace(0, np.pi, 14))
    found = basis(steered(foot_shift=lifted))
    factor = {body.part: found.leg_lenience[:, n] for n, body in enumerate(found.bodies)}
    unjudged = np.flatnonzero(np.isinf(factor["foot.L"]))
    assert set(unjudged) <= {*range(14, 22), *range(25, 33)}
    assert len(unjudged) == 10
    assert set(np.unique(factor["foot.L"])) <= {1.0, 2.0, np.inf}
    for part in ("thigh.L", "shin.L"):
        np.testing.assert_array_equal(factor[part], factor["foot.L"])
    assert (factor["foot.R"] == 1.0).all()
    assert (factor["chest"] == 1.0).all()


def test_gaps_are_bridged_and_marked():
    clip = figure()
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[10:14, NAMES.index("head")] = False
    place = np.where(valid[..., None], clip.positions, np.nan)
    found = basis(replace(clip, positions=place, valid=valid))
    body = found.body("head")
    assert np.isfinite(found.positions).all()
    assert found.valid[:, body].sum() == 44
    expected = np.linspace(clip.positions[9, 3], clip.positions[14, 3], 6)[1:-1]
    np.testing.assert_allclose(found.positions[10:14, body], expected, atol=1e-12)


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("part", ["foot.L", "shin.R", "chest", "head"])
def test_a_joint_that_is_a_gap_throughout_warns_of_nothing(part):
    """Its place is no number on any frame; what is known of the rest is used."""
    clip = figure()
    valid, place = np.array(clip.valid_mask), np.array(clip.positions)
    valid[:, NAMES.index(part)] = False
    place[:, NAMES.index(part)] = np.nan
    bare = {"rest_positions": None, "rest_rotations": None, "lengths": None}
    basis = build_basis(
        type(clip)(**{**vars(clip), **bare, "valid": valid, "positions": place}), Settings()
    )
    assert basis.body(part) is None
    assert np.isfinite(basis.reach).all()
    assert 1.0 < basis.height.scene_m < 4.0
