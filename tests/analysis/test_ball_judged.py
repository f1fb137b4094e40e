# SPDX-License-Identifier: GPL-3.0-or-later
"""What a ball is asked, and what it is told: by the checks that ask how one body goes."""

from dataclasses import replace

import numpy as np
import pytest
from balls import GRAVITY, Bouncing, alone, over, to_and_fro
from bitwise import bits
from drawn_flights import Thrown, figure_along
from figures import figure, spike
from walker import Walk, hop, walk

from analysis import Settings
from analysis.ball.arcs import ball_arcs
from analysis.ball.asked import NOT_OF_BALL, OF_BALL
from analysis.checks import REGISTRY
from analysis.memory import Memory
from analysis.pipeline import examine
from analysis.thinned import thin

BALL = Bouncing(1.0, 0.8, phase=0.3)
# Its second arc: from about frame 12 to 29.
CONTACTS = BALL.contacts * BALL.fps - BALL.phase


def shot_of(clip, **settings):
    return examine(clip, Settings(**settings)).shot


def told(clip, **settings):
    return [(each.check, each.part) for each in shot_of(clip, **settings).findings]


def in_arc(number, path):
    """(T,) how far each frame is through an arc, from 0 before it to 1 after it."""
    first, last = CONTACTS[number : number + 2]
    return np.clip((np.arange(len(path)) - first) / (last - first), 0.0, 1.0)


@pytest.mark.parametrize("clip", [alone(BALL.path()), over(hop(distance=0.0))])
def test_only_what_asks_one_body_is_asked(clip):
    shot = shot_of(clip)
    never = {check for check, why in shot.skipped if why == NOT_OF_BALL}
    assert never == {each.info.name for each in REGISTRY} - set(OF_BALL)
    assert shot.findings == ()
    assert all("root" not in text and "figure" not in text for text in (*shot.good, *shot.style))


@pytest.mark.parametrize("clip", [hop(distance=0.0), hop(distance=0.0, fps=60.0), walk(Walk())])
def test_what_is_clean_on_the_figure_is_clean_on_its_ball(clip):
    assert told(clip) == told(over(clip)) == []


@pytest.mark.parametrize(
    ("changes", "check"),
    [({"gravity": 0.4 * GRAVITY}, "gravity"), ({"gravity": 2.4 * GRAVITY}, "gravity")],
)
def test_a_flight_that_falls_wrongly_is_told_on_figure_and_ball_alike(changes, check):
    clip = hop(**changes)
    (own,) = [each for each in shot_of(clip).findings if each.check == check]
    (ball,) = shot_of(over(clip)).findings
    assert (ball.check, ball.part, ball.frames) == (check, "root", own.frames)
    assert ball.amount == pytest.approx(own.amount)
    assert ball.says == own.says.replace("the root", "the ball")
    assert ball.suggestion.text == own.suggestion.text


def test_a_ball_that_falls_too_slowly_is_told():
    """Its second arc takes 1.6 times as long: it falls at 1 / 1.6^2 = .39 g."""
    first, last = BALL.contacts[1:3]
    longer = 1.6 * (last - first)
    time = (np.arange(int((BALL.contacts[-1] + 0.6 * (last - first)) * 24.0)) + 0.3) / 24.0
    inside = first + (time - first) / 1.6
    seconds = np.where(time < first, time, np.where(time < first + longer, inside, 0.0))
    after = time >= first + longer
    seconds[after] = time[after] - 0.6 * (last - first)
    (finding,) = shot_of(alone(BALL.places(seconds))).findings
    assert finding.check == "gravity"
    assert finding.amount == pytest.approx(GRAVITY * (1.0 - 1.0 / 1.6**2), rel=0.01)
    assert "the ball falls 0.39 times as fast as gravity has it" in finding.says
    begin, end = (np.array([first, first + longer]) * 24.0 + 0.7).tolist()
    assert finding.frames[0] == pytest.approx(begin, abs=2.0)
    assert finding.frames[1] == pytest.approx(end, abs=2.0)


