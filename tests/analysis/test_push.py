# SPDX-License-Identifier: GPL-3.0-or-later
"""`push`: bodies that fall or stand by their equations, with a force of known size and time."""

from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES, figure, spike, steered
from scipy.integrate import solve_ivp
from test_hands_on_supports import SPOT, hanging, on_wall, standing, without_wall
from test_no_figure import crane, prop
from toppling import toppled
from walker import hop, moved, turned, walk

from analysis import Event, Settings, check_clip
from analysis.basis import build_basis
from analysis.checks import push
from analysis.loop import Cycle

ASK = Settings(cycle="no", checks=("push",))
GRAVITY = 9.80665
# g h / k2 of the figure about its toes, 1/s2: its segments as even rods of Winter's masses.
RATE2 = 8.2
PUSHED_S, LASTS_S, ENDS_DEG = 0.6, 0.12, 60.0


def topple(body_weights=0.0, *, fps=24.0, start_deg=4.0, at_s=PUSHED_S, **how):
    """A stiff figure that topples ahead, pushed ahead at its centre of mass (below 0: back).

    About the edge of its feet a force F at the height h of its centre turns it by F h / (M k2),
    which is F / (M g) times g h / k2.
    """

    def rates(time, state):
        force = body_weights if at_s <= time < at_s + LASTS_S else 0.0
        return [state[1], RATE2 * (np.sin(state[0]) + force * np.cos(state[0]))]

    time = np.arange(0.0, 2.5, 1.0 / fps)
    path = solve_ivp(
        rates, (0.0, 2.5), [np.radians(start_deg), 0.0], t_eval=time, max_step=0.005, rtol=1e-8
    )
    leans = path.y[0]
    return toppled(leans[: np.argmax(leans > np.radians(ENDS_DEG))], fps=fps, **how)


def finding_of(clip, **settings):
    (finding,) = check_clip(clip, replace(ASK, **settings)).findings
    return finding


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("body_weights", [0.6, -0.6, 1.2])
def test_a_push_on_a_body_that_topples_is_found(fps, body_weights):
    found = finding_of(topple(body_weights, fps=fps))
    assert (found.check, found.part, found.severity) == ("push", "root", "major")
    middle = 1.0 + fps * (PUSHED_S + 0.5 * LASTS_S)
    assert abs(found.peak_frame - middle) <= 2.0 * fps / 24.0
    assert found.frames[0] <= middle + 1.0
    assert found.frames[1] >= middle - 1.0
    # What a fifth of a second makes of a force of .12 s; contacts may give some of it.
    assert 0.3 * abs(body_weights) < found.amount < 1.2 * abs(body_weights)
    back = found.suggestion.offset[:2]
    assert back @ [0.0, np.sign(body_weights)] > 0.99 * np.linalg.norm(back)
    assert ("pushed back" in found.says) == (body_weights < 0.0)
    assert "declare" in found.suggestion.text


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("start_deg", [2.0, 4.0, 10.0])
def test_a_body_that_topples_by_itself_is_not_pushed(fps, start_deg):
    shot = check_clip(topple(fps=fps, start_deg=start_deg), ASK)
    assert not shot.findings
    assert "no push" in " ".join(shot.good)
    assert shot.measures["push_peak_bw"] < 0.1


def test_size_and_heading_do_not_matter():
    plain = finding_of(topple(0.6))
    large = finding_of(topple(0.6, scale=10.0, height_m=1.78), height_m=1.78)
    aside = finding_of(turned(topple(0.6), 70.0))
    for other in (large, aside):
        assert other.amount == pytest.approx(plain.amount, rel=0.02)
        assert other.frames == plain.frames
        assert other.says == plain.says


def test_the_advice_counts_frames():
    """60 cm/s at .15 body weights, 1.47 m/s2, need .4 s."""
    found = finding_of(topple(1.2))
    told = float(found.says.split("its speed by ")[1].split(" cm/s")[0]) / 100.0
    needs = int(np.ceil(told / (0.15 * GRAVITY) * 24.0))
    first = found.frames[0]
    assert f"over frames {first:.0f} to {first + needs:.0f}" in found.suggestion.text


@pytest.mark.parametrize("part", [None, "chest", "hand.L"])
def test_inside_a_declared_event_a_push_is_none(part):
    clip = topple(1.2)
    first = 1.0 + 24.0 * PUSHED_S
    event = Event(frames=(first, first + 3.0), kind="hit", part=part)
    shot = check_clip(replace(clip, meta=replace(clip.meta, events=(event,))), ASK)
    assert not shot.findings
    assert shot.measures["push_peak_bw"] < 0.2
    elsewhere = Event(frames=(2.0, 4.0), kind="hit", part=part)
    assert check_clip(replace(clip, meta=replace(clip.meta, events=(elsewhere,))), ASK).findings


