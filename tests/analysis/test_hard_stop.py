# SPDX-License-Identifier: GPL-3.0-or-later
"""`hard_stop` and `hard_start` on a figure: what, where, how fast, and what is left alone."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, names, pose, to_clip
from filmed import filmed

from analysis import Event, Settings, check_clip
from analysis import quaternions as quat

CHECKS = ("hard_stop", "hard_start")
ASKED = Settings(cycle="no", checks=CHECKS)
HEIGHT_M = 1.78


def stopped(time, at):
    """Time that stands still from `at` on."""
    return np.minimum(time, at)


def set_off(time, at):
    """Time that stands still until `at`."""
    return np.maximum(time, at)


def played(at_time, *, fps=24.0, scale=1.0, **meta):
    """The striding figure, shown at other times (T,) seconds."""
    frames = len(at_time)
    phase = 2.0 * np.pi * at_time
    swing = {
        "thigh.L": 0.45 * np.sin(phase),
        "thigh.R": -0.45 * np.sin(phase),
        "upper_arm.L": -0.45 * np.sin(phase - 0.2),
        "upper_arm.R": 0.45 * np.sin(phase - 0.2),
        "chest": 0.05 * np.sin(2 * phase),
    }
    root = np.stack((0.02 * np.sin(phase), -1.4 * at_time, 0.95 + 0.02 * np.cos(2 * phase)), -1)
    turn, place = pose(swing, root, frames)
    return to_clip(turn, place * scale, fps, scale, meta)


def seconds(fps=24.0, length=2.0):
    return np.arange(round(length * fps)) / fps


def with_nod(shape, **extra):
    """The striding figure whose head turns by a shape (48,) of radians."""
    return figure(turns={"head": shape}, **extra)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_whole_body_that_stops_dead_is_one_finding_on_the_root(fps):
    shot = check_clip(played(stopped(seconds(fps), 1.0), fps=fps), ASKED)
    assert names(shot) == [("hard_stop", "root")]
    (found,) = shot.findings
    assert found.peak_frame == round(fps) + 1
    assert found.unit == "cm/s"
    assert found.amount == pytest.approx(140.0, rel=0.1)
    assert found.severity == "major"
    assert found.says.startswith(f"The root stops dead at frame {round(fps) + 1}: from ")
    # (The left hand is at the thigh there, and the right one slows down by itself.)
    assert {part for _check, part in found.also} >= {"chest", "head"}


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_hard_start_is_a_stop_played_backwards(fps):
    shot = check_clip(played(set_off(seconds(fps), 1.0), fps=fps), ASKED)
    assert names(shot) == [("hard_start", "root")]
    assert shot.findings[0].peak_frame == round(fps) + 1
    assert "starts at full speed" in shot.findings[0].says


@pytest.mark.parametrize("scale", [0.1, 10.0])
def test_size_and_heading_do_not_matter(scale):
    plain = check_clip(played(stopped(seconds(), 1.0), height_m=HEIGHT_M), ASKED)
    scaled = check_clip(played(stopped(seconds(), 1.0), scale=scale, height_m=HEIGHT_M), ASKED)
    turn = np.array([np.cos(0.4), 0.0, 0.0, np.sin(0.4)])
    clip = played(stopped(seconds(), 1.0), height_m=HEIGHT_M)
    turned = replace(
        clip,
        positions=quat.rotate(turn, clip.positions),
        rotations=quat.multiply(np.broadcast_to(turn, clip.rotations.shape), clip.rotations),
    )
    for other in (scaled, check_clip(turned, ASKED)):
        assert names(other) == names(plain)
        assert other.findings[0].peak_frame == plain.findings[0].peak_frame
        assert other.findings[0].amount == pytest.approx(plain.findings[0].amount, rel=1e-6)


def eased(time, at, over=0.25):
    """Time that runs until `at` and then slows down evenly."""
    after = np.clip(time - at, 0.0, over)
    return np.where(time < at, time, at + after - after**2 / (2.0 * over))


def test_what_eases_is_good_and_says_so():
    shot = check_clip(played(eased(seconds(), 1.0)), ASKED)
    assert names(shot) == []
    assert "Nothing stops dead from frame 1 to 48." in shot.good
    assert "Nothing starts at full speed from rest from frame 1 to 48." in shot.good


def test_the_last_four_frames_and_the_first_two_are_not_judged():
    assert names(check_clip(played(stopped(seconds(), 44 / 24.0)), ASKED)) == []
    assert names(check_clip(played(stopped(seconds(), 1 / 24.0)), ASKED)) == []


def nod(at=24, size=1.0):
    """(48,) a head that turns evenly and stops dead on a sample, and back again with ease."""
    there = np.clip((np.arange(48) - at + 12) / 12.0, 0.0, 1.0)
    turn = size * np.where(there < 0.5, 2.0 * there**2, 2.0 * there - 0.5) / 1.5
    back = np.clip((np.arange(48) - 34) / 12.0, 0.0, 1.0)
    own = 0.04 * np.sin(4.0 * np.pi * np.arange(48) / 24.0 - 0.3)  # its own sway, taken out
    return own + turn - size * back**2 * (3.0 - 2.0 * back)


def test_a_head_that_stops_dead_on_a_body_that_walks_on_is_the_head():
    shot = check_clip(with_nod(nod()), ASKED)
    assert names(shot) == [("hard_stop", "head")]
    assert shot.findings[0].peak_frame == 25
    assert "against what carries it" in shot.findings[0].says


def test_an_arm_that_stops_dead_on_a_body_that_walks_on_is_one_of_the_arm_s():
    swing = np.where(np.arange(48) <= 24, 0.05 * np.arange(48), 1.2)
    held = {"upper_arm.L": 0.35 * np.sin(2 * np.pi * np.arange(48) / 24 - 0.2) + swing}
    held["forearm.L"] = 0.15 * np.sin(2 * np.pi * np.arange(48) / 24 - 0.6)
    shot = check_clip(figure(turns=held), ASKED)
    ((check, part),) = names(shot)
    assert check == "hard_stop"
    assert part in ("upper_arm.L", "forearm.L", "hand.L")


@pytest.mark.parametrize(
    ("event", "finds"),
    [
        (Event(frames=(24, 26), kind="hit"), 0),
        (Event(frames=(25, 25), part="head", kind="hit"), 0),
        (Event(frames=(30, 32), part="head", kind="hit"), 1),
        (Event(frames=(24, 26), part="hand.L", kind="catch"), 1),
    ],
)
def test_inside_a_declared_event_about_it_nothing_is_said(event, finds):
    assert len(check_clip(with_nod(nod(), events=(event,)), ASKED).findings) == finds


def reaching(target, at=24):
    """The figure at rest but for its left hand, a body of its own that goes straight to a
    target and stops dead there."""
    turn, place = pose({}, np.tile([0.0, 0.0, 0.95], (48, 1)), 48)
    clip = to_clip(turn, place, 24.0, 1.0, {})
    hand = clip.joint("hand.L")
    share = np.clip(np.arange(48) / at, 0.0, 1.0)[:, None]
    moved = np.array(clip.positions)
    tip = np.array([0.0, 0.0, 0.15])
    moved[:, hand] = (1.0 - share) * np.array([0.8, -0.6, 1.3]) + share * (target + tip)
    return replace(clip, positions=moved)


def test_a_hand_that_stops_dead_in_the_air_is_found_and_one_that_hits_is_not():
    assert names(check_clip(reaching(np.array([0.6, -0.6, 0.7])), ASKED)) == [
        ("hard_stop", "hand.L")
    ]
    floor = check_clip(reaching(np.array([0.6, -0.6, -0.07])), ASKED)
    chest = check_clip(reaching(np.array([0.05, -0.05, 1.35])), ASKED)
    assert names(floor) == []
    assert names(chest) == []


@pytest.mark.parametrize(("follows", "finds"), [(True, []), (False, [("hard_stop", "hand.L")])])
def test_what_hits_the_body_stays_on_it(follows, finds):
    """A hand that comes to a chest that goes on sideways: carried on by it, or dead in the air."""
    clip = reaching(np.array([0.05, -0.05, 1.35]))
    on = 0.5 * np.arange(48)[:, None, None] / 24.0 * [1.0, 0.0, 0.0]
    moved = clip.positions + on
    hand = clip.joint("hand.L")
    if not follows:
        moved[25:, hand] = moved[24, hand]
    assert names(check_clip(replace(clip, positions=moved), ASKED)) == finds


def test_a_hand_that_swings_past_the_body_does_not_hit_it():
    """It comes from behind, a hand's width off the hip, and stops dead beside it."""
    turn, place = pose({}, np.tile([0.0, 0.0, 0.95], (48, 1)), 48)
    clip = to_clip(turn, place, 24.0, 1.0, {})
    way = np.clip(np.arange(48) / 24.0, 0.0, 1.0)
    moved = np.array(clip.positions)
    moved[:, clip.joint("hand.L")] = np.stack(
        (0.0 * way + 0.25, 0.6 - 0.6 * way, 0.0 * way + 1.0), -1
    )
    shot = check_clip(replace(clip, positions=moved), ASKED)
    assert names(shot) == [("hard_stop", "hand.L")]


