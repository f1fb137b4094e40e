# SPDX-License-Identifier: GPL-3.0-or-later
"""Figures that come to rest: all parts at once, or one after the other."""

from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES, figure, names, pose, to_clip

from analysis import Settings, check_clip
from analysis.arrivals import find_stops_of_all, followed_bodies
from analysis.basis import build_basis
from analysis.meta import Event

ONCE = Settings(checks=("stop_together",), cycle="no")
ROLES = {name: (name,) for name in NAMES}
# Frames at 24 a second by which each arrives after the root, in a move with overlap.
OVERLAP = {"root": 0, "chest": 2, "head": 3, "arms": 4, "forearms": 6}
NONE = dict.fromkeys(OVERLAP, 0)
RADIANS = {"chest": 0.35, "head": -0.3, "arms": -0.8, "forearms": -0.6}


def eased(time, start, end):
    """0 to 1, minimum jerk."""
    u = np.clip((time - start) / (end - start), 0.0, 1.0)
    return u**3 * (10.0 - 15.0 * u + 6.0 * u * u)


def moves(late, *, fps=24.0, frames=72, scale=1.0, moves_at=(0.5,), lasts=0.6, beyond=0.0, **meta):
    """The figure steps forward and bends into a pose; parts begin and end `late` frames later.

    moves_at   seconds at which moves begin, to and fro; beyond: how far each goes beyond its pose
    """
    time = np.arange(round(frames * fps / 24.0)) / fps
    shares = {}
    for part, frames_late in late.items():
        shares[part] = 0.0 * time
        for number, start in enumerate(moves_at):
            way, begin = (-1.0) ** number, start + frames_late / 24.0
            shares[part] += way * eased(time, begin, begin + lasts)
            if beyond:
                back = begin + lasts + 0.25
                shares[part] += way * beyond * eased(time, begin, begin + lasts)
                shares[part] -= way * beyond * eased(time, begin + lasts, back)
    root = np.outer(shares["root"], [0.0, -0.25, -0.03]) + [0.0, 0.0, 0.95]
    swing = {"chest": RADIANS["chest"] * shares["chest"], "head": RADIANS["head"] * shares["head"]}
    for side in "LR":
        swing[f"upper_arm.{side}"] = RADIANS["arms"] * shares["arms"]
        swing[f"forearm.{side}"] = RADIANS["forearms"] * shares["forearms"]
    turn, place = pose(swing, root, len(time))
    return to_clip(turn, place * scale, fps, scale, {"roles": ROLES, **meta})


def only(shot):
    assert names(shot) == [("stop_together", "root")]
    return shot.findings[0]


def skipped(shot):
    return dict(shot.skipped).get("stop_together", "")


def test_all_parts_at_once():
    finding = only(check_clip(moves(NONE), ONCE))
    assert finding.severity == "major"
    # The move ends at 1.1 s, frame 27.4; the last of a minimum jerk is hardly seen.
    assert 24 <= finding.frames[0] < 27.4
    assert finding.frames[1] == pytest.approx(27.4, abs=2.0)
    assert finding.says.startswith("Root, chest, head and both hands all arrive ")
    assert "Let the hips arrive at frame " in finding.suggestion.text
    assert "3 frames later or more" in finding.suggestion.text


def test_jitter_hides_no_stop_and_makes_none():
    """.3 mm on every joint and frame."""
    rng = np.random.default_rng(4)
    for late, found in ((NONE, [("stop_together", "root")]), (OVERLAP, [])):
        clip = moves(late)
        jitter = 0.0003 * rng.normal(size=clip.positions.shape)
        assert names(check_clip(replace(clip, positions=clip.positions + jitter), ONCE)) == found


def test_parts_that_overlap_are_good():
    shot = check_clip(moves(OVERLAP), ONCE)
    assert names(shot) == []
    assert shot.good[0].startswith("1 stop, none of all parts at once: ")
    assert "the hands trail the chest by " in shot.good[0]


@pytest.mark.parametrize(("fps", "scale"), [(24.0, 10.0), (30.0, 1.0), (60.0, 1.0), (60.0, 0.01)])
def test_rate_and_size_do_not_matter(fps, scale):
    settings = replace(ONCE, height_m=1.7)
    finding = only(check_clip(moves(NONE, fps=fps, scale=scale), settings))
    assert finding.amount == pytest.approx(0.125, abs=0.02)
    assert names(check_clip(moves(OVERLAP, fps=fps, scale=scale), settings)) == []


def test_arrivals_are_in_the_order_that_they_were_made_in():
    """Each arrives so much later than the root as it was made to, to half a frame or so."""
    basis = build_basis(moves(OVERLAP), Settings())
    (stop,) = find_stops_of_all(basis, followed_bodies(basis))
    at = dict(zip((basis.bodies[n].part for n in stop.bodies), stop.at, strict=True))
    assert at["root"] < at["chest"] < at["head"] < at["hand.L"]
    assert at["hand.L"] == pytest.approx(at["hand.R"], abs=0.1)
    assert at["hand.L"] - at["root"] > 3.0


