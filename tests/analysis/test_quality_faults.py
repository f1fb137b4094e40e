# SPDX-License-Identifier: GPL-3.0-or-later
"""Faults as they are planted: of the size that was asked for, where they say, and nowhere else."""

import os

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from tests.quality.cells import Cell, planted_cases
from tests.quality.moves import ends_of, height_of, target
from tests.quality.plant import KINDS
from tests.quality.resting import lies_on_something, stands
from tests.quality.work import cases_of

SET = "captured_30"
# Faults after which the clip runs at other times, or is longer or shorter, than its clean case.
HARD = ("hard_stop", "hard_stop_own", "hard_start", "hard_start_own")
RETIMED = (*HARD, "stop_together", "stop_slowed", "skate", "flight_time")
RETIMED += ("off_balance", "off_balance_short", "off_balance_long")
# All that follows lies elsewhere: see test_quality_steps, test_quality_flights,
# test_quality_shoves, test_quality_topples.
RETIMED += ("step_travel", "flight_travel", "topple_slow", "shove", "shove_air", "flight_held")
# Handles go on to the next keys: see test_quality_stray_keys.
RETIMED += ("off_arc",)
# Nothing is as it was after a push: see test_simulated.
SIMULATED = ("push", "impulse", "air")


def planted(kind, part, size, count=6, which=None, half="A"):
    sets = KINDS[kind].sets
    which = which or (SET if SET in sets else sets[0])
    cell = Cell(kind, part, size, which, half)
    return list(planted_cases(cell, cases_of(which), range(count)))


def differs(case, fault):
    """(T,) frames on which anything stands or turns otherwise than in the clean clip."""
    places = np.abs(fault.clip.positions[:, : len(case.clip.joints)] - case.clip.positions)
    return places.max(axis=(1, 2)) > 1e-6


# Faults that the motion is led into and out of, over so many seconds at most.
LED_S = 0.6
# A rock leaves its stand up to half a second before its first extreme, and is led into that.
LED_LONGER = {"linear_rock": 0.8}
LED_INTO = ("frozen", "torso_break", "locked_knee", "overreach", "hang_time")


# Whole sets are made for these.
SLOW = ("flight_", "stiff_prop", "prop_clash", "edge_on", "even_swing")


def _marks(kind):
    return pytest.mark.corpus if kind.name.startswith(SLOW) else ()


@pytest.mark.parametrize(
    ("kind", "part"),
    [
        pytest.param(kind.name, part, marks=_marks(kind))
        for kind in KINDS.values()
        for part in kind.sizes
        if not kind.cycle
        and kind.check != "camera_jump"
        and kind.name not in (*RETIMED, *SIMULATED)
    ],
)
def test_a_fault_stays_within_its_frames(kind, part):
    found = planted(kind, part, KINDS[kind].sizes[part][-1])
    assert found
    for case, fault in found:
        inside = (case.clip.frames >= fault.frames[0]) & (case.clip.frames <= fault.frames[1])
        wrong = differs(case, fault)
        if KINDS[kind].check in LED_INTO:
            near = 2 * round(LED_LONGER.get(kind, LED_S) / case.clip.dt_s) + 1
            inside |= np.convolve(inside, np.ones(near), mode="same") > 0
        if KINDS[kind].check in ("slide", "sink", "stomp"):  # see test_quality_feet
            inside |= True
        assert not (wrong & ~inside).any()
        if KINDS[kind].check != "stuck_turn" and fault.part != "prop.1":  # a turn or a prop alone
            assert (wrong & inside).any()


@pytest.mark.parametrize("part", ["root", "head", "hand", "foot"])
def test_a_pop_has_its_size(part):
    """Planted in cm at 1.7 m; measured at the joint or its tip, whichever is further off."""
    for case, fault in planted("pop_cm", part, 5.0 if part in ("hand", "foot") else 2.5):
        clip = fault.clip
        at = int(np.flatnonzero(clip.frames == fault.frames[0])[0])
        joint = clip.joint(clip.meta.roles[fault.part][0])
        off = np.linalg.norm(clip.positions[at, joint] - case.clip.positions[at, joint])
        wanted = (0.05 if part in ("hand", "foot") else 0.025) * height_of(clip) / 1.7
        assert off <= wanted * 1.1
        if "shifted" in fault.where:
            assert off == pytest.approx(wanted, rel=0.1)


def test_bones_keep_their_lengths_where_limbs_reach():
    for case, fault in planted("pop_cm", "hand", 8.0):
        clip = fault.clip
        for kind in ("forearm", "hand"):
            joint = clip.joint(clip.meta.roles[f"{kind}.{fault.part[-1]}"][0])
            above = clip.parents[joint]
            length = np.linalg.norm(clip.positions[:, joint] - clip.positions[:, above], axis=-1)
            clean = np.linalg.norm(
                case.clip.positions[:, joint] - case.clip.positions[:, above], axis=-1
            )
            assert length == pytest.approx(clean, abs=1e-6)


def test_a_stuck_body_repeats_its_pose_and_catches_up():
    for case, fault in planted("hitch_body", "body", 3.0):
        clip = fault.clip
        at = int(np.flatnonzero(clip.frames == fault.frames[0])[0])
        for shift in range(3):
            assert clip.positions[at + shift] == pytest.approx(clip.positions[at - 1])
        assert clip.positions[at + 3] == pytest.approx(case.clip.positions[at + 3])