def test_a_hand_that_hits_the_side_of_a_box_stops_by_right():
    target = np.array([0.2, -0.9, 1.0])
    away = target + [-0.18, 0.0, 0.1]  # the hand comes from +X: a face of the box is 3 cm further
    finds = {}
    for name, centre in (("hit", away), ("beside", target + [0.8, 0.0, 0.0])):
        box = np.diag([0.3, 0.3, 0.3, 1.0])
        box[:3, 3] = centre
        clip = replace(reaching(target), supports=np.tile(box, (1, 48, 1, 1)))
        finds[name] = names(check_clip(clip, ASKED))
    assert finds == {"hit": [], "beside": [("hard_stop", "hand.L")]}


def test_a_stop_that_is_off_again_at_full_speed_sticks_and_is_none():
    time = seconds()
    stuck = np.minimum(time, 1.0) + np.maximum(time - 28 / 24.0, 0.0)
    assert names(check_clip(played(stuck), ASKED)) == []
    rested = np.minimum(time, 20 / 24.0) + np.maximum(time - 28 / 24.0, 0.0)
    assert names(check_clip(played(rested), ASKED)) == [
        ("hard_stop", "root"),
        ("hard_start", "root"),
    ]


def travelled(at_time):
    """The figure as it stands, pushed along at other times (T,) seconds."""
    frames = len(at_time)
    root = np.stack((0.0 * at_time, -1.4 * at_time, 0.95 + 0.0 * at_time), axis=-1)
    return to_clip(*pose({}, root, frames), 24.0, 1.0, {})


