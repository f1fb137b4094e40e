# SPDX-License-Identifier: GPL-3.0-or-later
"""The corpus's styles are what they are called."""

import os

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from tests.quality.sets import clean_cases


def of(name):
    return clean_cases([name])


def part(case, joint):
    return case.clip.positions[:, case.clip.joint(joint)] / case.clip.meta.height_m


def speed(path, fps):
    """(T-1,) heights a second."""
    return np.linalg.norm(np.diff(path, axis=0), axis=-1) * fps


def knee_bend(clip, side):
    """(T,) degrees between thigh and shin."""
    hip, knee, foot = (
        clip.positions[:, clip.joint(f"{j}.{side}")] for j in ("thigh", "shin", "foot")
    )
    a, b = knee - hip, foot - knee
    cosine = np.sum(a * b, -1) / np.linalg.norm(a, axis=-1) / np.linalg.norm(b, axis=-1)
    return np.degrees(np.arccos(np.clip(cosine, -1, 1)))


@pytest.mark.corpus
def test_halves_and_seconds():
    for name in ("holds", "twos"):
        for half in "AB":
            assert sum(case.seconds for case in of(name) if case.half == half) > 80.0


def test_a_moving_hold_moves_by_millimetres_and_never_stops():
    for case in (case for case in of("holds") if case.source == "hold"):
        fps = case.clip.fps
        body = speed(part(case, "chest"), fps)
        slow = body < 0.03
        assert slow.mean() > 0.5
        assert body.max() > 0.06  # it got there from elsewhere
        for foot in ("foot.L", "foot.R"):
            assert np.ptp(part(case, foot), axis=0).max() < 1e-9
        still = speed(part(case, "hand.L"), fps) < 1e-5
        assert still.mean() < 0.1


def test_idles_stand_on_straight_legs():
    for case in (case for case in of("holds") if case.source == "idle"):
        assert max(knee_bend(case.clip, side).max() for side in "LR") < 12.0
        assert min(knee_bend(case.clip, side).min() for side in "LR") < 6.0
        assert speed(part(case, "hips"), case.clip.fps).max() < 0.05


def test_twos_and_threes_hold_each_pose():
    for case in of("twos"):
        manner = case.name.rpartition(".")[2]
        step = {"twos": 2, "threes": 3, "mixed": 2}[manner]
        moves = np.abs(np.diff(case.clip.positions, axis=0)).max(axis=(1, 2)) > 0
        held = np.arange(len(moves)) % step != step - 1
        if manner == "mixed":
            assert moves[held].mean() > 0.9  # the body goes on
            head = case.clip.joint("head")
            turns = case.clip.rotations
            own = np.sum(turns[:, head] * turns[:, case.clip.joint("chest")], axis=-1)
            assert np.abs(np.diff(own)[held]).max() < 1e-12
        else:
            assert not moves[held].any()
            assert moves[~held].mean() > 0.9


@pytest.mark.corpus
def test_attacks_strike_in_a_few_frames_and_then_stand():
    for case in of("attack"):
        fps = case.clip.fps
        hands = [speed(part(case, f"hand.{side}"), fps) for side in "LR"]
        fastest = max(hand.max() for hand in hands)
        assert fastest > 1.5
        hand = max(hands, key=np.max)
        quick = hand > 0.25 * hand.max()
        longest = max(len(run) for run in "".join("x" if q else " " for q in quick).split())
        assert longest <= 0.3 * fps
        assert (speed(part(case, "chest"), fps) < 0.1).mean() > 0.2


def test_a_pole_stays_in_both_hands():
    for case in of("two_handed"):
        clip = case.clip
        height = clip.meta.height_m
        for side, away in (("L", -0.17), ("R", 0.13)):
            hand = clip.positions[:, clip.joint(f"hand.{side}")]
            grip = clip.positions[:, clip.joint("pole")]
            apart = np.linalg.norm(hand - grip, axis=-1)
            np.testing.assert_allclose(apart, abs(away), atol=1e-9)
        bones = np.linalg.norm(
            clip.positions[:, clip.joint("hand.L")] - clip.positions[:, clip.joint("forearm.L")],
            axis=-1,
        )
        assert np.ptp(bones) < 1e-9 < height
        assert clip.meta.props[0].held_by == "hand.R"


def test_graphic_shots_stop_dead_everywhere():
    for case in of("graphic"):
        hand = speed(part(case, "hand.L"), case.clip.fps)
        still = hand < 1e-9
        assert 0.6 < still.mean() < 0.9
        stops = np.flatnonzero(~still[:-1] & still[1:])
        assert len(stops) >= 6
        assert np.median(hand[stops]) > 0.2  # it never slows down before
