# SPDX-License-Identifier: GPL-3.0-or-later
"""`stuck_turn`: parts that hold an orientation and snap, and those that may hold it."""

from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES, figure, names, steered
from pictures import eased, shot

from analysis import Event, Prop, Settings, check_clip
from analysis import quaternions as quat
from analysis.turning import angle_between
from tests.quality.figure import channels_of, rebuild

ASKED = Settings(cycle="no", checks=("stuck_turn",))
FRAMES, AT, FROZEN, CAUGHT_UP = 60, 30, 6, 2


def swinging(frames=FRAMES, fps=24.0, **more):
    """A striding figure whose head looks around and whose hands swing from the wrist."""
    time = np.arange(frames) / fps
    turns = {
        "chest": 0.3 * np.sin(2 * np.pi * 0.7 * time),
        "head": 0.5 * np.sin(2 * np.pi * 0.8 * time + 0.4),
        "hand.L": 0.4 * np.sin(2 * np.pi * 0.9 * time + 0.9),
        "hand.R": 0.4 * np.sin(2 * np.pi * 0.9 * time),
        "foot.L": 0.3 * np.sin(2 * np.pi * time),
        "foot.R": -0.3 * np.sin(2 * np.pi * time),
    }
    return figure(frames=frames, fps=fps, turns=turns, **more)


def axes_of(clip, part, space):
    """(T,4) the orientations of a joint in a space, and of that space; the world has none."""
    joint = clip.joint(part)
    turns = clip.rotations[:, joint]
    if space == "world":
        return quat.continuous(np.array(turns)), None
    axes = clip.rotations[:, clip.parents[joint] if space == "parent" else clip.joint(space)]
    return quat.continuous(quat.multiply(quat.conjugate(axes), turns)), axes


def most_hidden(clip, part, space, length):
    """The sample from which a joint turns furthest in so many samples."""
    turns, _axes = axes_of(clip, part, space)
    apart = [abs(turns[at] @ turns[at + length]) for at in range(8, len(turns) - length - 8)]
    return 8 + int(np.argmin(apart))


def stuck(clip, part, space="world", *, at=AT, frozen=FROZEN, caught_up=CAUGHT_UP):
    """The clip with a joint that stands from sample `at` on, in the world or in a joint's axes."""
    joint = clip.joint(part)
    turns, axes = axes_of(clip, part, space)
    end = at + frozen + caught_up
    wanted = turns.copy()
    wanted[at : at + frozen + 1] = turns[at]
    for n in range(1, caught_up):
        share = n / caught_up
        wanted[at + frozen + n] = quat.normalise((1 - share) * turns[at] + share * turns[end])
    if axes is not None:
        wanted = quat.multiply(axes, wanted)
    extra = quat.multiply(wanted, quat.conjugate(clip.rotations[:, joint]))
    extra[:at], extra[end:] = [1.0, 0, 0, 0], [1.0, 0, 0, 0]
    return rebuild(clip, joint, turn=quat.normalise(extra))


def one(clip, settings=ASKED):
    (finding,) = check_clip(clip, settings).findings
    assert finding.check == "stuck_turn"
    return finding


def test_a_figure_that_swings_is_clean():
    shot_found = check_clip(swinging(), ASKED)
    assert names(shot_found) == []
    assert shot_found.good == ("No part holds its orientation and then snaps from frame 1 to 60.",)


def test_a_hand_that_keeps_its_orientation_in_the_world():
    finding = one(stuck(swinging(), "hand.L"))
    assert finding.part == "hand.L"
    assert finding.frames == (31, 39)
    assert finding.peak_frame == 37
    assert finding.unit == "degrees"
    degrees = f"{finding.amount:.0f} degrees"
    assert finding.says == (
        "The left hand keeps its orientation in the world from frame 31 to 37 and then turns "
        f"{degrees} by frame 39."
    )
    assert finding.suggestion.text == (
        "Let it turn evenly from frame 31 to 39: delete the flat keys, or ease them, or look for "
        "what holds it in the world there."
    )


def test_the_burst_is_what_was_hidden():
    clip = swinging()
    finding = one(stuck(clip, "head"))
    joint = clip.joint("head")
    a, b = clip.rotations[AT, joint], clip.rotations[AT + FROZEN + CAUGHT_UP, joint]
    assert finding.amount == pytest.approx(np.degrees(2 * np.arccos(abs(a @ b))), rel=1e-6)
    assert finding.severity == "major"


@pytest.mark.parametrize(
    ("part", "space", "words"),
    [
        ("hand.R", "parent", "on the right forearm"),
        ("head", "parent", "on the neck"),
        ("head", "world", "in the world"),
        ("hand.L", "chest", "against the chest"),
        ("hand.L", "hand.R", "against the right hand"),
        ("forearm.L", "parent", "on the left upper arm"),
        ("chest", "parent", "on the root"),
        ("foot.L", "world", "in the world"),
    ],
)
def test_the_space_that_it_is_frozen_in_is_said(part, space, words):
    at = most_hidden(swinging(), part, space, FROZEN + CAUGHT_UP)
    finding = one(stuck(swinging(), part, space, at=at))
    assert finding.part == part
    frames = f"from frame {at + 1} to {at + 1 + FROZEN}"
    assert f"keeps its orientation {words} {frames}" in finding.says