def test_within_a_frame_is_at_once_and_three_frames_are_not():
    near = {"root": 0, "chest": 1, "head": 0, "arms": 1, "forearms": 1}
    assert only(check_clip(moves(near), ONCE)).amount < 0.125
    apart = {"root": 0, "chest": 2, "head": 3, "arms": 3, "forearms": 3}
    assert names(check_clip(moves(apart), ONCE)) == []


def test_what_goes_beyond_its_pose_and_settles_is_no_stop_at_once():
    shot = check_clip(moves(NONE, beyond=0.12), ONCE)
    assert names(shot) == []
    assert shot.measures["overshoot_pct"] == pytest.approx(12.0, abs=2.0)
    assert shot.measures["settle_s"] > 0.0
    assert shot.good == (
        "1 stop: parts go beyond their places and settle, which makes it soft, though all of them "
        "do so within 1 frame.",
    )


def test_what_goes_beyond_its_pose_and_settles_one_after_the_other_is_praised():
    (good,) = check_clip(moves(OVERLAP, beyond=0.12), ONCE).good
    assert good.endswith(" and settle, so nothing stops at once.")


@pytest.mark.parametrize("turns_back_s", [0.82, 0.84, 0.96])
def test_a_bob_that_is_caught_half_way_is_no_settling(turns_back_s):
    """Time slows down and stands as a body that walks in place has turned from up to down."""
    time = np.cumsum(np.concatenate((np.ones(24), 1 - np.arange(1, 9) / 9.0, np.zeros(24)))) / 24.0
    root = np.outer(0.03 * np.cos(4.0 * np.pi * (time - turns_back_s)), [0.0, 0.0, 1.0])
    swing = {f"upper_arm.{s}": w * np.sin(2.0 * np.pi * time) for s, w in (("L", 0.6), ("R", -0.6))}
    turn, place = pose(swing, root + [0.0, 0.0, 0.95], len(time))
    only(check_clip(to_clip(turn, place, 24.0, 1.0, {"roles": ROLES}), ONCE))


@pytest.mark.parametrize(("way_m", "told"), [(0.05, 1), (0.4, 0)])
def test_a_hand_that_hardly_moves_does_not_tell_who_is_early(way_m, told):
    """It comes to rest four frames before all others."""
    clip = moves(NONE)
    share = eased(np.arange(72) / 24.0, 0.35, 0.94)
    positions, rotations, hand = clip.positions.copy(), clip.rotations.copy(), clip.joint("hand.L")
    positions[:, hand] = positions[0, hand] + np.outer(way_m * share, [0.0, -1.0, 0.0])
    rotations[:, hand] = rotations[0, hand]
    shot = check_clip(replace(clip, positions=positions, rotations=rotations), ONCE)
    assert names(shot) == [("stop_together", "root")] * told
    assert all("head and right hand all arrive" in finding.says for finding in shot.findings)


def test_a_pose_that_ends_the_range_is_left_out():
    clip = moves(NONE)
    assert names(check_clip(clip.cut(1, 34), ONCE)) == []
    assert names(check_clip(clip.cut(1, 45), ONCE)) == [("stop_together", "root")]


def test_a_short_pause_is_no_stop():
    assert names(check_clip(moves(NONE, moves_at=(0.5, 1.15)).cut(1, 32), ONCE)) == []


@pytest.mark.parametrize("fps", [24.0, 60.0])
@pytest.mark.parametrize("late", [OVERLAP, NONE])
@pytest.mark.parametrize("metres_s", [0.055, 0.07, 0.1])
def test_a_creep_after_the_move_is_no_stop(metres_s, late, fps):
    """The move is over at 1.1 s, or 1.35; then all creep on, and stop together at 1.8 s."""
    clip = moves(late, fps=fps)
    time = np.arange(len(clip.frames)) / fps
    speed = metres_s * np.clip(np.minimum((time - 0.9) / 0.2, (1.8 - time) / 0.3), 0.0, 1.0)
    way = np.outer(np.cumsum(speed) / fps, [0.0, -1.0, 0.0])
    shot = check_clip(replace(clip, positions=clip.positions + way[:, None]), ONCE)
    assert names(shot) == []
    assert "never comes to rest from a move" in skipped(shot)


@pytest.mark.parametrize("parts", [("hand.L",), ("hand.L", "hand.R"), ("head",), NAMES])
@pytest.mark.parametrize(("late", "found"), [(NONE, 1), (OVERLAP, 0)])
def test_what_drifts_on_in_a_moving_hold_hides_no_stop_and_makes_none(parts, late, found):
    """All arrive at once; a part of them, or the whole figure, creeps on at 3 cm/s."""
    clip = moves(late)
    places = np.array(clip.positions)
    way = 0.03 * np.clip(np.arange(len(clip.frames)) / 24.0 - 1.0, 0.0, None)
    for part in parts:
        places[:, clip.joint(part)] += np.outer(way, [1.0, 0.0, 0.0])
    shot = check_clip(replace(clip, positions=places), ONCE)
    assert names(shot) == [("stop_together", "root")] * found