@pytest.mark.parametrize(("held", "starts"), [(0, 0), (5, 1), (8, 1)])
def test_a_strike_is_prepared_by_going_back_until_it_sets_off(held, starts):
    """Back by 5 cm with ease, then away at full speed: at once, or after some frames of nothing."""
    u = np.arange(30) / 29.0
    back = -0.05 * (10.0 * u**3 - 15.0 * u**4 + 6.0 * u**5)
    strike = back[-1] + 0.12 * np.arange(1, 9)
    way = np.concatenate((np.zeros(8), back, np.full(held, back[-1]), strike))
    shot = check_clip(travelled(way / 1.4), ASKED)
    assert [check for check, _part in names(shot)] == ["hard_start"] * starts
    straight_away = np.concatenate((np.zeros(30), strike - back[-1]))
    assert len(check_clip(travelled(straight_away / 1.4), ASKED).findings) == 1


@pytest.mark.parametrize(("eye", "parts"), [((8.0, -0.7, 1.0), ["root"]), ((0.0, -12.0, 1.0), [])])
def test_the_camera_sees_a_stop_across_the_picture_and_none_along_its_sight(eye, parts):
    clip = filmed(travelled(stopped(seconds(), 1.0)), eye=eye, target=(0.0, -0.7, 1.0))
    shot = check_clip(clip, replace(ASKED, space="camera"))
    assert [finding.part for finding in shot.findings] == parts
    for finding in shot.findings:
        assert finding.unit == "%/s"
        # The picture is 2 * .24 * 8 = 3.84 m high there.
        assert finding.amount == pytest.approx(1.4 / 3.84 * 100.0, rel=0.1)


def poses(count, move, hold, *, ease=False):
    """Times that go through `count` moves of some frames with holds between them."""
    times, now = [0.0] * hold, 0.0
    for _ in range(count):
        u = np.arange(1, move + 1) / move
        share = u**2 * (3.0 - 2.0 * u) if ease else u
        times += list(now + share * move / 24.0) + [now + move / 24.0] * hold
        now += move / 24.0
    return np.array(times)


