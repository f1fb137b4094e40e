# SPDX-License-Identifier: GPL-3.0-or-later
"""A ball joined with its figure: what stays the figure's, what is refused, what a file keeps."""

from dataclasses import replace

import numpy as np
import pytest
from balls import Bouncing, alone, ball_clip, over
from bitwise import bits
from figures import figure, with_mover
from walker import Walk, hop, walk

from analysis import ClipError, Event, Follow, Meta, Prop, Settings, load_clip, save_clip
from analysis.ball.joined import ball_alone, join_ball
from analysis.basis import build_basis
from analysis.basis.ball import BallBasis
from analysis.drawn.footprints import footprints
from analysis.meta import Ball
from analysis.pipeline import examine
from analysis.trails import followed

OF_FEET = ("plants", "slips", "flights", "forward", "soles", "ground")


def basis_of(clip):
    return build_basis(clip, Settings())


@pytest.mark.parametrize("scale", [1.0, 10.0])
@pytest.mark.parametrize("make", [hop, lambda **more: walk(Walk(), **more)])
def test_feet_floor_and_height_are_the_figure_s_own(make, scale):
    clip = make() if scale == 1.0 else replace(make(), positions=make().positions * scale)
    lifted = clip.positions[:, 0] + [0.0, 0.0, 0.2 * scale]
    own, ball = basis_of(clip), basis_of(over(clip, lifted))
    assert ball.height == own.height
    assert len(own.plants) > 1
    for name in OF_FEET:
        assert bits(getattr(ball, name)) == bits(getattr(own, name)), name
    assert bits(ball.touch_points.touches) == bits(own.touch_points.touches)
    assert np.array_equal(ball.positions[:, 0], lifted)
    assert [body.part for body in ball.bodies] == ["root"]


def test_roles_that_are_guessed_props_and_added_points_change_nothing():
    plain = figure(frames=48)
    told = replace(
        plain.meta,
        props=(Prop(name="hook", joint="hand.R", held_by="forearm.R"),),
        follow=(Follow(name="brow", joint="head"),),
    )
    for clip in (plain, replace(plain, meta=told), with_mover(plain, np.zeros((48, 3)))):
        joined = over(clip)
        own, ball = basis_of(clip), basis_of(joined)
        assert joined.meta.roles["root"] == ("Ball",)
        assert "mover" not in joined.meta.roles
        assert joined.meta.props == joined.meta.follow == ()
        assert ball.height == own.height
        assert bits(ball.figure.bodies) == bits(own.bodies)
        assert bits(ball.flights) == bits(own.flights)


def test_the_ball_comes_first_and_its_joints_keep_their_tree():
    clip = figure(frames=24)
    joined = over(clip)
    assert joined.joints == ("Ball", *clip.joints)
    assert joined.parents.tolist()[0] == -1
    for name, parent in zip(clip.joints, clip.parents, strict=True):
        upper = joined.parents[joined.joint(name)]
        assert upper == -1 if parent < 0 else joined.joints[upper] == clip.joints[parent]
    taken = join_ball(clip, ball_clip(clip.positions[:, 0]), ball_name="chest")
    assert taken.joints[0] == "chest (ball)"


def test_a_ball_on_a_joint_carries_the_centre_of_mass_beside_it():
    clip = hop()
    own, ball = basis_of(clip), basis_of(over(clip, on="root"))
    assert np.abs(ball.com - own.com).max() < 1e-12
    moved = clip.positions[:, 0] + [0.0, 0.0, 0.3]
    there = basis_of(over(clip, moved, on="root"))
    assert np.abs(there.com - own.com - [0.0, 0.0, 0.3]).max() < 1e-12
    itself = basis_of(over(clip, own.com, on=""))
    assert np.array_equal(itself.com, own.com)


