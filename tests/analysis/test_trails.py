# SPDX-License-Identifier: GPL-3.0-or-later
"""Trails: what is followed, how fast it is, and where flights turn."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, pose, spike, to_clip

from analysis import Clip, Settings
from analysis.pipeline import examine
from analysis.trails import (
    COM,
    JOINT,
    TIP,
    Spot,
    finding_spot,
    followed,
    gap_speed,
    hang_marks,
    lead_title,
    trails_of,
    usual_spot,
    words_of,
)

# Standard gravity, m/s2 (ISO 80000-3).
GRAVITY = 9.80665
FPS = 24.0
# Frames of a jump: it leaves the ground on the one before, and stands again after as many.
STANDS, FLIES = 12, 15


def jumping(scale=1.0, **meta):
    """A stiff figure that stands, flies 15/24 s as a body thrown upwards does, and stands."""
    time = np.arange(FLIES + 1) / FPS
    rise = GRAVITY / 2.0 * time * (time[-1] - time)
    height = np.concatenate((np.zeros(STANDS), rise, np.zeros(STANDS)))
    root = np.stack((0 * height, 0.01 * np.arange(len(height)), 0.95 + height), axis=-1)
    turn, place = pose({}, root, len(root))
    return to_clip(turn, place * scale, FPS, scale, meta)


def test_the_speed_of_a_falling_body_is_what_gravity_gives():
    """v = g t; the mean of the gaps before and after a dot is exactly that."""
    seconds = np.arange(12) / FPS
    path = np.stack((0 * seconds, 0 * seconds, -GRAVITY / 2.0 * seconds**2), axis=-1)
    speed = gap_speed(path, seconds)
    np.testing.assert_allclose(speed[1:-1], GRAVITY * seconds[1:-1], rtol=1e-12)
    assert speed[0] == pytest.approx(GRAVITY * seconds[1] / 2.0)


def test_a_single_dot_stands_still():
    assert gap_speed(np.zeros((1, 3)), np.zeros(1)).tolist() == [0.0]
    assert gap_speed(np.zeros((0, 3)), np.zeros(0)).tolist() == []


def test_speeds_are_those_of_the_character_at_its_height():
    """A scene ten times as large, of a character of the same height in the story."""
    asked = Settings(height_m=1.8)
    one, ten = (examine(figure(scale=s), asked) for s in (1.0, 10.0))
    (small,), (large,) = (trails_of(each, [Spot("hand.L")]) for each in (one, ten))
    np.testing.assert_allclose(large.speed, small.speed, rtol=1e-9)
    np.testing.assert_allclose(large.positions, 10.0 * small.positions, atol=1e-9)


def test_a_trail_follows_its_joint_or_its_tip():
    clip = figure()
    examination = examine(clip)
    joint, tip = trails_of(examination, [Spot("head", JOINT), Spot("head", TIP)])
    np.testing.assert_array_equal(joint.frames, clip.frames)
    np.testing.assert_allclose(joint.positions, clip.positions[:, clip.joint("head")])
    gap = np.linalg.norm(tip.positions - joint.positions, axis=1)
    np.testing.assert_allclose(gap, 0.16, rtol=1e-9)  # as long as the figure's head
    assert joint.part == "head"


def test_gaps_of_the_clip_have_no_dots():
    clip = figure()
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[10:13, clip.joint("hand.L")] = False
    changed = Clip(**{**vars(clip), "valid": valid})
    (trail,) = trails_of(examine(changed), [Spot("hand.L")])
    assert len(trail.frames) == len(clip.frames) - 3
    assert not set(trail.frames) & set(clip.frames[10:13])
    assert trail.speed.max() < 5.0  # the step over the gap takes four frames


def test_the_centre_of_mass_has_no_dots_and_no_top_where_the_trunk_is_a_gap():
    clip = jumping()
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[STANDS + 5 : STANDS + 9, clip.joint("thigh.L")] = False
    examination = examine(Clip(**{**vars(clip), "valid": valid}))
    (trail,) = trails_of(examination, [Spot(COM)])
    assert len(trail.frames) == len(clip.frames) - 4
    assert hang_marks(examination, [Spot(COM)]) == ()
    assert len(hang_marks(examine(clip), [Spot(COM)])) == 1


def test_what_was_followed_is_listed_from_the_body_outwards():
    examination = examine(figure())
    titles = [each.title for each in followed(examination)]
    assert titles[:4] == ["root", COM, "chest", "neck"]
    assert titles.index("thigh.L") < titles.index("hand.L")
    assert {each.label for each in followed(examination)} >= {"Left hand", "Centre of mass"}
    assert lead_title(examination) == "root"


def test_heads_are_followed_at_their_tips_and_hands_at_their_joints():
    examination = examine(figure())
    assert usual_spot(examination, "head") == Spot("head", TIP)
    assert usual_spot(examination, "hand.L") == Spot("hand.L", JOINT)
    assert usual_spot(examination, COM) == Spot(COM, JOINT)
    assert words_of(examination, Spot("hand.L")) == "Left hand"
    assert words_of(examination, Spot("hand.L", TIP)) == "Left hand (tip)"
    assert words_of(examination, Spot("head", TIP)) == "Head"
    assert words_of(examination, Spot(COM)) == "Centre of mass"


def test_an_unknown_part_is_refused():
    with pytest.raises(KeyError, match="tail"):
        trails_of(examine(figure()), [Spot("tail")])


def test_a_finding_is_shown_by_the_point_that_it_names():
    clip = figure(turns={"head": spike(48, 20, 0.6)})
    examination = examine(clip, Settings(checks=("pop",)))
    finding = next(f for f in examination.shot.findings if f.part == "head")
    spot = finding_spot(examination, finding)
    assert spot == Spot("head", TIP)  # the head turns about its joint, which stays on its path
    (trail,) = trails_of(examination, [spot])
    step = np.linalg.norm(np.diff(trail.positions, axis=0), axis=1)
    assert np.argmax(step) in (19, 20)
    assert finding.peak_frame == 21


def test_a_finding_about_the_whole_figure_is_shown_by_what_leads_it():
    examination = examine(figure(turns={"head": spike(48, 20, 0.6)}))
    finding = replace(examination.shot.findings[0], point="", part=None)
    assert finding_spot(examination, finding) == Spot("root", JOINT)
    assert finding_spot(examination, replace(finding, part="hand.R")) == Spot("hand.R", JOINT)


def test_the_top_of_a_flight_is_where_a_thrown_body_turns():
    """h = g T2 / 8 after half of the time; half of the time in the top quarter of the height."""
    examination = examine(jumping())
    marks = hang_marks(examination, [Spot("root"), Spot(COM), Spot("hand.L")])
    assert [mark.spot.title for mark in marks] == ["root", COM, "hand.L"]
    root = marks[0]
    assert root.frame == pytest.approx(1 + STANDS + FLIES / 2.0, abs=0.05)
    assert root.position[2] == pytest.approx(0.95 + GRAVITY * (FLIES / FPS) ** 2 / 8.0, abs=1e-3)
    assert root.position[1] == pytest.approx(0.01 * (STANDS + FLIES / 2.0), abs=1e-3)
    assert root.in_air == FLIES - 1  # on the frames of take-off and landing it touches
    assert root.share == pytest.approx(0.5, abs=0.03)
    assert {mark.flight for mark in marks} == {0}


def test_no_top_without_a_whole_flight():
    assert hang_marks(examine(figure()), [Spot("root")]) == ()
    clip = jumping()
    cut = from_sample(clip, STANDS + 4)
    assert hang_marks(examine(cut), [Spot("root")]) == ()


def from_sample(clip, first):
    """The clip from the sample `first` on."""
    changed = dict(vars(clip))
    for name in ("frames", "positions", "rotations"):
        changed[name] = changed[name][first:]
    return Clip(**changed)
