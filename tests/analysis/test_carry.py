# SPDX-License-Identifier: GPL-3.0-or-later
"""`carry`: flights whose travel is known, and what their take-offs gave them.

A body in the air keeps its level velocity (Newton's first law).
"""

from dataclasses import replace

import numpy as np
import pytest
from walker import ANKLE, hop, joined, steer

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.carry_flights import drift_of, find_carried, noise_of
from analysis.flown import find_flown
from analysis.meta import Event
from tests.quality.hop_path import Hop

ASKED = Settings(cycle="no", checks=("carry",))
PLAN = Hop(
    air_s=0.5,
    travel_m=(0.6, 0.0),
    crouch_m=0.3,
    catch_m=0.3,
    stand_s=0.3,
    down_s=0.4,
    up_s=0.5,
    lift_m=0.0,
    tuck_m=0.0,
)


def leap(*, fps=30.0, beyond=(0.0, 0.0), plan=PLAN, scale=1.0, **meta):
    """A hop whose centre of mass the feet push as its travel needs; in the air it goes `beyond`,
    metres, ahead and to the left, further than that."""
    time = np.arange(int(plan.seconds * fps)) / fps
    path = plan.path(time)
    u = np.clip((time - plan.times[2]) / plan.air_s, 0.0, 1.0)
    path[:, :2] += np.outer(u, beyond)
    way = np.stack((path[:, 1], -path[:, 0], path[:, 2]), axis=-1)
    feet = np.outer(u, plan.whole_m + np.array(beyond))
    rise = np.where((u > 0.0) & (u < 1.0), path[:, 2] - plan.lift_m, 0.0)
    stands = np.stack((feet[:, 1], -feet[:, 0], ANKLE + rise), axis=-1)
    root, first = way + [0.0, 0.0, 0.84], None
    for _ in range(6):
        ankles = {side: stands + [x, 0.0, 0.0] for side, x in (("L", 0.1), ("R", -0.1))}
        clip = steer(root, ankles, fps, **meta)
        com = build_basis(clip, Settings(cycle="no")).com
        first = com[0] if first is None else first
        shift = first + way - com
        root, stands = root + shift, stands + shift * ((u > 0.0) & (u < 1.0))[:, None]
    return steer(root, ankles, fps, scale=scale, **meta)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_leap_lands_where_its_take_off_carries_it(fps):
    shot = check_clip(leap(fps=fps), ASKED)
    assert not shot.findings
    assert shot.measures["carry_off_m"] < 0.05
    assert shot.measures["air_drift_m"] < 0.01
    assert shot.good[0].startswith("1 flight: it lands within")


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize(
    ("beyond", "way"),
    [
        ((0.3, 0.0), "cm too far forward:"),
        ((-0.3, 0.0), "cm short:"),
        ((0.0, 0.3), "cm too far to the left:"),
        ((0.0, -0.3), "cm too far to the right:"),
    ],
)
def test_a_flight_that_goes_further_is_found_with_its_size_and_way(fps, beyond, way):
    (finding,) = check_clip(leap(fps=fps, beyond=beyond), ASKED).findings
    assert (finding.check, finding.part, finding.severity) == ("carry", "root", "major")
    # When it leaves and lands is known to a frame: 3 cm or so on either side at 24 fps.
    assert finding.amount == pytest.approx(30.0, abs=8.0)
    assert way in finding.says
    # The figure looks along -Y; it is led back to where its take-off carries it.
    back = np.array([-beyond[1], beyond[0], 0.0])
    assert finding.suggestion.offset == pytest.approx(back, abs=0.08)


def test_the_speeds_that_are_told_are_those_of_the_plan():
    """It is pushed off at .6 / .5 = 1.2 m/s; .3 m more in .5 s is .6 m/s faster."""
    (finding,) = check_clip(leap(fps=60.0, beyond=(0.3, 0.0)), ASKED).findings
    assert "the feet give it 1.2 m/s, and in the air it has 1.8 m/s" in finding.says
    assert "push off, and catch, at 1.8 m/s that way" in finding.suggestion.text


