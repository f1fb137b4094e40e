# SPDX-License-Identifier: GPL-3.0-or-later
"""`stuck_turn`: parts that may keep their orientation are left alone."""

from dataclasses import replace

import numpy as np
from figures import figure, names, steered
from pictures import eased
from planted_turns import ASKED, AT, FRAMES, axes_of, stuck, swinging

from analysis import Event, check_clip
from analysis import quaternions as quat
from analysis.basis import build_basis
from tests.quality import walks
from tests.quality.figure import rebuild


def angle_between(a, b):
    """Degrees between two orientations (4,)."""
    return float(np.degrees(2.0 * np.arccos(min(abs(float(a @ b)), 1.0))))


def test_a_small_turn_is_left_alone():
    clip = swinging()
    turns, _axes = axes_of(clip, "head", "world")
    degrees = [angle_between(turns[at], turns[at + 5]) for at in range(8, 45)]
    for least, most, found in ((1.0, 3.0, 0), (5.7, 8.0, 1)):
        at = 8 + next(n for n, size in enumerate(degrees) if least < size < most)
        assert (
            len(check_clip(stuck(clip, "head", at=at, frozen=4, caught_up=1), ASKED).findings)
            == found
        )


def held(clip, first, last):
    """The clip with every pose from `first` to `last` the same, and the rest as it was."""
    when = np.arange(len(clip.frames))
    when[first : last + 1] = first
    return replace(clip, positions=clip.positions[when], rotations=clip.rotations[when])


def test_a_pose_that_is_held_is_none():
    """Everything stops and starts at once: that is for those who look at stops and hitches."""
    assert names(check_clip(held(swinging(speed=0.0), AT, AT + 6), ASKED)) == []


def test_a_hold_of_one_limb_that_is_eased_is_none():
    turns = {"forearm.L": -0.5 * eased(FRAMES, 8, 12) + 1.2 * eased(FRAMES, 26, 8)}
    assert names(check_clip(figure(frames=FRAMES, turns=turns), ASKED)) == []


def test_a_snappy_move_out_of_rest_is_none():
    strike = np.interp(np.arange(FRAMES), [0, 30, 31, 32, 33, 59], [0, 0, 0.5, 1.3, 1.5, 1.5])
    turns = {"upper_arm.R": -strike, "forearm.R": -0.6 * strike, "hand.R": -0.3 * strike}
    assert (
        names(check_clip(figure(frames=FRAMES, speed=0.0, period_s=1e6, turns=turns), ASKED)) == []
    )


def planted_foot(lift):
    """A standing figure whose left foot stands flat, rolls off its toe, and lifts."""
    sway = 0.02 * np.sin(2 * np.pi * np.arange(FRAMES) / 24.0)
    clip = steered(frames=FRAMES, root_shift=np.outer(-sway, [1.0, 0, 0]))
    joint = clip.joint("foot.L")
    angle = np.interp(np.arange(FRAMES), [0, 16, 20, 28, 30, 40], [0.4, 0.4, 0, 0, 0.35, 0.9])
    turn = np.stack((np.cos(angle / 2), np.sin(angle / 2), 0 * angle, 0 * angle), axis=-1)
    clip = rebuild(clip, joint, turn=turn)
    up = np.outer(lift * np.clip(np.arange(FRAMES) - 18, 0, None) / 24.0, [0, 0.2, 1.0])
    return rebuild(clip, joint, shift=up)


def test_a_foot_that_stands_may_keep_its_orientation():
    assert names(check_clip(planted_foot(0.0), ASKED)) == []


def test_a_foot_that_is_lifted_may_not():
    assert [part for _c, part in names(check_clip(planted_foot(1.0), ASKED))] == ["foot.L"]


def test_a_foot_that_has_stood_and_lifts_is_judged_as_it_lifts():
    """It lands, stands, comes off the floor within a frame, and then is stuck on its shin."""
    time = np.arange(FRAMES)
    sway = np.outer(0.02 * np.sin(2 * np.pi * time / 24.0), [-1.0, 0, 0])
    on = np.outer(0.3 * np.sin(np.pi * (time - 30) / 60.0), [0, -1.0, 0])
    clip = steered(frames=FRAMES, root_shift=sway + on)
    angle = np.interp(time, [0, 10, 19, 20, 36, 60], [0.5, 0, 0, 0.2, 1.2, 1.2])
    turn = np.stack((np.cos(angle / 2), np.sin(angle / 2), 0 * angle, 0 * angle), axis=-1)
    up = np.outer(0.4 * np.clip(time - 20, 0, 16) / 24.0, [0, 0.5, 1.0])
    clip = rebuild(clip, clip.joint("foot.L"), turn=turn, shift=up)
    assert names(check_clip(clip, ASKED)) == []
    found = check_clip(stuck(clip, "foot.L", "parent", at=20, frozen=5, caught_up=1), ASKED)
    assert names(found) == [("stuck_turn", "foot.L")]


