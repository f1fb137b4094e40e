# SPDX-License-Identifier: GPL-3.0-or-later
"""Trunks that break: one joint of the spine too far, a chest turned too far, a spine stretched."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, names
from scipy.spatial.transform import Rotation
from spined import SPINE, held, spined, swaying

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.meta import Event
from analysis.spine import find_spine

ONCE = Settings(checks=("torso_break",), cycle="no")
FORWARD, SIDE, TWIST = np.eye(3)
# About the figure's axes: forward, to its left, twisted to its left; it faces -Y.
LEFT, BACK, UP = np.array([1.0, 0, 0]), np.array([0, 1.0, 0]), np.array([0, 0, 1.0])


def bent(joint, axis, degrees, count=72, first=30, last=45, fps=24.0, **options):
    bends = swaying(count, fps=fps)
    bends[joint] = bends[joint] + np.outer(degrees * held(count, first, last), axis)
    return spined(bends, fps=fps, **options)


def only(shot):
    assert names(shot) == [("torso_break", shot.findings[0].part)]
    return shot.findings[0]


def skipped(shot):
    return dict(shot.skipped).get("torso_break", "")


def test_bends_are_what_scipy_says():
    rng = np.random.default_rng(2)
    bends = {name: rng.uniform(-40.0, 40.0, (20, 3)) for name in SPINE}
    clip = spined(bends, turn=rng.uniform(-90.0, 90.0, (20, 3)))
    spine = find_spine(build_basis(clip, Settings()))
    for place, name in enumerate(SPINE):
        assert spine.bends[:, place] == pytest.approx(bends[name], abs=1e-6)
    whole = Rotation.identity(20)
    for name in SPINE:
        whole = whole * Rotation.from_rotvec(bends[name], degrees=True)
    assert spine.whole == pytest.approx(whole.as_rotvec(degrees=True), abs=1e-6)


def test_a_spine_that_shares_its_bend_is_clean():
    shot = check_clip(spined(swaying(72)), ONCE)
    assert names(shot) == []
    assert len(shot.good) == 1
    assert shot.good[0].startswith("Chest and hips hold together: ")


@pytest.mark.parametrize("joint", SPINE)
@pytest.mark.parametrize(
    ("axis", "does", "way"),
    [
        (LEFT, "bends", "forward"),
        (-LEFT, "bends", "back"),
        (BACK, "bends", "to its left"),
        (-UP, "twists", "to its right"),
    ],
)
def test_a_joint_too_far(joint, axis, does, way):
    finding = only(check_clip(bent(joint, axis, 25.0), ONCE))
    assert finding.part == joint
    assert finding.severity == "major"
    assert finding.amount == pytest.approx(25.0, abs=5.0)
    assert finding.frames == (pytest.approx(29, abs=2), pytest.approx(48, abs=2))
    assert f" {does} " in finding.says
    assert f" further {way} than the rest of the spine from frame " in finding.says
    assert "out of it at frame" in finding.suggestion.text


def test_which_way_is_left():
    """The figure faces -Y, its left is +X: a bend to its left takes the head there."""
    clip = bent("chest", BACK, 25.0)
    head = clip.joint("head")
    assert clip.positions[38, head, 0] - clip.positions[10, head, 0] > 0.1
    assert "to its left" in only(check_clip(clip, ONCE)).says


@pytest.mark.parametrize(("fps", "scale"), [(30.0, 1.0), (60.0, 1.0), (24.0, 10.0), (24.0, 0.01)])
def test_rate_and_size_do_not_matter(fps, scale):
    per = fps / 24.0
    clip = bent(
        "spine.2", LEFT, 25.0, round(72 * per), round(30 * per), round(45 * per), fps, scale=scale
    )
    finding = only(check_clip(clip, replace(ONCE, height_m=1.7)))
    assert (finding.part, finding.severity) == ("spine.2", "major")
    assert finding.amount == pytest.approx(25.0, abs=5.0)


def test_a_turned_figure_is_told_alike():
    turn = np.tile([0.0, 0.0, 130.0], (72, 1))
    finding = only(check_clip(bent("spine.1", LEFT, 25.0, turn=turn), ONCE))
    assert finding.part == "spine.1"
    assert " forward " in finding.says


def test_a_joint_too_far_throughout():
    bends = swaying(72)
    bends["spine.1"] = bends["spine.1"] + 25.0 * BACK
    finding = only(check_clip(spined(bends), ONCE))
    assert finding.part == "spine.1"
    assert finding.frames == (1, 72)


def test_a_joint_too_far_throughout_on_a_spine_that_stands_bent():
    """How far the others stand bent says nothing of how much more this one bends than they do."""
    bends = swaying(40)
    bends = {name: 0.4 * bend + 7.0 * LEFT for name, bend in bends.items()}
    assert names(check_clip(spined(bends), ONCE)) == []
    bends["spine.2"] = bends["spine.2"] + 22.0 * LEFT
    assert only(check_clip(spined(bends), ONCE)).part == "spine.2"


def test_ten_degrees_are_honest():
    for joint in SPINE:
        assert names(check_clip(bent(joint, UP, 9.0), ONCE)) == []


def test_one_frame_is_left_to_pops():
    bends = swaying(72)
    bends["chest"] = bends["chest"] + np.outer(np.arange(72) == 30, 30.0 * LEFT)
    assert names(check_clip(spined(bends), ONCE)) == []


def test_all_checks_together_tell_one_break():
    shot = check_clip(bent("spine.2", UP, 30.0), Settings(cycle="no"))
    assert [(f.check, f.part) for f in shot.findings] == [("torso_break", "spine.2")]


def test_a_break_of_a_few_frames_is_told_once():
    """It comes and goes within two frames: what jumps there is told beside it."""
    bends = swaying(72)
    share = held(72, 32, 36, ease=2)
    bends["spine.2"] = bends["spine.2"] + np.outer(25.0 * share, LEFT)
    shot = check_clip(spined(bends), Settings(cycle="no"))
    assert [(f.check, f.part) for f in shot.findings] == [("torso_break", "spine.2")]


def test_a_spine_that_bends_at_one_joint_alone_has_a_style():
    still = np.zeros((72, 3))
    bends = swaying(72, degrees=(30.0, 10.0, 20.0), shares=(0.0, 0.0, 1.0))
    shot = check_clip(spined({**bends, "spine.1": still, "spine.2": still}), ONCE)
    assert names(shot) == []
    assert shot.style == ("Of the spine only the chest bends: taken for the shot's style.",)


def test_an_upper_back_that_twists_to_and_fro_by_itself_is_no_break():
    bends = swaying(120, degrees=(20.0, 0.0, 0.0))
    twist = 18.0 * np.sin(2.0 * np.pi * np.arange(120) / 30.0)
    bends["chest"] = bends["chest"] + np.outer(twist, UP)
    assert names(check_clip(spined(bends), ONCE)) == []


def trembling(bends, degrees):
    """The bends with independent noise about every axis of every joint."""
    rng = np.random.default_rng(4)
    return {name: bend + rng.normal(0.0, degrees, bend.shape) for name, bend in bends.items()}


@pytest.mark.parametrize("degrees", [0.0, 0.15, 0.3, 0.6])
def test_what_bends_alone_by_design_does_so_in_noise(degrees):
    """As captured figures do whose lower back never twists or never bends to a side."""
    bends = swaying(240, degrees=(20.0, 0.0, 0.0))
    wave = 20.0 * np.sin(2.0 * np.pi * np.arange(240) / 40.0)
    bends["chest"] = bends["chest"] + np.outer(wave, BACK)
    shot = check_clip(spined(trembling(bends, degrees)), ONCE)
    assert (names(shot), shot.style) == ([], ())


@pytest.mark.parametrize("degrees", [0.3, 0.6])
def test_joints_that_only_tremble_do_not_bend(degrees):
    bends = {name: np.zeros((240, 3)) for name in SPINE}
    bends["chest"] = np.outer(25.0 * held(240, 90, 120), LEFT)
    shot = check_clip(spined(trembling(bends, degrees)), ONCE)
    assert names(shot) == []
    assert shot.style == ("Of the spine only the chest bends: taken for the shot's style.",)


@pytest.mark.parametrize("joint", SPINE)
def test_a_joint_too_far_is_told_in_noise(joint):
    bends = swaying(72)
    bends[joint] = bends[joint] + np.outer(25.0 * held(72, 30, 45), LEFT)
    assert only(check_clip(spined(trembling(bends, 0.3)), ONCE)).part == joint


def test_what_happens_again_and_again_is_a_style():
    bends = swaying(240)
    share = sum(held(240, first, first + 10) for first in (20, 65, 110, 155, 200))
    bends["spine.1"] = bends["spine.1"] + np.outer(30.0 * share, LEFT)
    shot = check_clip(spined(bends), ONCE)
    assert names(shot) == []
    assert shot.style == (
        "The trunk breaks again and again at the spine 1: taken for the shot's style.",
    )


@pytest.mark.parametrize(
    ("axis", "degrees", "says"),
    [
        (LEFT, 130.0, "The chest bends 130 degrees forward against the hips"),
        (-LEFT, 50.0, "The chest bends 50 degrees back against the hips"),
        (BACK, 60.0, "The chest bends 60 degrees to its left against the hips"),
        (-UP, 75.0, "The chest twists 75 degrees to its right against the hips"),
    ],
)
def test_a_chest_further_than_a_back_goes(axis, degrees, says):
    """All joints share it alike: only the whole is too far."""
    share = held(72, 30, 45)
    bends = {name: np.outer(degrees / 3.0 * share, axis) for name in SPINE}
    finding = only(check_clip(spined(bends), ONCE))
    assert finding.part == "chest"
    assert finding.says.startswith(says)


def test_as_far_as_a_back_goes_is_fine():
    """Joint ranges of the trunk from memory: 85 forward, 30 back, 35 to a side, 45 twisted."""
    for axis, degrees in ((LEFT, 85.0), (-LEFT, 30.0), (BACK, 35.0), (UP, 45.0)):
        share = held(72, 30, 45)
        bends = {name: np.outer(degrees / 3.0 * share, axis) for name in SPINE}
        assert names(check_clip(spined(bends), ONCE)) == []


@pytest.mark.parametrize(
    ("share", "does"), [(0.25, "stretches by 25 %"), (-0.3, "shrinks by 30 %")]
)
def test_a_spine_that_stretches(share, does):
    shift = np.outer(0.12 * share * held(72, 30, 45), UP)
    finding = only(check_clip(spined(swaying(72), shift={"spine.2": shift}), ONCE))
    assert (finding.part, finding.unit) == ("spine.2", "%")
    assert finding.amount == pytest.approx(100.0 * abs(share), abs=1.0)
    assert f"The spine {does} between spine 1 and spine 2 from frame" in finding.says


def test_a_figure_that_is_longer_throughout_is_as_it_is():
    shift = np.tile(0.05 * UP, (72, 1))
    assert names(check_clip(spined(swaying(72), shift={"chest": shift}), ONCE)) == []


@pytest.mark.parametrize(("part", "told"), [("chest", 0), (None, 0), ("head", 1), ("hand.L", 1)])
def test_declared_events_on_the_trunk_are_left_out(part, told):
    hit = Event(frames=(28.0, 50.0), part=part, direction=None, kind="hit")
    found = check_clip(bent("chest", LEFT, 30.0, events=(hit,)), ONCE).findings
    assert [each.check for each in found] == ["torso_break"] * told


def test_gaps_and_awkward_ranges():
    clip = bent("spine.2", LEFT, 25.0)
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[20:60, clip.joint("spine.1")] = False
    gap = replace(clip, valid=valid)
    assert names(check_clip(gap, ONCE)) == []
    assert "needs 6 frames" in skipped(check_clip(clip.cut(1, 5), ONCE))
    assert names(check_clip(clip.cut(1, 6), ONCE)) == []
    valid[:] = False
    valid[:, : clip.joint("spine.1")] = True
    valid[:2, :] = True
    assert "not known long enough" in skipped(check_clip(replace(clip, valid=valid), ONCE))


def test_without_a_rest_pose_bends_count_from_the_usual_pose():
    shot = check_clip(bent("spine.2", LEFT, 30.0, without_rest=True), ONCE)
    assert only(shot).part == "spine.2"


def test_what_has_no_chest_is_skipped():
    plain = figure()
    roles = {"root": ("root",), "head": ("head",)}
    clip = replace(plain, meta=replace(plain.meta, roles=roles))
    assert skipped(check_clip(clip, ONCE)) == "no chest above hips is known"


def test_hips_that_do_not_carry_the_legs_are_no_hips():
    """The hip joints turn about a root that stays: against it a chest says nothing of the back."""
    clip = spined(swaying(72))
    angle = np.radians(np.linspace(0.0, 120.0, 72))
    around = np.stack((np.cos(angle), np.sin(angle), 0.0 * angle), axis=-1)
    positions = clip.positions.copy()
    for name, way in (("thigh.L", 0.1), ("thigh.R", -0.1)):
        positions[:, clip.joint(name)] = positions[:, 0] + way * around
    assert skipped(check_clip(replace(clip, positions=positions), ONCE)) != ""


@pytest.mark.parametrize(("lag", "phase"), [(0.0, 0.0), (0.25, 90.0), (0.5, 180.0)])
def test_measures(lag, phase):
    """Hips and chest turn as sines a known part of a period apart; the twist between them is their
    difference, a sine of amplitude 2 sin(lag / 2) times theirs."""
    time = np.arange(96) / 24.0
    hips, chest = (8.0 * np.sin(2.0 * np.pi * (time - late)) for late in (0.0, lag))
    bends = {name: np.outer((chest - hips) / 3.0, UP) for name in SPINE}
    shot = check_clip(spined(bends, turn=np.outer(hips, UP)), ONCE)
    assert shot.measures["chest_hip_turn_deg"] == pytest.approx(32.0 * np.sin(np.pi * lag), abs=0.3)
    assert shot.measures["chest_hip_phase_deg"] == pytest.approx(phase, abs=6.0)
    assert shot.measures["chest_hip_bend_deg"] == pytest.approx(0.0, abs=1e-6)


def test_tolerance_widens_the_limit():
    clip = bent("chest", UP, 17.0)
    assert names(check_clip(clip, ONCE)) == [("torso_break", "chest")]
    assert names(check_clip(clip, replace(ONCE, tolerance="loose"))) == []