def test_what_hangs_on_it_is_one_finding_with_it():
    """The hand does not turn by itself: in the world it is as stuck as the upper arm."""
    time = np.arange(FRAMES) / 24.0
    clip = figure(frames=FRAMES, turns={"chest": 0.3 * np.sin(2 * np.pi * 0.7 * time)})
    finding = one(stuck(clip, "upper_arm.L"))
    assert finding.part == "upper_arm.L"


@pytest.mark.parametrize(("frozen", "caught_up"), [(3, 1), (3, 2), (5, 1), (8, 1), (8, 2)])
@pytest.mark.parametrize("space", ["world", "parent"])
def test_three_to_eight_frames_caught_up_in_one_or_two(frozen, caught_up, space):
    at = most_hidden(swinging(), "hand.R", space, frozen + caught_up)
    clip = stuck(swinging(), "hand.R", space, at=at, frozen=frozen, caught_up=caught_up)
    finding = one(clip)
    assert finding.part == "hand.R"
    assert finding.frames[0] == at + 1
    assert abs(finding.frames[1] - (at + 1 + frozen + caught_up)) <= 1


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("scale", [1.0, 10.0])
def test_rate_and_scale_do_not_matter(fps, scale):
    def at(seconds):
        return round(seconds * fps)

    clip = swinging(at(2.5), fps, scale=scale)
    clean, faulty = clip, stuck(clip, "head", at=at(1.25), frozen=at(0.25), caught_up=at(1 / 12))
    assert names(check_clip(clean, ASKED)) == []
    finding = one(faulty)
    assert finding.part == "head"
    assert (finding.frames[0] - 1) / fps == pytest.approx(1.25, abs=1 / 24)
    assert finding.amount == pytest.approx(one(stuck(swinging(), "head")).amount, rel=0.15)


def test_turned_about_the_vertical_it_is_the_same():
    clip = stuck(swinging(), "hand.L")
    turn = np.array([np.cos(0.6), 0.0, 0.0, np.sin(0.6)])
    turned = replace(
        clip,
        positions=quat.rotate(turn, np.array(clip.positions)),
        rotations=quat.multiply(turn, np.array(clip.rotations)),
    )
    assert one(clip).says == one(turned).says


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


def test_a_prop_that_stands_in_the_world():
    clip = swinging()
    hand = clip.joint("hand.R")
    turn = np.broadcast_to([np.sqrt(0.5), np.sqrt(0.5), 0.0, 0.0], (FRAMES, 4))
    staff = replace(
        clip,
        joints=(*NAMES, "staff"),
        parents=[*clip.parents, hand],
        positions=np.concatenate((clip.positions, clip.positions[:, [hand]]), axis=1),
        rotations=np.concatenate(
            (clip.rotations, quat.multiply(clip.rotations[:, hand], turn)[:, None]), axis=1
        ),
        rest_positions=None,
        rest_rotations=None,
        lengths=np.append(clip.lengths, 0.9),
        meta=replace(clip.meta, props=(Prop(name="staff", joint="staff", held_by="hand.R"),)),
    )
    finding = one(stuck(staff, "staff"))
    assert finding.part == "prop.1"
    assert finding.says.startswith("The staff keeps its orientation in the world")


def test_a_loop_is_judged_over_its_seam():
    time = np.arange(48) / 24.0
    turns = {"head": 0.5 * np.sin(2 * np.pi * time / 2.0), "chest": 0.3 * np.sin(np.pi * time + 1)}
    clip = figure(turns=turns, cycle=True)
    looped = replace(ASKED, cycle="yes")
    assert names(check_clip(clip, looped)) == []
    for at in (38, 2):
        faulty = stuck(clip, "head", at=at, frozen=5)
        assert [part for _c, part in names(check_clip(faulty, looped))] == ["head"]


def test_on_the_picture_only_what_shows_is_told():
    """Seen from the front, arms that swing about the figure's own X only grow and shrink."""
    clip = stuck(swinging(speed=0.0), "hand.L")
    aside = shot(clip).seen(clip)
    seen = replace(ASKED, space="camera")
    finding = one(aside, seen)
    assert (finding.part, finding.space, finding.unit) == ("hand.L", "camera", "degrees")
    far = shot(clip, distance=90.0).seen(clip)
    assert check_clip(far, seen).findings == ()


def test_gaps_are_not_judged():
    clip = stuck(swinging(), "hand.L")
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[AT + 2 : AT + 4, clip.joint("hand.L")] = False
    assert check_clip(replace(clip, valid=valid), ASKED).findings == ()


def test_a_range_too_short_says_so():
    shot_found = check_clip(swinging(8), ASKED)
    assert dict(shot_found.skipped)["stuck_turn"] == "needs 9 frames or more, the range has 8"


def test_poses_shown_long_are_not_asked():
    shot_found = check_clip(swinging(30, 8.0), ASKED)
    assert (
        "each pose is shown for more than a tenth of a second"
        in dict(shot_found.skipped)["stuck_turn"]
    )


def test_the_channels_that_tests_plant_on_are_what_they_say():
    clip = stuck(swinging(), "hand.L", "parent")
    turns = channels_of(clip).turns[AT : AT + FROZEN + 1, clip.joint("hand.L")]
    np.testing.assert_allclose(np.abs(turns @ turns[0]), 1.0, atol=1e-12)
