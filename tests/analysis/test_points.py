# SPDX-License-Identifier: GPL-3.0-or-later
"""Which points are followed and what they are called: nose, elbow, knee, tips, what users add."""

from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES, figure, names, spike

from analysis import Clip, ClipError, Follow, Meta, Prop, Settings, check_clip
from analysis import quaternions as quat
from analysis.basis import SIDE, build_basis
from analysis.pipeline import examine
from analysis.trails import COM, JOINT, Spot, finding_spot, followed

UP = np.array([0.0, 0.0, 1.0])
POP = Settings(checks=("pop",))


def basis(clip):
    return build_basis(clip, Settings())


def about(axis, angle):
    """(T,4) turns about a fixed axis by angles (T,)."""
    axis = np.asarray(axis, dtype=float)
    return np.concatenate((np.cos(angle / 2)[:, None], np.sin(angle / 2)[:, None] * axis), axis=-1)


def turned(clip, joint, turn):
    """The clip with one joint turned in the world by (T,4), nothing else with it."""
    rotations = np.array(clip.rotations)
    at = clip.joint(joint)
    rotations[:, at] = quat.multiply(turn, rotations[:, at])
    return replace(clip, rotations=rotations)


def moved(clip, joint, way):
    """The clip with one joint shifted by (T,3)."""
    positions = np.array(clip.positions)
    positions[:, clip.joint(joint)] += way
    return replace(clip, positions=positions)


def with_points(clip, points, **meta):
    """The clip with more points: (name, joint, offset)."""
    return replace(
        clip,
        points=tuple(name for name, _joint, _offset in points),
        point_joint=np.array([clip.joint(joint) for _name, joint, _offset in points]),
        point_offset=np.array([offset for _name, _joint, offset in points], dtype=float),
        meta=replace(clip.meta, **meta),
    )


def with_joint(clip, name, parent, path, turn=None):
    """The clip with one more joint on a path (T,3)."""
    count = len(path)
    still = np.tile([1.0, 0.0, 0.0, 0.0], (count, 1)) if turn is None else turn
    return Clip(
        **{
            **vars(clip),
            "joints": (*clip.joints, name),
            "parents": [*clip.parents, clip.joint(parent) if parent else -1],
            "positions": np.concatenate((clip.positions, path[:, None]), axis=1),
            "rotations": np.concatenate((clip.rotations, still[:, None]), axis=1),
            "rest_positions": np.concatenate((clip.rest_positions, path[:1]), axis=0),
            "rest_rotations": np.concatenate((clip.rest_rotations, still[:1]), axis=0),
            "lengths": [*clip.lengths, 0.0],
        }
    )


# The nose


def rest_turned(clip, turn):
    """The clip with its whole rest pose turned by (4,), the motion as it is."""
    whole = np.broadcast_to(turn, (len(NAMES), 4))
    return replace(
        clip,
        rest_positions=quat.rotate(whole, clip.rest_positions),
        rest_rotations=quat.multiply(whole, clip.rest_rotations),
    )


@pytest.mark.parametrize(
    "turn",
    [
        [1.0, 0.0, 0.0, 0.0],
        [np.sqrt(0.5), 0.0, 0.0, np.sqrt(0.5)],
        [np.sqrt(0.5), np.sqrt(0.5), 0.0, 0.0],
        [0.5, 0.5, -0.5, 0.5],
    ],
    ids=["as it is", "facing +X", "lying", "on its side"],
)
def test_the_heads_third_mark_is_ahead_of_it_however_the_rest_pose_lies(turn):
    found = basis(rest_turned(figure(), np.array(turn)))
    head = found.body("head")
    assert found.mark_name(head, SIDE) == "nose"
    ahead = found.offsets[head, SIDE]
    # The rest orientation of the head has Y up and Z ahead (figures.along), whatever way it lies.
    np.testing.assert_allclose(ahead / np.linalg.norm(ahead), [0.0, 0.0, 1.0], atol=1e-9)
    assert found.mark_name(found.body("hand.L"), SIDE) == "side"


