# SPDX-License-Identifier: GPL-3.0-or-later
"""The arcs of a ball against Galilei's and Newton's formulas, at any place of the frames."""

import itertools

import numpy as np
import pytest
from balls import Bouncing, alone, over, to_and_fro
from drawn_flights import Thrown, figure_along
from figures import figure

from analysis import PlumblineError
from analysis.ball.arcs import ball_arcs
from analysis.ball.extremes import find_extremes
from analysis.pipeline import examine

RNG = np.random.default_rng(7)
# Shorter arcs have too few frames to tell a share of their time to .01.
LONG_ENOUGH = 7.0
# Where the next one has fewer than this, the frame on which it begins is a guess.
NEXT = 4.0


def is_told(arc, contacts):
    """Whether an arc is long enough, and the bounce after it long enough to tell their contact."""
    lasts, at = np.diff(contacts), int(np.argmin(np.abs(contacts - arc.frames[0])))
    after = lasts[at + 1] if at + 1 < len(lasts) else np.inf
    return arc.frames[1] - arc.frames[0] >= LONG_ENOUGH and after >= NEXT


def arcs_of(clip, axis=None):
    found = ball_arcs(examine(clip))
    return [each for each in found if axis in (None, each.axis)]


@pytest.mark.parametrize("fps", [24.0, 25.0, 30.0, 50.0, 60.0])
@pytest.mark.parametrize("restitution", [0.5, 0.7, 0.9])
def test_a_ball_that_falls_freely_has_half_of_its_time_near_the_top(restitution, fps):
    told = 0
    for height in (0.2, 0.5, 1.0, 2.0):
        ball = Bouncing(height, restitution, fps, phase=float(RNG.random()))
        examination = examine(ball.clip())
        assert examination.shot.findings == ()
        contacts = ball.contact_frames
        for arc in ball_arcs(examination):
            assert arc.axis == "up"
            if not is_told(arc, contacts):
                continue
            told += 1
            assert arc.free
            # From bounce to bounce, told between the frames.
            assert np.abs(contacts - arc.frames[0]).min() < 0.02
            assert np.abs(contacts - arc.frames[1]).min() < 0.02
            # Time above the share f of the apex is T sqrt(1 - f): Bosco et al. 1983.
            assert arc.share == pytest.approx(0.5, abs=0.01)
            assert arc.fall_g == pytest.approx(1.0, abs=0.01)
            assert arc.symmetry == pytest.approx(0.5, abs=0.02)
            # h = g T^2 / 8: Galilei.
            rise = 9.80665 * arc.seconds**2 / 8.0
            assert arc.rise_m == pytest.approx(rise, rel=0.02)
            # Heights go as e^2: Newton. What it was dropped from is known to a frame.
            assert arc.kept == pytest.approx(restitution**2, rel=0.05)
            assert arc.speed_m_s == pytest.approx(ball.speed, rel=1e-6)
            assert arc.speed_change_m_s == pytest.approx(0.0, abs=1e-6)
            if arc.landing_off_m is not None:
                assert arc.landing_off_m < 0.005
                assert arc.off_m.max() < 0.005
    assert told >= 2


@pytest.mark.parametrize(("kind", "share"), [("sine", 1.0 / 3.0), ("even", 0.25)])
@pytest.mark.parametrize("axis", ["side", "ahead"])
def test_turns_have_the_share_of_their_spacing(kind, share, axis):
    """A sine is in its outer quarter for 1/3 of the time (cos 60 degrees = 1/2), even spacing
    for 1/4."""
    for period in (12.0, 13.7, 16.0, 24.3, 48.0):
        path = to_and_fro(kind, period, phase=float(RNG.random()))
        if axis == "ahead":
            path = path[:, [1, 0, 2]]
        # A figure that stands faces -Y.
        stands = figure_along(np.tile([0.0, 0.0, 0.95], (len(path), 1)), 24.0)
        found = arcs_of(over(stands, path, on=""), axis)
        arcs = [each for each in found if each.symmetry is not None]
        assert len(arcs) >= 4
        for arc in arcs:
            assert arc.share == pytest.approx(share, abs=0.01)
            assert arc.symmetry == pytest.approx(0.5, abs=0.02)
            # Fore and aft the way from its first to its last frame counts as travel.
            assert arc.rise_m == pytest.approx(0.2, rel=0.01 if axis == "side" else 0.1)
            assert not arc.free
            off = 0.0 if kind == "sine" else 0.2 * 0.105  # |x - (1 - cos(pi x)) / 2| at the most
            assert arc.off_m.max() == pytest.approx(off, abs=0.003 if axis == "side" else 0.02)


def test_a_figure_of_another_size_is_judged_at_the_height_told():
    """Ten times its size in the scene, and told to be as tall as before: all falls alike."""
    root = Thrown(flies=16, pace=0.8, air=0.8)
    (one,) = [each for each in arcs_of(over(root.clip(height_m=1.78))) if each.axis == "up"]
    (ten,) = [each for each in arcs_of(over(root.clip(10.0, height_m=1.78))) if each.axis == "up"]
    assert one.fall_g == pytest.approx(1.0, abs=0.01)
    assert ten.fall_g == pytest.approx(1.0, abs=0.01)
    assert ten.says == one.says
    assert ten.rise_m == pytest.approx(one.rise_m)
    assert ten.landing_off_m == pytest.approx(0.0, abs=1e-3)