def test_a_shot_that_stops_dead_all_the_time_has_a_style_and_no_findings():
    shot = check_clip(travelled(poses(5, 6, 10)), ASKED)
    assert names(shot) == []
    assert "Most moves stop dead (5 of 5): taken for the shot's style." in shot.style
    assert "Most moves start at full speed (5 of 5): taken for the shot's style." in shot.style
    assert shot.measures["hard_stop_share"] == 1.0


def test_four_dead_stops_are_no_style_and_neither_are_five_among_eased_ones():
    shot = check_clip(travelled(poses(4, 6, 10)), ASKED)
    assert [check for check, _part in names(shot)].count("hard_stop") == 4
    hard, soft = poses(5, 6, 10), poses(5, 6, 10, ease=True)
    mixed = np.concatenate((soft, soft[-1] + hard))
    found = check_clip(travelled(mixed), ASKED)
    assert [check for check, _part in names(found)].count("hard_stop") == 5
    assert found.measures["hard_stop_share"] == pytest.approx(0.5)


def test_tolerance_widens_the_limit():
    clip = reaching(np.array([0.7, -0.6, 0.9]))  # .27 m/s, .15 heights a second
    found = {
        tolerance: len(check_clip(clip, replace(ASKED, tolerance=tolerance)).findings)
        for tolerance in ("strict", "normal", "loose")
    }
    assert found == {"strict": 1, "normal": 1, "loose": 0}


def test_gaps_are_not_judged_and_short_clips_say_why():
    clip = played(stopped(seconds(), 1.0))
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[23:26] = False
    gap = replace(clip, positions=np.where(valid[..., None], clip.positions, np.nan), valid=valid)
    assert names(check_clip(gap, ASKED)) == []
    short = check_clip(played(stopped(seconds(), 0.1)[:7]), ASKED)
    assert dict(short.skipped)["hard_stop"] == "needs 8 frames or more, the range has 7"


def nodding(fps):
    """A head that nods all the time, on a chest that does; a second a nod."""
    time = np.arange(round(3 * fps)) / fps
    turns = {
        "chest": 0.3 * np.sin(2 * np.pi * time),
        "head": -0.3 * np.sin(2 * np.pi * time) - 0.1 * np.cos(2 * np.pi * time),
    }
    return figure(frames=len(time), fps=fps, speed=0.0, turns=turns)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_what_carries_the_head_is_asked_for_gaps_as_well(fps):
    """Filled straight, a chest seems to stop, and the head with it."""
    clip = nodding(fps)
    assert names(check_clip(clip, ASKED)) == []
    for first in np.arange(0.4, 2.4, 0.1):
        valid = np.ones(clip.positions.shape[:2], dtype=bool)
        valid[round(first * fps) : round((first + 0.3) * fps), clip.joint("chest")] = False
        assert names(check_clip(replace(clip, valid=valid), ASKED)) == []


@pytest.mark.parametrize("fps", [24.0, 60.0])
@pytest.mark.parametrize(("first", "found"), [(0.4, 1), (0.7, 0), (1.0, 0), (1.4, 1)])
def test_a_stop_is_told_where_all_that_tells_it_is_known(fps, first, found):
    """The arm stops dead against the chest at 1 s; the chest has a gap of .2 s."""
    time = np.arange(round(2 * fps)) / fps
    turns = {"upper_arm.L": 1.5 * np.minimum(time, 1.0), "chest": 0.4 * np.sin(3.0 * time)}
    clip = figure(frames=len(time), fps=fps, period_s=1e6, speed=0.0, turns=turns)
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[round(first * fps) : round((first + 0.2) * fps), clip.joint("chest")] = False
    stop = Settings(cycle="no", checks=("hard_stop",))
    assert len(check_clip(clip, stop).findings) == 1
    assert len(check_clip(replace(clip, valid=valid), stop).findings) == found


def test_the_advice_names_frames_and_a_place_on_the_way():
    shot = check_clip(played(stopped(seconds(), 1.0)), ASKED)
    advice = shot.findings[0].suggestion
    assert advice.text == (
        "Let it slow down over 4 frames, 23 to 27, or overshoot a little and settle."
    )
    assert advice.frame == 25
    # Half way through an even ease of 4 frames it has half a step left to go.
    assert np.linalg.norm(advice.offset) == pytest.approx(0.5 * 1.4 / 24.0, rel=0.1)