def test_a_file_keeps_that_it_is_a_ball(tmp_path):
    clip = figure(frames=24)
    told = replace(clip.meta, props=(Prop(name="hook", joint="hand.R", mass_kg=2.0),))
    for joined in (over(replace(clip, meta=told)), ball_alone(ball_clip(clip.positions[:, 0]))):
        again = load_clip(save_clip(tmp_path / "ball.npz", joined))
        assert again.is_ball
        assert again.meta == joined.meta
        assert bits(examine(again).shot) == bits(examine(joined).shot)
    assert not load_clip(save_clip(tmp_path / "figure.npz", clip)).is_ball


@pytest.mark.parametrize(
    ("ball", "told"),
    [
        ('"yes"', 'meta.ball is "yes", expected an object'),
        ("{}", "meta.ball is {}, expected an object"),
        ('{"figure": 1}', "meta.ball.figure is 1, expected true, false"),
        ('{"figure": true, "on": 3}', "meta.ball.on is 3, expected a text"),
        ('{"figure": true, "Roles": {}}', 'has the key "Roles", expected roles'),
        (
            '{"figure": false, "scene_height_m": -1}',
            "scene_height_m is -1, expected a number above",
        ),
    ],
)
def test_a_meta_that_tells_no_ball_is_refused(ball, told):
    with pytest.raises(ClipError, match=told) as caught:
        Meta.from_json('{"ball": ' + ball + "}")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"ball": Ball(figure=False)}, "says that it is alone, and the clip has 17 joints"),
        ({"roles": {"root": ("root",)}}, "does not give root the ball 'Ball'"),
        ({"ball": Ball(figure=True, on="tail")}, "meta.ball names 'tail', expected a joint"),
        ({"ball": Ball(figure=True, roles={"head": ("Ball",)})}, "meta.ball names 'Ball'"),
    ],
)
def test_a_clip_that_does_not_fit_its_ball_is_refused(changes, told):
    joined = over(figure(frames=24))
    with pytest.raises(ClipError, match=told) as caught:
        replace(joined, meta=replace(joined.meta, **changes))
    assert "\n" not in str(caught.value)


def test_clips_that_do_not_go_together_are_refused():
    clip = figure(frames=24)
    path = clip.positions[:, 0]
    for ball, told in (
        (ball_clip(path[:-1]), "known from frame 1 to 23 .23 samples. and the figure from 1 to 24"),
        (ball_clip(path, fps=30.0), "the ball has 30 frames a second and the figure 24"),
    ):
        with pytest.raises(ClipError, match=told):
            join_ball(clip, ball, ball_name="Ball")
    with pytest.raises(ClipError, match="is a ball's clip itself"):
        over(over(clip), path, on="")
    with pytest.raises(ClipError, match="the clip has 16 joints, expected one"):
        ball_alone(clip)


def test_a_lone_ball_knows_its_size_by_what_is_told():
    path = Bouncing().path()
    assert basis_of(alone(path)).height.to_story == 1.0
    assert basis_of(alone(path, height_m=None)).height.story_m is None
    told = ball_alone(ball_clip(path * 10.0, height_m=1.7), scene_height_m=17.0)
    assert basis_of(told).height.to_story == pytest.approx(0.1)


def test_an_event_on_any_part_is_about_the_ball():
    clip = hop(air_s=0.6, gravity=4.0)
    shot = examine(over(clip)).shot
    (finding,) = shot.findings
    assert finding.check == "gravity"
    first, last = finding.frames
    told = replace(clip.meta, events=(Event(frames=(first, last), part="hand.L", kind="pull"),))
    assert examine(over(replace(clip, meta=told))).shot.findings == ()


def test_layers_of_feet_are_drawn_for_a_ball():
    clip = walk(Walk())
    examination = examine(over(clip))
    assert isinstance(examination.basis, BallBasis)
    assert bits(footprints(examination)) == bits(footprints(examine(clip)))
    assert [each.label for each in followed(examination)] == ["Ball"]