def test_a_point_called_nose_is_the_nose_and_no_tip():
    clip = with_points(figure(), [("Nose", "head", (0.0, 0.05, 0.6))])
    found = basis(clip)
    head = found.body("head")
    np.testing.assert_allclose(found.offsets[head, SIDE], [0.0, 0.05, 0.6])
    np.testing.assert_allclose(found.offsets[head, 1], [0.0, 0.16, 0.0])
    assert found.mark_name(head, 1) == "tip"


def test_without_a_rest_pose_there_is_no_nose():
    clip = replace(figure(), rest_positions=None, rest_rotations=None)
    found = basis(clip)
    assert found.mark_name(found.body("head"), SIDE) == "side"


def test_a_turn_of_the_head_is_told_at_its_nose():
    turn = about(UP, np.radians(spike(48, 20, 25.0)))
    (finding,) = check_clip(turned(figure(), "head", turn), POP).findings
    assert (finding.part, finding.point) == ("head", "head (nose)")
    assert "The head twists by about 25 degrees at frame 21" in finding.says


# Elbows and knees


@pytest.mark.parametrize(("joint", "word"), [("forearm.L", "left elbow"), ("shin.R", "right knee")])
def test_the_joint_of_a_forearm_or_shin_goes_by_its_own_name(joint, word):
    way = np.zeros((48, 3))
    way[:, 0] = spike(48, 20, 0.09)
    end = {"forearm": "hand", "shin": "foot"}[joint[:-2]] + joint[-2:]
    clip = moved(moved(figure(speed=0.0), joint, way), end, way)
    examined = examine(clip, POP)
    (finding,) = examined.shot.findings
    assert finding.part == joint
    assert finding.point == f"{joint} ({word.split()[1]})"
    assert finding.says.startswith(f"The {word} jumps 9.0 cm to the left at frame 21")
    assert finding_spot(examined, finding) == Spot(joint, JOINT)


def test_a_props_tip_is_named():
    clip = figure()
    hand = clip.joint("hand.R")
    turn = about([1.0, 0.0, 0.0], np.radians(spike(48, 20, 6.0)))
    clip = with_joint(clip, "pole", "hand.R", clip.positions[:, hand], turn)
    clip = with_points(
        clip, [("pole tip", "pole", (0.0, 1.5, 0.0))], props=(Prop(name="pole", joint="pole"),)
    )
    (finding,) = check_clip(clip, POP).findings
    assert (finding.part, finding.point) == ("prop.1", "pole (pole tip)")
    assert finding.says.startswith("The pole tip jumps")


# What users add


def tail(shift=0.0, **meta):
    """A figure with a joint half a metre behind its hips that goes up by `shift` at sample 20."""
    clip = figure(speed=0.0)
    path = clip.positions[:, 0] + [0.0, 0.5, 0.1]
    path[20, 2] += shift
    clip = with_joint(clip, "tail", "root", path)
    return replace(clip, meta=replace(clip.meta, **meta))


def test_a_joint_is_followed_only_where_it_is_asked_for():
    assert check_clip(tail(0.08), POP).findings == ()
    examined = examine(tail(0.08, follow=(Follow(name="tail end", joint="tail"),)), POP)
    (finding,) = examined.shot.findings
    assert (finding.part, finding.point) == (None, "tail end")
    assert finding.says.startswith("The tail end jumps 8.0 cm up at frame 21")
    assert finding.title == "tail end: pop"
    assert finding_spot(examined, finding) == Spot("tail end", JOINT)


def test_what_is_added_hangs_on_what_carries_it_and_comes_last():
    follow = (Follow(name="tail end", joint="tail"), Follow(name="again", joint="head"))
    found = basis(tail(follow=follow))
    plain = basis(tail())
    assert [body.name for body in found.bodies[:-1]] == [body.name for body in plain.bodies]
    added = found.bodies[-1]
    assert (added.name, added.part, added.added) == ("tail end", None, True)
    assert found.bodies[added.parent].part == "root"
    assert found.height == plain.height


def test_what_is_added_is_mended_after_the_figure():
    clip = tail(0.08, follow=(Follow(name="tail end", joint="tail"),))
    clip = turned(clip, "head", about(UP, np.radians(spike(48, 30, 25.0))))
    assert names(check_clip(clip, POP)) == [("pop", "head"), ("pop", None)]