def test_a_jump_that_lands_short_is_told_along_the_way_that_it_travels():
    """It is pushed off at 1.2 m/s; .3 m less in .5 s is .6 m/s slower."""
    (finding,) = check_clip(leap(fps=60.0, beyond=(-0.3, 0.0)), ASKED).findings
    assert "its feet give it 1.2 m/s forward, and in the air it has 0.6 m/s." in finding.says
    assert "cm further forward, at frame" in finding.suggestion.text
    assert finding.suggestion.text.endswith("push off, and catch, at 0.6 m/s forward.")
    assert "the other way" not in finding.says + finding.suggestion.text


def test_one_that_goes_back_in_the_air_does_not_land_short():
    (finding,) = check_clip(leap(fps=60.0, beyond=(-0.9, 0.0)), ASKED).findings
    assert "too far back: that way the feet give it 1.2 m/s the other way" in finding.says


@pytest.mark.parametrize("fps", [24.0, 30.0])
@pytest.mark.parametrize("wider", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("aside", [0.35, -0.35])
def test_a_drift_may_begin_a_frame_before_it_leaves(fps, wider, aside):
    """The plain end of the ground then holds a frame of the drift."""
    clip = leap(fps=fps)
    (flown,) = find_flown(basis := build_basis(clip, ASKED), basis.flights, rough=False)
    at = np.arange(len(clip.frames), dtype=np.float64)
    ends = (flown.leaves - wider, flown.lands + wider)
    moved = clip.positions + np.outer(np.interp(at, ends, (0.0, aside)), [1.0, 0.0, 0.0])[:, None]
    (finding,) = check_clip(replace(clip, positions=moved), ASKED).findings
    assert finding.amount == pytest.approx(35.0, abs=11.0)
    assert ("left" if aside > 0.0 else "right") in finding.says


@pytest.mark.parametrize("scale", [0.1, 10.0])
def test_size_does_not_matter(scale):
    asked = replace(ASKED, height_m=1.78)
    (small,) = check_clip(leap(beyond=(0.3, 0.0), scale=scale), asked).findings
    (plain,) = check_clip(leap(beyond=(0.3, 0.0)), asked).findings
    assert small.amount == pytest.approx(plain.amount, rel=1e-6)
    assert small.says == plain.says


def test_flights_that_all_go_further_alike_are_a_style():
    far = leap(beyond=(0.35, 0.0))
    shot = check_clip(joined(far, far, far), ASKED)
    assert not shot.findings
    assert any("all alike: a style, not a fault" in said for said in shot.style)
    assert shot.measures["carry_off_m"] > 0.2
    (finding,) = check_clip(joined(leap(), far, leap()), ASKED).findings
    assert finding.frames[0] > len(leap().frames)


def test_a_kick_in_mid_air_is_no_matter_of_the_take_off():
    """A push half-way changes the speed inside the flight: both ends then say different things."""
    clip = leap(fps=30.0)
    time = np.arange(len(clip.frames)) / 30.0
    late = np.maximum(time - PLAN.times[2] - 0.25, 0.0)
    late = np.minimum(late, 0.25)
    moved = clip.positions + np.outer(0.8 * late, [1.0, 0.0, 0.0])[:, None]
    assert not check_clip(replace(clip, positions=moved), ASKED).findings


@pytest.mark.parametrize("part", ["root", None])
def test_inside_a_declared_event_nothing_is_blamed(part):
    clip = leap(beyond=(0.4, 0.0))
    middle = float(np.median(clip.frames))
    event = Event(frames=(middle - 3, middle), part=part, kind="pull")
    shot = check_clip(replace(clip, meta=replace(clip.meta, events=(event,))), ASKED)
    assert not shot.findings
    assert "outside declared events" in dict(shot.skipped)["carry"]


def test_what_cannot_be_told_is_said():
    short = leap(plan=replace(PLAN, air_s=0.28, crouch_m=0.12, catch_m=0.12))
    assert "no flight of .25 s or more" in dict(check_clip(short, ASKED).skipped)["carry"]
    stays = leap().cut(1, 12)
    assert (
        dict(check_clip(stays, ASKED).skipped)["carry"] == "nothing leaves the ground in this range"
    )
    flies = leap(fps=30.0)
    leaves = int(PLAN.times[2] * 30.0) + 2
    cut = flies.cut(flies.frames[leaves], flies.frames[-1])
    assert "ground before and after it" in dict(check_clip(cut, ASKED).skipped)["carry"]


def test_the_first_half_in_the_air_foretells_where_it_lands():
    time = np.arange(12) / 30.0
    even = np.outer(time, [1.2, -0.3])
    assert drift_of(even) == pytest.approx([0.0, 0.0], abs=1e-12)
    kicked = even + np.outer(np.maximum(time - time[6], 0.0), [0.0, 0.6])
    assert drift_of(kicked) == pytest.approx([0.0, 0.6 * 5 / 30.0], abs=1e-12)


def test_velocities_at_both_ends_are_those_of_the_push_and_the_catch():
    basis = build_basis(leap(fps=60.0, beyond=(0.3, 0.0)), ASKED)
    (carried,) = find_carried(basis, find_flown(basis, basis.flights, rough=False))
    for velocity, speed in ((carried.before, 1.2), (carried.air, 1.8), (carried.after, 1.2)):
        assert velocity == pytest.approx([0.0, -speed], abs=0.1)


def blocked(clip, keys):
    at = np.arange(len(clip.frames))
    source = np.array(keys)[np.searchsorted(keys, at, side="right") - 1]
    return replace(clip, positions=clip.positions[source], rotations=clip.rotations[source])


def pose_keys(clip, top):
    return [0, 7, 13, 13 + top, 27, 34, len(clip.frames) - 1]


def test_in_blocking_the_highest_pose_lies_where_its_time_has_it():
    """At half of the time it is half of the way; a pose of that place that comes early is not."""
    clip = hop(air_s=14 / 24, distance=0.9, tuck=0.0)
    asked = replace(ASKED, stage="blocking")
    assert not check_clip(blocked(clip, pose_keys(clip, 7)), asked).findings
    early = blocked(clip, [0, 7, 13, 20, 27, 34, len(clip.frames) - 1])
    held = np.array(early.positions)
    held[17:20] = held[20]
    (finding,) = check_clip(replace(early, positions=held), asked).findings
    # 4 of 14 frames: .26 m of .9; it lies half-way, at .45.
    assert finding.amount == pytest.approx(100.0 * (0.45 - 0.9 * 4 / 14), abs=2.0)
    assert "too far forward: it comes after 29 % of the time from frame 14 to 28" in finding.says
    assert finding.peak_frame == 18


@pytest.mark.parametrize("frames", [2, 5, 9])
def test_short_clips_and_still_ones_are_no_trouble(frames):
    clip = leap()
    short = clip.cut(clip.frames[0], clip.frames[frames - 1])
    assert not check_clip(short, ASKED).findings
    still = replace(clip, positions=np.repeat(clip.positions[:1], len(clip.frames), axis=0))
    assert not check_clip(still, ASKED).findings


def test_feet_that_push_off_straight_up_give_no_speed():
    """The hop of `walker` goes ahead at once as it leaves the ground."""
    (finding,) = check_clip(hop(tuck=0.0), ASKED).findings
    assert "that way the feet give it no speed, and in the air it has 1.2 m/s" in finding.says


def test_noise_is_measured_and_asked_for_besides():
    rng = np.random.default_rng(5)
    time = np.arange(400)[:, None] / 30.0
    smooth = np.concatenate((1.2 * time, 0.3 * time**2), axis=1)
    assert noise_of(smooth) == pytest.approx(0.0, abs=1e-9)
    assert noise_of(smooth + rng.normal(0.0, 0.004, smooth.shape)) == pytest.approx(0.004, rel=0.1)
    clip = leap(fps=60.0)
    for seed in range(6):
        rng = np.random.default_rng(seed)
        noisy = clip.positions + rng.normal(0.0, 0.006, (len(clip.frames), 1, 3))
        assert not check_clip(replace(clip, positions=noisy), ASKED).findings
