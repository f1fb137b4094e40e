# SPDX-License-Identifier: GPL-3.0-or-later
"""The checks on a figure with known faults: what, where, how large, and nothing else."""

import numpy as np
import pytest
from figures import NAMES, figure, names, spike, with_mover

from analysis import Settings, SettingsError, check_clip
from analysis.checks import REGISTRY

LOOP = Settings(cycle="yes")
ONCE = Settings(cycle="no")
# What a figure that swings its limbs over no floor, before no camera, has no answer to.
SKIPPED = {"slide", "overreach", "gravity", "sway", "stop_together", "camera_jump"}
SKIPPED |= {"stiff_prop", "prop_clash", "edge_on", "sink", "stomp", "carry", "balance"}
SKIPPED |= {"off_arc"}
ALL = {check.info.name for check in REGISTRY}


def pops(shot):
    return [finding for finding in shot.findings if finding.check == "pop"]


def test_a_clean_stride_is_clean():
    shot = check_clip(figure(), LOOP)
    assert names(shot) == []
    assert len(shot.good) == len(ALL - SKIPPED)
    assert {name for name, _why in shot.skipped} == SKIPPED


@pytest.mark.parametrize(("fps", "frames"), [(24, 48), (30, 60), (60, 120)])
def test_one_frame_pop_of_the_root(fps, frames):
    at = frames // 2 - 3
    shift = np.outer(spike(frames, at, 0.04), [0, 0, 1])
    shot = check_clip(figure(fps=fps, frames=frames, shift=shift), ONCE)
    assert names(shot) == [("pop", "root")]
    finding = shot.findings[0]
    assert finding.frames == (at + 1, at + 1)
    assert finding.severity == "major"
    assert finding.amount == pytest.approx(4.0, abs=0.1)
    assert finding.says == (
        f"The root jumps {finding.amount:.1f} cm up at frame {at + 1} and comes back at {at + 2}."
    )
    assert finding.suggestion.offset == pytest.approx([0, 0, -0.04], abs=1e-3)
    # One event, one finding: what the root carries along is told beside it.
    # (Legs may be left out: they are not judged around a landing foot.)
    legs = {name for name in NAMES if name.startswith(("thigh", "shin", "foot"))}
    assert set(NAMES) - {"root"} - legs <= {part for _check, part in finding.also}


@pytest.mark.parametrize("width", [2, 3])
def test_a_pop_of_several_frames(width):
    shift = np.outer(spike(72, 30, 0.06, width), [0, 0, 1])
    shot = check_clip(figure(frames=72, shift=shift), ONCE)
    assert names(shot) == [("pop", "root")]
    assert shot.findings[0].frames == (31, 30 + width)
    assert shot.findings[0].amount == pytest.approx(6.0, abs=0.5)


@pytest.mark.parametrize(
    ("joint", "radians"),
    [("neck", 0.25), ("upper_arm.L", 0.3), ("forearm.R", 0.35), ("head", 0.3), ("thigh.R", 0.25)],
)
def test_a_turned_joint_takes_the_blame_for_what_it_carries(joint, radians):
    shot = check_clip(figure(turns={joint: spike(48, 20, radians)}), ONCE)
    assert names(shot) == [("pop", joint)]
    assert shot.findings[0].peak_frame == 21


def test_two_pops_at_one_moment_in_two_arms_are_two_findings():
    turns = {"upper_arm.L": spike(48, 20, 0.3), "upper_arm.R": spike(48, 20, -0.3)}
    shot = check_clip(figure(turns=turns), ONCE)
    assert names(shot) == [("pop", "upper_arm.L"), ("pop", "upper_arm.R")]


def test_findings_stand_in_fixing_order():
    turns = {"forearm.L": spike(48, 10, 0.4), "head": spike(48, 30, 0.3)}
    shift = np.outer(spike(48, 20, 0.03), [1, 0, 0])
    shot = check_clip(figure(turns=turns, shift=shift), ONCE)
    assert names(shot) == [("pop", "root"), ("pop", "head"), ("pop", "forearm.L")]
    assert len({finding.id for finding in shot.findings}) == 3


def test_a_bone_without_a_part_keeps_its_name():
    clip = figure(turns={"head": spike(48, 30, 0.3)})
    strange = tuple(f"qx_{n}" for n in range(len(clip.joints)))
    alone = {"rest_positions": None, "rest_rotations": None, "parents": [-1] * len(clip.joints)}
    shot = check_clip(type(clip)(**{**vars(clip), "joints": strange, **alone}), ONCE)
    (finding,) = shot.findings
    assert finding.part is None
    bone = strange[clip.joints.index("head")]
    assert finding.title.startswith(bone)
    assert finding.says.startswith(f"The {bone} ")


def test_a_whole_body_dropped_frame_is_one_finding():
    clip = figure(speed=1.0)
    place, rotations = np.array(clip.positions), np.array(clip.rotations)
    place[20], rotations[20] = place[22], rotations[22]
    shot = check_clip(
        type(clip)(**{**vars(clip), "positions": place, "rotations": rotations}), ONCE
    )
    assert names(shot) == [("pop", None)]
    assert shot.findings[0].says.endswith(", and most of the body with it.")
    assert shot.findings[0].title == "Whole body: pop"