@pytest.mark.parametrize("flies", [10, 16, 24])
@pytest.mark.parametrize("fps", [24.0, 60.0])
def test_a_flight_of_a_figure_is_a_free_arc_of_its_ball(flies, fps):
    jump = Thrown(flies=round(flies * fps / 24.0), fps=fps, pace=1.2, air=1.2)
    (arc,) = arcs_of(over(jump.clip()), "up")
    assert arc.free
    assert arc.share == pytest.approx(0.5, abs=0.01)
    assert arc.fall_g == pytest.approx(1.0, abs=0.01)
    assert arc.speed_m_s == pytest.approx(1.2, rel=1e-3)
    assert arc.landing_off_m == pytest.approx(0.0, abs=1e-3)
    assert arc.off_m.max() < 1e-3
    assert arc.kept is None
    assert "50 % of the time near the top, falls at 1.00 g, lands where its take-off" in arc.says


def test_a_ball_that_goes_further_is_told_to_land_further():
    jump = Thrown(flies=16, pace=1.0, air=1.8)
    (arc,) = arcs_of(over(jump.clip()), "up")
    further = 0.8 * 16 / 24
    assert arc.landing_off_m == pytest.approx(further, abs=0.01)
    assert f"lands {100 * further:.1f} cm further than its take-off carries it" in arc.says
    assert arc.worst_frame == arc.ideal_frames[-1]
    (short,) = arcs_of(over(Thrown(flies=16, pace=1.8, air=1.0).clip()), "up")
    assert "short of where its take-off carries it" in short.says


def test_a_walk_is_carried_over_each_leg():
    walk = figure(frames=97, cycle=False)
    arcs = arcs_of(over(walk, on=""))
    up = [each for each in arcs if each.axis == "up"]
    # Its root bobs as a sine of 2 cm, twice a second, and sways by 2 cm once a second.
    assert len(up) == 7
    for arc in up:
        assert not arc.free
        assert arc.fall_g is None and arc.landing is None and len(arc.ideal) == 0
        assert arc.seconds == pytest.approx(0.5, abs=0.005)
        assert arc.rise_m == pytest.approx(0.04, abs=0.0005)
        assert arc.share == pytest.approx(1.0 / 3.0, abs=0.01)
        assert "on the ground, rises 4.0 cm" in arc.says
    aside = [each for each in arcs if each.axis == "side" and each.symmetry is not None]
    assert [each.says[:21] for each in aside[:2]] in (
        ["Turns to the right at", "Turns to the left at "],
        ["Turns to the left at ", "Turns to the right at"],
    )
    assert all(each.share == pytest.approx(1.0 / 3.0, abs=0.01) for each in aside)


def test_a_turn_names_the_foot_that_pushes_it_back():
    """It stands with its feet at 10 cm to either side and sways by 20 cm to either side: at the
    left extreme (+X, as it faces -Y) no foot is outside; by 4 cm, its left foot is."""
    for amount, foot in ((0.04, True), (0.2, False)):
        path = to_and_fro("sine", 24.0, amount=amount, rounds=4)
        stands = Thrown(flies=2, pace=0.0, air=0.0)
        clip = stands.clip()
        count = len(clip.frames)
        arcs = arcs_of(over(clip, path[:count], on=""), "side")
        assert arcs
        for arc in arcs:
            left = arc.apex[0] > 0.0
            assert arc.says.startswith(f"Turns to the {'right' if left else 'left'} at")
            assert arc.pushes_back == (f"{'left' if left else 'right'} foot" if foot else "")
            if foot:
                assert arc.pushes_from[0] * (1.0 if left else -1.0) > 0.04
            else:
                assert arc.pushes_from is None
                assert "nothing that bears it stands outside to push it back" in arc.says


def test_only_a_ball_has_arcs():
    with pytest.raises(PlumblineError, match="is no ball's clip") as caught:
        ball_arcs(examine(figure(frames=24)))
    assert "\n" not in str(caught.value)


def test_a_ball_that_stands_has_none():
    assert arcs_of(alone(np.tile([0.0, 0.0, 0.5], (40, 1)))) == []
    assert find_extremes(np.zeros(1), 0.1) == []


def test_what_lands_and_stays_has_its_last_arc():
    ball = Bouncing(1.0, 0.8, bounces=3)
    path = ball.path()
    rests = path[-1] * [1.0, 1.0, 0.0] + [0.0, 0.0, 0.1]
    arcs = arcs_of(alone(np.concatenate((path, np.tile(rests, (20, 1))))), "up")
    assert len(arcs) == 2
    assert all(each.free and each.share == pytest.approx(0.5, abs=0.01) for each in arcs)
    assert arcs[-1].frames[1] == pytest.approx(ball.contact_frames[2], abs=1.0)


def test_a_smooth_low_is_no_bounce():
    """What goes up and down as a sine does is carried: no ball is thrown up so."""
    for period, phase in itertools.product((16.0, 30.0), (0.0, 0.4)):
        path = to_and_fro("sine", period, phase=phase)[:, [1, 2, 0]]
        arcs = arcs_of(alone(path), "up")
        assert arcs and not any(each.free for each in arcs)
        assert all(each.share == pytest.approx(1.0 / 3.0, abs=0.01) for each in arcs)
