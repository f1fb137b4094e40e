# SPDX-License-Identifier: GPL-3.0-or-later
"""Locked knees: legs cut short at their reach are told, legs that are straight by right are not."""

from dataclasses import replace

import numpy as np
import pytest
from clamped import LENGTH, beyond_samples, clamped, wanted, with_target
from figures import NAMES, REST, figure, names

from analysis import Settings, check_clip
from analysis import quaternions as quat
from analysis.meta import Event

ONCE = Settings(checks=("locked_knee",), cycle="no")


def locked(beyond_m=0.02, fps=24.0, lasts_s=0.9, seconds=2.0, **meta):
    root, goals = wanted(seconds, fps, pulled=beyond_m, lasts_s=lasts_s)
    return clamped(root, goals, fps, **meta), beyond_samples(root, goals)


def only(shot):
    assert names(shot) == [("locked_knee", shot.findings[0].part)]
    return shot.findings[0]


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("beyond_cm", [0.5, 1.0, 2.0, 5.0])
def test_a_foot_wanted_beyond_reach_locks_its_knee(beyond_cm, fps):
    clip, samples = locked(beyond_cm / 100.0, fps)
    assert len(samples) >= 3
    found = only(check_clip(clip, ONCE))
    assert found.part == "shin.L"
    assert found.frames == (clip.frames[samples[0]], clip.frames[samples[-1]])
    assert found.severity == "major"


def reaching(lacks, fps=24.0):
    """The left leg with its foot wanted so that the reach lacks these millimetres (T,), below 0
    beyond it; the foot swings meanwhile."""
    count = len(lacks)
    zero = np.zeros(count)
    root = np.stack((zero, zero, zero + LENGTH + 0.08), axis=-1)
    angle = 0.4 * np.sin(2.0 * np.pi * np.arange(count) / fps)
    way = (LENGTH - 1e-3 * np.asarray(lacks))[:, None] * np.stack(
        (zero, np.sin(angle), -np.cos(angle)), axis=-1
    )
    return clamped(root, {"L": root + way + [0.1, 0.0, 0.0], "R": root - [0.1, 0.0, 0.85]}, fps)


# Millimetres of a leg that comes to its limit evenly, and of one that turns into it.
CUT = [60.0] * 8 + [50.0, 40.0, 30.0, 20.0, 10.0]
EASED = [60.0] * 8 + [53.0, 36.9, 21.8, 10.6, 3.4, 0.2]
AWAY = [-2.0] * 5
TREMBLES = [0.8, 0.5, 0.3, 0.6, 1.0]


@pytest.mark.parametrize(
    ("before", "after"),
    [
        pytest.param(CUT, TREMBLES, id="hardly comes off again"),
        pytest.param(EASED, [5.0, 4.0, 4.5, 5.5, 9.0], id="jumps off and waits"),
    ],
)
def test_a_leg_that_is_cut_short_on_one_side_is_told_whatever_the_other_does(before, after):
    lacks = [*before, *AWAY, *after, *np.linspace(12.0, 60.0, 16)]
    found = only(check_clip(reaching(lacks), ONCE))
    assert found.frames == (len(before) + 1.0, float(len(before) + len(AWAY)))


def test_a_leg_that_turns_into_its_limit_and_trembles_there_is_none():
    lacks = [*EASED, *AWAY, *TREMBLES, *np.linspace(12.0, 60.0, 16)]
    assert names(check_clip(reaching(lacks), ONCE)) == []


def test_the_sentence_says_who_when_and_how_far():
    clip, samples = locked(0.02, 24.0)
    found = only(check_clip(clip, ONCE))
    first, last = samples[0] + 1, samples[-1] + 1
    assert found.says.startswith(
        f"The left knee locks straight, frames {first} to {last}, while hips and foot move on: "
        "it snaps by "
    )
    # Nothing tells how far beyond it is wanted: no number is guessed.
    assert found.suggestion.text.startswith("Lower the hips a little from frame ")


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("beyond_cm", [0.5, 2.0])
def test_how_far_the_foot_is_wanted_is_told_where_its_target_tells(fps, beyond_cm):
    root, goals = wanted(2.0, fps, pulled=beyond_cm / 100.0, lasts_s=0.9)
    clip = with_target(clamped(root, goals, fps), "foot.L", goals["L"])
    found = only(check_clip(clip, ONCE))
    told = float(found.says.split("is wanted ")[1].split(" cm out of reach")[0])
    assert told == pytest.approx(beyond_cm, abs=0.15)
    # The leg slants: straight down the hips have a little further to go.
    lower = float(found.suggestion.text.split("Lower the hips by ")[1].split(" cm")[0])
    assert beyond_cm - 0.1 <= lower <= 1.1 * beyond_cm + 0.1


def test_hips_that_are_lifted_too_high_lock_both_knees():
    root, goals = wanted(2.0, 24.0, lift=0.13)
    shot = check_clip(clamped(root, goals, 24.0), ONCE)
    (found,) = shot.findings
    assert found.part == "root"
    assert found.also == (("locked_knee", "shin.L"), ("locked_knee", "shin.R"))