@pytest.mark.parametrize("scale", [0.1, 10.0])
def test_size_does_not_matter(scale):
    shift = np.outer(spike(48, 20, 0.03), [0, 0, 1])
    plain = check_clip(figure(shift=shift), ONCE).findings[0]
    scaled = check_clip(figure(shift=shift, scale=scale, height_m=1.7), ONCE).findings[0]
    assert (scaled.check, scaled.part, scaled.frames) == (plain.check, plain.part, plain.frames)
    assert scaled.severity == plain.severity
    assert scaled.mark == plain.mark
    # Sizes are told at the height that the character has in the story.
    story = check_clip(figure(shift=shift, height_m=1.7), ONCE).findings[0]
    assert scaled.amount == pytest.approx(story.amount, rel=1e-6)


def test_a_spike_at_an_end_is_not_judged_and_gaps_are_not():
    for at in (0, 47):
        assert names(check_clip(figure(shift=np.outer(spike(48, at, 0.05), [0, 0, 1])), ONCE)) == []
    clip = figure(shift=np.outer(spike(48, 20, 0.05), [0, 0, 1]))
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[19:22] = False
    place = np.where(valid[..., None], clip.positions, np.nan)
    gap = type(clip)(**{**vars(clip), "positions": place, "valid": valid})
    assert names(check_clip(gap, ONCE)) == []


def with_gaps(clip, valid):
    place = np.where(valid[..., None], clip.positions, np.nan)
    return type(clip)(**{**vars(clip), "positions": place, "valid": valid})


def test_a_joint_that_is_never_known_is_left_out():
    clip = figure()
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[:, NAMES.index("hand.L")] = False
    for settings in (ONCE, LOOP):
        assert names(check_clip(with_gaps(clip, valid), settings)) == []


def test_a_clip_of_gaps_alone_is_not_called_good():
    clip = figure()
    valid = np.zeros(clip.positions.shape[:2], dtype=bool)
    valid[:3] = True
    shot = check_clip(with_gaps(clip, valid), LOOP)
    assert names(shot) == []
    assert not shot.good
    assert {name for name, _why in shot.skipped} == ALL


def test_tolerance_widens_limits_and_never_switches_off():
    # A normal limit is .4 of the 5.8 cm that the root travels in a frame.
    shift = np.outer(spike(48, 20, 0.022), [0, 0, 1])
    found = {
        tolerance: names(check_clip(figure(shift=shift), Settings(cycle="no", tolerance=tolerance)))
        for tolerance in ("strict", "normal", "loose")
    }
    assert found["strict"] == [("pop", "root")]
    assert found["loose"] == []
    large = np.outer(spike(48, 20, 0.1), [0, 0, 1])
    assert names(check_clip(figure(shift=large), Settings(cycle="no", tolerance="loose")))


def test_stage_and_choice_of_checks():
    shot = check_clip(figure(), Settings(stage="blocking", cycle="yes"))
    assert dict(shot.skipped)["pop"] == "not asked in the blocking stage"
    shot = check_clip(figure(), Settings(checks=("pop",), stage="blocking", cycle="yes"))
    not_asked = {name for name, why in shot.skipped if why == "not asked for"}
    assert not_asked == ALL - {"pop"}
    with pytest.raises(SettingsError, match="no check called nod"):
        check_clip(figure(), Settings(checks=("nod",)))


def test_a_check_that_is_off_is_not_asked_and_says_why():
    off = Settings(off={"hard_stop": "the lead wants none"}, stage="polish", cycle="yes")
    skipped = dict(check_clip(figure(), off).skipped)
    assert skipped["hard_stop"] == "the lead wants none"
    assert "the lead wants none" not in {
        why for name, why in skipped.items() if name != "hard_stop"
    }
    with pytest.raises(SettingsError, match="no check called nod"):
        check_clip(figure(), Settings(off={"nod": "off"}))


def test_short_clips_say_why_they_are_not_judged():
    shot = check_clip(figure(frames=6), LOOP)
    why = dict(shot.skipped)
    assert why["pop"] == "needs 9 frames or more, the range has 6"
    assert why["loop_seam"] == "needs a loop of 12 frames, has 6"
    assert check_clip(figure(frames=2), LOOP).findings == ()


def test_a_mover_that_pops_is_named_and_the_body_it_carries_is_not():
    clip = figure(shift=np.outer(spike(48, 20, 0.03), [0, 0, 1]))
    mover = np.zeros((48, 3))
    mover[:, 1] = -1.4 * np.arange(48) / 24
    mover[20, 2] = 0.03
    shot = check_clip(with_mover(clip, mover), ONCE)
    assert names(shot) == [("pop", "mover")]


@pytest.mark.parametrize("fps", [24, 60])
def test_measures_are_in_metres_and_seconds(fps):
    found = check_clip(figure(frames=2 * fps, fps=fps, speed=1.4, period_s=1.0)).measures
    assert found["duration_s"] == pytest.approx(2.0 - 1.0 / fps)
    assert found["root_travel_m"] == pytest.approx(1.4 * found["duration_s"], rel=0.01)
    assert found["root_speed_m_s"] == pytest.approx(1.4, rel=0.01)
    # The root sways .02 sin(2 pi t) and bobs .02 cos(4 pi t) while it travels.
    assert found["root_peak_speed_m_s"] == pytest.approx(1.42, rel=0.01)
    assert found["root_rise_m"] == pytest.approx(0.04, abs=0.002)


def test_bad_settings():
    for bad in (
        {"stage": "final"},
        {"tolerance": "kind"},
        {"cycle": "maybe"},
        {"height_m": 0.0},
        {"height_m": float("nan")},
    ):
        with pytest.raises(SettingsError, match="expected"):
            Settings(**bad)