def airborne(speed, *, fps=24.0, at_s=0.3):
    """A hop of .6 s that gains `speed` m/s to its left at a time in the air."""
    clip = hop(fps=fps, air_s=0.6, tuck=0.0)
    takes_off, lands = 13.0 / fps, 13.0 / fps + 0.6
    time = np.clip(np.arange(len(clip.frames)) / fps, 0.0, lands)
    way = np.zeros((len(time), 3))
    way[:, 0] = speed * np.maximum(time - takes_off - at_s, 0.0)
    return moved(clip, way)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("at_s", [0.2, 0.3, 0.4])
def test_a_push_in_the_air_is_found(fps, at_s):
    found = finding_of(airborne(0.6, fps=fps, at_s=at_s))
    assert abs(found.peak_frame - (1.0 + 13.0 + fps * at_s)) <= 2.0
    assert "to the left" in found.says
    assert "nothing touches it" in found.says
    assert found.suggestion.offset[0] < 0.0
    assert abs(found.suggestion.offset[1]) < 0.1 * abs(found.suggestion.offset[0])


@pytest.mark.parametrize("speed", [0.0, 0.2])
@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_hop_goes_on_evenly(fps, speed):
    assert not check_clip(airborne(speed, fps=fps), ASK).findings


def test_what_tumbles_in_a_walk_is_no_push():
    """A body that leans, stands, walks and bobs is moved by its feet."""
    for clip in (walk(), standing(24.0, 96, sway=0.05), standing(24.0, 96, lean=0.05)):
        shot = check_clip(clip, ASK)
        assert not shot.findings
        assert shot.measures["push_peak_bw"] < 0.2


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_many_pushes_are_a_style(fps):
    """A figure that darts to and fro on its spot, faster than feet can make it."""
    count = round(6.0 * fps)
    shift = np.zeros((count, 3))
    for n in range(8):
        at = round((0.6 + 0.65 * n) * fps)
        shift[at:, 0] += (-1.0) ** n * 0.12 * np.clip(np.arange(count - at) / (0.12 * fps), 0, 1)
    shot = check_clip(steered(frames=count, fps=fps, root_shift=shift), ASK)
    assert not shot.findings
    assert shot.measures["push_peak_bw"] > 0.4


def test_a_pop_of_the_root_is_told_by_that_alone():
    shift = np.zeros((96, 3))
    shift[40] = [0.0, 0.08, 0.0]
    clip = steered(frames=96, root_shift=shift)
    shot = check_clip(clip, Settings(cycle="no"))
    at = [found for found in shot.findings if found.frames[0] <= 42.0 <= found.frames[1] + 2.0]
    assert {found.check for found in at} == {"pop"}


def test_what_it_holds_on_to_may_pull():
    on = on_wall(np.tile(SPOT, (72, 1)))
    shot = check_clip(on, ASK)
    assert not shot.findings
    assert "holds on to a support" in dict(shot.skipped)["push"]
    shot = check_clip(without_wall(hanging()), ASK)
    assert not shot.findings
    assert "declare what bears it" in dict(shot.skipped)["push"]


def test_why_nothing_is_told():
    tall = figure(frames=96, scale=10.0)
    assert "how tall" in dict(check_clip(tall, ASK).skipped)["push"]
    short = figure(frames=10)
    assert "shorter than" in dict(check_clip(short, ASK).skipped)["push"]
    coarse = figure(frames=24, fps=12.0)
    assert "20 times a second" in dict(check_clip(coarse, ASK).skipped)["push"]
    for nobody in (crane(), prop()):
        assert "centre of mass" in dict(check_clip(nobody, ASK).skipped)["push"]


@pytest.mark.parametrize("frames", [2, 3, 5, 15, 20])
def test_short_clips_have_an_answer(frames):
    assert not check_clip(figure(frames=frames), ASK).findings


def test_still_and_broken_clips_have_an_answer():
    still = figure(frames=96)
    place = np.repeat(still.positions[:1], 96, axis=0)
    turn = np.repeat(still.rotations[:1], 96, axis=0)
    assert not check_clip(replace(still, positions=place, rotations=turn), ASK).findings
    for gone in (NAMES, ("root", "chest"), ("foot.L", "foot.R"), ("hand.L",)):
        valid, holes = np.ones((96, len(NAMES)), dtype=bool), np.array(still.positions)
        for name in gone:
            valid[30:50, NAMES.index(name)] = False
            holes[30:50, NAMES.index(name)] = np.nan
        shot = check_clip(replace(still, positions=holes, valid=valid), ASK)
        assert not shot.findings
        assert all(np.isfinite(v) for v in shot.measures.values() if isinstance(v, float))


def test_a_spike_on_one_hand_pushes_nobody():
    clip = figure(frames=96, shift=None)
    place = np.array(clip.positions)
    place[:, NAMES.index("hand.L"), 1] += spike(96, 50, 0.05)
    evidence = push.find(
        build_basis(replace(clip, positions=place), ASK), Cycle(plays=False, why="")
    )
    assert not evidence.events