def test_a_ball_that_hangs_is_told_which_frames_to_take_out():
    path = BALL.path()
    top = round(0.5 * (CONTACTS[1] + CONTACTS[2]))
    (finding,) = shot_of(alone(np.insert(path, [top] * 5, path[top], axis=0))).findings
    assert finding.check == "hang_time"
    assert "the ball hangs" in finding.says
    assert "Take out the 5 frames at the top" in finding.suggestion.text


def test_a_ball_that_lands_further_than_its_bounces_carry_it_is_told():
    path = BALL.path()
    path[:, 1] -= 0.5 * in_arc(1, path)
    (finding,) = shot_of(alone(path)).findings
    assert finding.check == "carry"
    assert finding.amount == pytest.approx(50.0, rel=0.1)
    assert "that way the bounces give it" in finding.says
    assert CONTACTS[1] <= finding.frames[0] - 1 and finding.frames[1] - 1 <= CONTACTS[2]


@pytest.mark.parametrize("clip", [alone, over])
def test_a_ball_that_is_pulled_in_mid_air_is_told(clip):
    if clip is alone:
        path = BALL.path()
        path[:, 0] += 0.5 * np.maximum(2.0 * in_arc(1, path) - 1.0, 0.0)
        ball = alone(path)
    else:
        ball = over(Thrown(flies=16, kick=1.5).clip())
    (finding,) = shot_of(ball).findings
    assert finding.check == "carry"
    assert "the ball is pulled" in finding.says
    assert "to the left of where it was going, and nothing touches it there" in finding.says
    # The figure's own push is told by a check that asks its feet.
    if clip is over:
        assert "push" in [check for check, _ in told(Thrown(flies=16, kick=1.5).clip())]


def test_a_ball_that_is_slowed_in_the_air_is_told():
    """From 2 m/s to none within its second arc: no air does that."""
    path = Bouncing(1.0, 0.8, phase=0.3, speed=0.0).path()
    share, seconds = in_arc(1, path), BALL.contacts[2] - BALL.contacts[1]
    path[:, 1] -= 2.0 * seconds * (share - 0.5 * share**2)
    first = int(CONTACTS[1]) + 1
    path[:first, 1] -= 2.0 * (np.arange(first) - CONTACTS[1]) / 24.0
    findings = shot_of(alone(path)).findings
    assert "carry" in [each.check for each in findings]
    assert all(CONTACTS[1] - 2 <= each.peak_frame - 1 <= CONTACTS[2] + 2 for each in findings)


def stands(path, fps=24.0, **meta):
    """A figure that stands still for as long as a way takes."""
    return figure_along(np.tile([0.0, 0.0, 0.95], (len(path), 1)), fps, **meta)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_turning_in_one_frame_is_told_side_to_side(fps):
    """Evenly spaced ways of 40 cm, each of half a second, over feet 20 cm apart; eased they are
    what legs can do."""
    even, eased = (
        to_and_fro(kind, fps, amount=0.2, phase=0.3, rounds=3) for kind in ("even", "sine")
    )
    assert told(over(stands(even, fps), eased, on="")) == []
    (finding,) = shot_of(over(stands(even, fps), even, on="")).findings
    assert (finding.check, finding.part) == ("hang_time", "root")
    assert "The ball rocks to the side and back, and does not slow at its turns" in finding.says
    assert "it must be pushed sideways with" in finding.says
    arcs = ball_arcs(examine(over(stands(even, fps), even, on="")))
    shares = [each.share for each in arcs if each.axis == "side" and each.symmetry is not None]
    assert shares == pytest.approx([0.25] * len(shares), abs=0.01)


def jumping(clip, size):
    """(T,3) up on one frame, the 21st."""
    return np.outer(spike(len(clip.frames), 20, size), [0.0, 0.0, 1.0])