@pytest.mark.parametrize("kind", ["hard_stop", "hard_start"])
def test_a_stop_has_its_speed_on_one_side_and_none_on_the_other(kind):
    for _, fault in planted(kind, "hand", 0.3):
        clip = fault.clip
        at = int(np.flatnonzero(clip.frames == fault.frames[0])[0])
        joint = clip.joint(clip.meta.roles[fault.part][0])
        step = np.linalg.norm(np.diff(clip.positions[:, joint], axis=0), axis=-1)
        speed = step / clip.dt_s / height_of(clip)
        moves, dead = (speed[at - 2 : at], speed[at : at + 5])
        if kind == "hard_start":
            moves, dead = speed[at : at + 2], speed[at - 5 : at]
        assert moves.mean() == pytest.approx(0.3, rel=0.25)
        assert dead.max() < 0.03


@pytest.mark.parametrize("kind", HARD)
@pytest.mark.parametrize("half", ["A", "B"])
def test_a_hand_stops_in_the_air(kind, half):
    """5 % of the height from the floor and from the bones of the own body, to say the least."""
    for _, fault in planted(kind, "hand", 0.3, count=4, half=half):
        clip = fault.clip
        at = int(np.flatnonzero(clip.frames == fault.frames[0])[0])
        hand = ends_of(clip, target(clip, fault.part).joint)[at]
        assert hand[:, 2].min() > 0.05 * height_of(clip)
        for part in ("thigh.L", "thigh.R", "shin.L", "shin.R", "root", "chest", "head"):
            head, tip = ends_of(clip, target(clip, part).joint)[at]
            along = head + np.linspace(0.0, 1.0, 21)[:, None] * (tip - head)
            apart = np.linalg.norm(hand[:, None] - along, axis=-1)
            assert apart.min() > 0.08 * height_of(clip)


def test_hands_lie_on_the_floor_as_one_gets_up_and_on_nothing_in_a_punch():
    clips = {case.source: case.clip for case in cases_of(SET)}
    getup, punch = clips["getup_faceup"], clips["punch"]
    hand = target(getup, "hand.L")
    low = getup.positions[:, hand.joint, 2] < 0.04 * height_of(getup)
    assert low.any()
    assert lies_on_something(getup, hand)[low].all()
    head = lies_on_something(getup, target(getup, "head"))
    assert head[0]
    assert not head[-1]
    out = target(punch, "hand.R")
    reach = np.linalg.norm(punch.positions[:, out.joint] - punch.positions[:, 0], axis=-1)
    assert not lies_on_something(punch, out)[np.argmax(reach)]


def test_feet_stand_before_and_after_a_jump_and_not_in_it():
    clip = next(case.clip for case in cases_of(SET) if case.source == "jump")
    feet = [target(clip, part) for part in ("foot.L", "foot.R")]
    standing = np.array([stands(clip, foot) for foot in feet])
    top = int(np.argmax(clip.positions[:, 0, 2]))
    assert not standing[:, top - 2 : top + 2].any()
    assert standing[:, :5].all()


def test_a_stuck_foot_is_in_the_air():
    for case, fault in planted("stuck_turn", "foot", 20.0, which="keyed_24"):
        clip = fault.clip
        at = int(np.flatnonzero(clip.frames == fault.frames[0])[0])
        frozen = int(fault.where.split()[0])
        standing = stands(clip, target(clip, fault.part))
        assert standing[at : at + frozen].mean() <= 0.5
        assert stands(case.clip, target(clip, fault.part)).any()


def test_a_straight_run_is_straight_and_even():
    for _, fault in planted("straight_run", "hand", 5.0):
        clip = fault.clip
        first, last = (int(np.flatnonzero(clip.frames == f)[0]) for f in fault.frames)
        joint = clip.joint(clip.meta.roles[fault.part][0])
        steps = np.diff(clip.positions[first : last + 1, joint], axis=0)
        assert len(steps) == 5
        assert np.abs(steps - steps.mean(axis=0)).max() < 1e-3


@pytest.mark.parametrize(
    "which", ["captured_30", "keyed_24", pytest.param("keyed_30", marks=pytest.mark.corpus)]
)
def test_a_hand_is_on_its_straight_run_or_none_is_planted(which):
    """An arm that is too short for the line between two keys leaves it."""
    for case, fault in planted("straight_run", "hand", 4.0, count=60, which=which):
        first, last = (int(np.flatnonzero(fault.clip.frames == f)[0]) for f in fault.frames)
        joint = case.clip.joint(case.clip.meta.roles[fault.part][0])
        run, path = (each.positions[first : last + 1, joint] for each in (fault.clip, case.clip))
        line = np.linspace(run[0], run[-1], len(run))
        off = np.linalg.norm(run - line, axis=-1).max()
        assert off <= 0.1 * np.linalg.norm(run - path, axis=-1).max()


def test_a_camera_jump_moves_the_subject_on_the_picture_by_its_size():
    for case, fault in planted("camera_jump", "camera", 2.0, count=12):
        clip = fault.clip
        assert clip.positions == pytest.approx(case.clip.positions)
        at = int(np.flatnonzero(clip.frames == fault.frames[0])[0])
        joints = [clip.joint(clip.meta.roles[part][0]) for part in ("root", "head")]
        seen = []
        for n in (at - 1, at):  # the camera's place and lens before the jump and at it
            points = np.c_[clip.positions[at, joints], np.ones(2)]
            full = points @ (clip.camera_projection[n] @ np.linalg.inv(clip.camera_pose[n])).T
            seen.append(50.0 * full[:, :2] / full[:, 3:] * [16.0 / 9.0, 1.0])
        moved = np.linalg.norm(seen[1] - seen[0], axis=-1).max()
        assert moved == pytest.approx(2.0, abs=0.9)  # a camera that moves adds a step of its own


def test_the_same_seed_plants_the_same_faults():
    one, other = (planted("pop", "hand", 3.0, count=3) for _ in range(2))
    for (_, a), (_, b) in zip(one, other, strict=True):
        assert a.frames == b.frames
        assert (a.clip.positions == b.clip.positions).all()