def test_what_is_added_stands_last_among_what_can_be_drawn():
    examined = examine(tail(follow=(Follow(name="tail end", joint="tail"),)), POP)
    titles = [each.title for each in followed(examined)]
    assert titles[:2] == ["root", COM]
    assert titles[-1] == "tail end"


def test_what_only_goes_along_is_no_finding_of_its_own():
    shift = np.zeros((48, 3))
    shift[20, 2] = 0.06
    clip = figure(speed=0.0, shift=shift)
    path = clip.positions[:, 0] + [0.0, 0.5, 0.1]
    clip = with_joint(clip, "tail", "root", path)
    clip = replace(clip, meta=replace(clip.meta, follow=(Follow(name="tail", joint="tail"),)))
    assert names(check_clip(clip, POP)) == [("pop", "root")]


def test_a_point_is_followed_without_its_joints_turn():
    """A point on a joint's axis stays where it is however the joint turns."""
    turn = about(UP, np.radians(spike(48, 20, 40.0)))
    clip = tail()
    clip = turned(clip, "tail", turn)
    points = [("on the axis", "tail", (0.0, 0.0, 0.3)), ("off the axis", "tail", (0.3, 0.0, 0.0))]
    follow = tuple(Follow(name=name, joint="tail", point=name) for name, _j, _o in points)
    (finding,) = check_clip(with_points(clip, points, follow=follow), POP).findings
    assert (finding.part, finding.point) == (None, "off the axis")
    # A chord of 2 r sin(a/2).
    assert finding.amount == pytest.approx(100 * 0.6 * np.sin(np.radians(20.0)), rel=0.02)


def test_a_name_that_is_taken_gets_a_mark():
    follow = (Follow(name="head", joint="tail"),)
    found = basis(tail(follow=follow))
    assert found.bodies[-1].title == "head (added)"


def test_a_rig_without_roles_can_be_added_to():
    path = np.cumsum(np.full((40, 3), 0.01), axis=0)
    clip = Clip(
        frames=np.arange(40),
        fps=24.0,
        joints=("base", "middle", "end"),
        parents=[-1, 0, 1],
        positions=np.stack((path, path + [0, 0, 1.0], path + [0, 0, 2.0]), axis=1),
        rotations=np.tile([1.0, 0, 0, 0], (40, 3, 1)),
        meta=Meta(follow=(Follow(name="middle", joint="middle"),)),
    )
    assert [body.name for body in basis(clip).bodies] == ["base", "end", "middle"]


@pytest.mark.parametrize(
    ("follow", "told"),
    [
        ((Follow(name="x", joint="fin"),), "'fin', which the clip does not have"),
        ((Follow(name="x", joint="tail", point="p"),), "'p', which the clip does not have"),
        ((Follow(name="x", joint="tail"), Follow(name="x", joint="head")), "called 'x'"),
    ],
)
def test_what_a_clip_does_not_have_cannot_be_followed(follow, told):
    with pytest.raises(ClipError, match=told):
        tail(follow=follow)


def test_a_point_of_another_joint_is_refused():
    points = [("p", "head", (0.0, 0.1, 0.0))]
    with pytest.raises(ClipError, match="which is on 'head'"):
        with_points(tail(), points, follow=(Follow(name="x", joint="tail", point="p"),))


# The centre of mass


def shaken(shift, seed=1):
    """A figure whose every joint is shaken by 4 mm, and shifted as a whole at sample 24."""
    clip = figure(speed=0.0)
    noise = np.random.default_rng(seed).normal(size=clip.positions.shape, scale=0.004)
    noise[24, :, 2] += shift
    return replace(clip, positions=clip.positions + noise)


def test_the_centre_of_mass_tells_what_no_part_shows():
    assert check_clip(shaken(0.0), POP).findings == ()
    examined = examine(shaken(0.018), POP)
    (finding,) = examined.shot.findings
    assert (finding.check, finding.part, finding.point) == ("pop", "root", COM)
    assert finding.says.startswith("The centre of mass jumps")
    assert finding.peak_frame == 25
    assert finding_spot(examined, finding) == Spot(COM)


def test_where_a_part_tells_it_the_centre_of_mass_does_not():
    shift = np.zeros((48, 3))
    shift[20, 2] = 0.06
    assert names(check_clip(figure(shift=shift), POP)) == [("pop", "root")]