def test_a_hand_that_rests_on_the_hip_may_keep_its_orientation():
    """The hand stands on the root, in place and turn, while forearm and upper arm move."""
    clip = swinging()
    hand, root = clip.joint("hand.L"), clip.joint("root")
    back = quat.conjugate(clip.rotations[:, root])
    place = quat.rotate(back, clip.positions[:, hand] - clip.positions[:, root])
    span = np.arange(AT, AT + 10)
    shift = np.zeros((FRAMES, 3))
    shift[span] = quat.rotate(clip.rotations[span, root], place[AT] - place[span])
    shift[span[-1] + 1 :] = shift[span[-1]]
    resting = stuck(rebuild(clip, hand, shift=shift), "hand.L", "root", frozen=8)
    assert names(check_clip(resting, ASKED)) == []


def test_a_straight_knee_is_at_its_stop():
    time = np.arange(FRAMES) / 24.0
    bend = 0.55 - 0.25 * np.cos(2 * np.pi * time + 0.6)  # takes the figure's own bend away
    knee = np.interp(np.arange(FRAMES), [0, 26, 30, 38, 40, 59], [0.5, 0.5, 0, 0, 0.3, 0.3])
    turns = {"shin.L": -0.3 + 0.25 * np.cos(2 * np.pi * time + 0.6) + knee}
    assert names(check_clip(figure(frames=FRAMES, turns=turns), ASKED)) == []
    turns = {"shin.L": turns["shin.L"] + 0.5}
    assert bend.min() > 0.0
    found = check_clip(figure(frames=FRAMES, turns=turns), ASKED)
    assert names(found) == [("stuck_turn", "shin.L")]


def test_inside_a_declared_event_nothing_is_judged():
    clip = stuck(swinging(), "hand.L")
    for part, found in ((None, 0), ("hand.L", 0), ("hand.R", 1)):
        event = Event(frames=(33.0, 36.0), part=part, kind="freeze")
        declared = replace(clip, meta=replace(clip.meta, events=(event,)))
        assert len(check_clip(declared, ASKED).findings) == found


def test_a_part_that_turns_in_jerks_all_along_does_it_on_purpose():
    time = np.arange(96) / 24.0
    turns = {"head": 1.2 * time, "chest": 0.3 * np.sin(5.0 * time)}
    clip = figure(frames=96, turns=turns)
    for at in range(8, 80, 12):
        clip = stuck(clip, "head", at=at, frozen=4)
    shot_found = check_clip(clip, ASKED)
    assert shot_found.findings == ()
    (style,) = shot_found.style
    assert style.startswith("The head (")
    assert style.endswith(" times) turns in jerks all along: taken for a style.")
    other = check_clip(stuck(clip, "hand.L", at=40), ASKED)
    assert [part for _c, part in names(other)] == ["hand.L"]


def test_feet_that_stand_keep_their_orientation_in_noise():
    """2 mm of noise moves a joint that stands by 7 cm/s from frame to frame, and no plant ends."""
    clip = next(case.clip for case in walks.walks_24() if case.name == "walks_24/gait.00")
    shaken = clip.positions + 0.002 * np.random.default_rng(0).normal(size=clip.positions.shape)
    assert names(check_clip(replace(clip, positions=shaken), ASKED)) == []


def test_a_foot_that_sticks_as_it_rolls_onto_its_sole_is_told():
    """It is planted by then, but does not lie: without noise that is seen from the sole."""
    clip = next(case.clip for case in walks.walks_24() if case.name == "walks_24/gait.00")
    (plant,) = (p for p in build_basis(clip, ASKED).plants if p.side == "L" and 40 < p.first < 50)
    rolling = stuck(clip, "foot.L", at=plant.first - 1, frozen=4, caught_up=1)
    assert names(check_clip(rolling, ASKED)) == [("stuck_turn", "foot.L")]