def test_a_stray_key_and_frames_that_stick_are_told_of_the_ball():
    clip = hop(before=40, distance=0.0)
    path = clip.positions[:, 0] + jumping(clip, 0.08)
    pop = shot_of(over(clip, path)).findings[0]
    assert (pop.check, pop.part, pop.frames) == ("pop", "root", (21.0, 21.0))
    assert pop.says.startswith("The ball jumps 8.0 cm")
    sways = to_and_fro("sine", 48.0, amount=0.3, rounds=2)
    sways[30:33] = sways[30]
    hitch = shot_of(over(stands(sways), sways, on="")).findings[0]
    assert hitch.check == "hitch"
    assert hitch.says.startswith("The ball sticks")


@pytest.mark.parametrize("scale", [0.1, 10.0])
def test_what_is_told_does_not_depend_on_the_scene_s_size(scale):
    for changes in ({"gravity": 0.4 * GRAVITY}, {"kick": 1.5}, {"air": 2.0}):
        jump = replace(Thrown(flies=16, pace=1.0, air=1.0), **changes)
        plain = shot_of(over(jump.clip(height_m=1.78))).findings
        scaled = shot_of(over(jump.clip(scale, height_m=1.78))).findings
        assert [each.says for each in scaled] == [each.says for each in plain] != []


def test_twos_and_loops_stay_balls():
    slow = walk(Walk())
    count = len(slow.frames)
    shown = (np.arange(count) // 2) * 2
    twos = replace(slow, positions=slow.positions[shown], rotations=slow.rotations[shown])
    shot = shot_of(over(twos))
    assert shot.findings == ()
    assert any(text.startswith("The ball is animated on twos") for text in shot.style)
    assert thin(over(twos), 2, 0, 1e-5, 4).is_ball
    examination = examine(over(figure(frames=96)))
    assert examination.cycle.plays
    assert examination.shot.findings == ()
    assert all(check != "loop_seam" for check, _why in examination.shot.skipped)


def test_a_ball_plays_as_its_figure_does():
    """By itself a ball that comes back would be guessed to be a loop."""
    clip = hop(distance=0.0)
    own, ball = examine(clip), examine(over(clip))
    assert bits(ball.cycle) == bits(own.cycle)


def test_lifted_over_feet_that_stand_it_is_carried():
    """Where the feet have not left the floor there is no flight, however the ball is lifted."""
    lift = np.pad(0.3 * np.sin(np.pi * np.arange(49) / 48) ** 2, 12)
    path = np.tile([0.0, 0.0, 0.95], (len(lift), 1)) + np.outer(lift, [0.0, 0.0, 1.0])
    ball = over(stands(path), path, on="")
    assert examine(ball).basis.flights == ()
    assert {"gravity", "carry", "hang_time"} <= {check for check, _why in shot_of(ball).skipped}
    (arc,) = [each for each in ball_arcs(examine(ball)) if each.axis == "up"]
    assert not arc.free
    assert "on the ground, rises 30.0 cm" in arc.says


def test_a_memory_changes_nothing():
    clip, memory = hop(before=30), Memory()
    for lift in (0.0, 0.02, 0.3, 0.02):
        path = clip.positions[:, 0] + jumping(clip, lift)
        ball = over(clip, path)
        with_it, without = examine(ball, memory=memory), examine(ball)
        assert bits(with_it.shot) == bits(without.shot)
        assert bits(ball_arcs(with_it)) == bits(ball_arcs(without))
    assert memory.hits > 0


def test_what_flights_need_is_told_where_no_height_is():
    shot = shot_of(alone(BALL.path(), height_m=None))
    assert shot.findings == ()
    assert all(
        each.fall_g is None for each in ball_arcs(examine(alone(BALL.path(), height_m=None)))
    )
    assert any("height is not known" in text for text in (*shot.good, *dict(shot.skipped).values()))