def test_size_does_not_matter():
    root, goals = wanted(2.0, 24.0, pulled=0.02)
    told = [
        [
            (f.part, f.frames, f.severity, round(f.amount, 3))
            for f in check_clip(clip, asked).findings
        ]
        for asked in [Settings(checks=("locked_knee",), cycle="no", height_m=1.7)]
        for clip in (clamped(root, goals, 24.0), clamped(root, goals, 24.0, scale=10.0))
    ]
    assert told[0] == told[1] != []


def leg(knee_deg, hip_deg=None, fps=24.0):
    """The striding figure with its left leg posed instead: knee and hip angles (T,), degrees."""
    count = len(knee_deg)
    plain = figure(frames=count, fps=fps)
    at = [NAMES.index(f"{part}.L") for part in ("thigh", "shin")]
    own = quat.multiply(plain.rotations, np.broadcast_to(quat.conjugate(REST), (count, 16, 4)))
    thigh = 2.0 * np.arctan2(own[:, at[0], 1], own[:, at[0], 0])
    shin = 2.0 * np.arctan2(own[:, at[1], 1], own[:, at[1], 0]) - thigh
    hips = np.radians(hip_deg if hip_deg is not None else 25.0 * np.sin(np.arange(count) / 6.0))
    return figure(
        frames=count,
        fps=fps,
        turns={"thigh.L": hips - thigh, "shin.L": np.radians(knee_deg) - shin},
    )


def eased(count, first, last, frames, bent):
    """(T,) `bent` degrees, eased to 0 within so many frames, held there, eased back."""
    away = np.maximum(np.maximum(first - np.arange(count), np.arange(count) - last), 0) / frames
    share = np.clip(away, 0.0, 1.0)
    return bent * share**2 * (3.0 - 2.0 * share)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize(("bent", "seconds"), [(90.0, 0.2), (60.0, 0.3), (30.0, 0.4)])
def test_a_leg_that_straightens_by_itself_is_none(bent, seconds, fps):
    count = round(2.0 * fps)
    knee = eased(count, round(0.9 * fps), round(1.2 * fps), seconds * fps, bent)
    assert names(check_clip(leg(knee, fps=fps), ONCE)) == []


def test_legs_that_stay_straight_are_a_habit():
    shot = check_clip(leg(np.zeros(48)), ONCE)
    assert names(shot) == []
    assert "The left leg stays straight for most of the shot." in shot.style


def test_a_leg_that_is_only_carried_is_not_locked():
    knee = np.concatenate((np.full(20, 40.0), [25.0], np.zeros(10), [25.0], np.full(20, 40.0)))
    clip = leg(knee, np.full(len(knee), 10.0))
    assert names(check_clip(clip, ONCE)) == []


def test_what_is_declared_is_a_measure():
    clip, samples = locked()
    event = Event(frames=(float(samples[0]), float(samples[-1])), part="shin.L", kind="pull")
    shot = check_clip(replace(clip, meta=replace(clip.meta, events=(event,))), ONCE)
    assert names(shot) == []
    assert shot.measures["locks_declared"] == 1.0


def test_a_looser_tolerance_overlooks_what_is_near_the_limit():
    clip, _samples = locked()
    limits = [
        check_clip(clip, replace(ONCE, tolerance=name)).findings[0].limit
        for name in ("strict", "normal")
    ]
    assert limits[0] < limits[1]
    assert limits[1] == pytest.approx(0.006 * 178.0, rel=0.02)  # the figure is 1.78 m tall


def test_a_knee_that_bends_the_wrong_way_is_called_nothing_good():
    shot = check_clip(leg(np.linspace(-30.0, 65.0, 48)), ONCE)
    assert shot.good == ("No knee locks.",)
    assert shot.measures["knee_left_min_deg"] == pytest.approx(-30.0)


def test_knee_and_elbow_ranges_are_measured():
    knee = np.linspace(5.0, 65.0, 48)
    measures = check_clip(leg(knee), ONCE).measures
    assert measures["knee_left_min_deg"] == pytest.approx(5.0)
    assert measures["knee_left_max_deg"] == pytest.approx(65.0)
    assert measures["elbow_right_max_deg"] > measures["elbow_right_min_deg"] > 0.0


def test_good_says_how_straight_the_legs_get():
    shot = check_clip(leg(np.linspace(5.0, 65.0, 48)), ONCE)
    assert shot.good == ("No knee locks: the straightest is bent by 3 degrees.",)


def test_gaps_hide_what_lies_in_them():
    clip, samples = locked()
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[samples[0] - 4 : samples[-1] + 5, NAMES.index("foot.L")] = False
    assert names(check_clip(replace(clip, valid=valid), ONCE)) == []


def test_a_short_range_is_skipped():
    shot = check_clip(figure(frames=6), ONCE)
    assert "needs 7 frames or more" in dict(shot.skipped)["locked_knee"]


def test_a_figure_without_limbs_is_skipped():
    clip = figure(roles={"root": ("root",), "head": ("head",)})
    assert "no leg and no arm" in dict(check_clip(clip, ONCE).skipped)["locked_knee"]


def test_all_checks_together_tell_one_lock_once():
    clip, _samples = locked(0.03, lasts_s=0.6, floor_z=-0.5)  # the foot is pulled down
    assert [found.check for found in check_clip(clip, Settings(cycle="no")).findings] == [
        "locked_knee"
    ]