def test_shots_that_always_stop_at_once_have_a_style():
    shot = check_clip(moves(NONE, moves_at=(0.5, 1.7, 2.9, 4.1), frames=130), ONCE)
    assert names(shot) == []
    assert "All parts stop at once, 4 times of 4: taken for the shot's style." in shot.style


def test_two_of_four_are_two_faults():
    shot = check_clip(moves(NONE, moves_at=(0.5, 1.7), frames=80), ONCE)
    assert [f.check for f in shot.findings] == ["stop_together"] * 2


def test_what_never_stops_is_skipped():
    assert "never comes to rest" in skipped(check_clip(figure(frames=96), ONCE))


def test_a_hand_that_goes_on_is_no_stop_of_all():
    clip = moves(NONE)
    positions = clip.positions.copy()
    positions[:, clip.joint("hand.L"), 0] += 0.4 * np.sin(np.arange(len(positions)) / 3.0)
    assert "never comes to rest" in skipped(check_clip(replace(clip, positions=positions), ONCE))


@pytest.mark.parametrize(("part", "told"), [(None, 0), ("root", 0), ("head", 1), ("hand.L", 1)])
def test_declared_events_that_are_about_the_whole_figure_are_left_out(part, told):
    hit = Event(frames=(20.0, 32.0), part=part, direction=None, kind="freeze")
    found = names(check_clip(moves(NONE, events=(hit,)), ONCE))
    assert found == [("stop_together", "root")] * told


def test_a_body_that_lies_is_stopped_by_the_ground():
    clip = moves(NONE, floor_z=0.0)
    assert names(check_clip(clip, ONCE)) == [("stop_together", "root")]
    down = replace(clip, positions=clip.positions - [0.0, 0.0, 0.88])
    assert names(check_clip(down, ONCE)) == []


def test_gaps_and_awkward_ranges():
    clip = moves(NONE)
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[20:24, clip.joint("hand.R")] = False
    assert names(check_clip(replace(clip, valid=valid), ONCE)) == []
    for last in (2, 3, 5, 8):
        assert names(check_clip(clip.cut(1, last), ONCE)) == []
    still = replace(clip, positions=np.repeat(clip.positions[:1], len(clip.frames), axis=0))
    assert names(check_clip(still, ONCE)) == []


def test_without_head_and_hands_it_is_skipped():
    clip = moves(NONE)
    roles = {"root": ("root",), "chest": ("chest",)}
    bare = replace(clip, meta=replace(clip.meta, roles=roles))
    assert skipped(check_clip(bare, ONCE)) == "needs a root, a head and hands, or a prop"


def test_a_dead_stop_of_all_is_told_by_the_body():
    """The figure goes along and stands dead from one frame to the next, with all its parts."""
    time = np.minimum(np.arange(72), 40) / 24.0
    swing = {f"upper_arm.{side}": 0.6 * time for side in "LR"}
    root = np.outer(time, [0.0, -0.8, 0.0]) + [0.0, 0.0, 0.95]
    turn, place = pose(swing, root, 72)
    shot = check_clip(to_clip(turn, place, 24.0, 1.0, {"roles": ROLES}), Settings(cycle="no"))
    stops = [f for f in shot.findings if f.check in ("hard_stop", "stop_together")]
    assert [f.check for f in stops] == ["hard_stop"]
    assert "stop_together" in {check for check, _part in stops[0].also}


def test_tolerance_widens_the_limit():
    late = {"root": 0, "chest": 1, "head": 1, "arms": 1, "forearms": 1}
    assert names(check_clip(moves(late), ONCE)) == [("stop_together", "root")]
    wide = replace(ONCE, style={"stop_together": 1.6})
    assert names(check_clip(moves(late), wide)) == []


def test_the_lag_of_arms_behind_the_chest():
    """The arms swing as the chest does, three frames later, as they hang on it."""
    late = {"root": 0, "chest": 0, "head": 0, "arms": 3, "forearms": 3}
    shot = check_clip(moves(late, moves_at=(0.5, 1.6), frames=80), ONCE)
    for part in ("upper_arm.L", "hand.R"):
        assert shot.measures["points"][part]["lag_s"] * 24.0 == pytest.approx(3.0, abs=0.4)


def test_how_a_landing_passes_up_the_body():
    """Hips, chest and head are lowest 3, 5 and 7 frames after the landing at frame 31."""
    clip = figure(frames=60, speed=0.0, roles=ROLES)
    time = np.arange(60) / 24.0
    up = np.where(
        time < 1.25, 4.9 * np.clip(time - 0.75, 0, None) * np.clip(1.25 - time, 0, None), 0
    )
    positions = clip.positions.copy()
    positions[..., 2] = positions[:1, :, 2] + up[:, None]
    for part, frames in (("root", 3), ("chest", 5), ("head", 7)):
        sinks = -0.1 * np.exp(-(((np.arange(60) - 30 - frames) / 3.0) ** 2))
        positions[30:, clip.joint(part), 2] += sinks[30:]
    shot = check_clip(replace(clip, positions=positions), replace(ONCE, height_m=1.7))
    measured = [shot.measures[f"impact_{name}_s"] * 24.0 for name in ("hips", "chest", "head")]
    assert measured == pytest.approx([3.0, 5.0, 7.0], abs=1.1)
