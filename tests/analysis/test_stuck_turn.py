# SPDX-License-Identifier: GPL-3.0-or-later
"""`stuck_turn`: parts that hold an orientation and snap into another are found and told."""

from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES, figure, names
from pictures import shot
from planted_turns import (
    ASKED,
    AT,
    CAUGHT_UP,
    FRAMES,
    FROZEN,
    most_hidden,
    one,
    stuck,
    swinging,
)

from analysis import Prop, Settings, check_clip
from analysis import quaternions as quat
from tests.quality.figure import channels_of


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


@pytest.mark.parametrize("part", ["head", "hand.L", "forearm.R"])
def test_with_every_check_asked_it_is_one_finding(part):
    """The limb's points jump as it catches up: that is the same event."""
    at = most_hidden(swinging(), part, "world", FROZEN + CAUGHT_UP)
    clip = stuck(swinging(), part, at=at)
    alone = check_clip(clip, Settings(cycle="no", checks=("pop",)))
    (finding,) = check_clip(clip, Settings(cycle="no")).findings
    assert (finding.check, finding.part) == ("stuck_turn", part)
    assert {check for check, _part in finding.also} >= {f.check for f in alone.findings}


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
    shot_found = check_clip(replace(clip, valid=valid), ASKED)
    assert shot_found.findings == ()
    assert shot_found.good[0].endswith("from frame 1 to 60, as far as it is known.")
    valid[::5] = False
    shot_found = check_clip(replace(clip, valid=valid), ASKED)
    assert shot_found.good == ()
    why = dict(shot_found.skipped)["stuck_turn"]
    assert why == "no part is known long enough without a gap"


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
