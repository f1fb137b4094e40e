# SPDX-License-Identifier: GPL-3.0-or-later
"""On twos, threes, stepped: recognised, said, and judged at its own step."""

from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES, figure, names, spike

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.curves import Curve
from analysis.exposure import find_exposures

FRAMES = 96


def _shown(clip, source):
    """The clip as if sample t showed sample source[t]."""
    return replace(clip, positions=clip.positions[source], rotations=clip.rotations[source])


def _on(step, first=0, **changes):
    source = np.maximum((np.arange(FRAMES) - first) // step * step + first, 0)
    # A period that no step divides: else poses repeat by chance.
    return _shown(figure(frames=FRAMES, period_s=1.13, **changes), source)


def _steps(clip):
    return set(find_exposures(build_basis(clip, Settings())).steps.tolist())


@pytest.mark.parametrize("step", [1, 2, 3, 4])
@pytest.mark.parametrize("first", [0, 1])
def test_the_step_is_recognised_in_either_phase(step, first):
    assert _steps(_on(step, first)) == {step}


@pytest.mark.parametrize(("step", "word"), [(2, "twos"), (3, "threes")])
def test_a_clean_walk_on_twos_or_threes_has_no_findings_and_says_so(step, word):
    shot = check_clip(_on(step), Settings(cycle="no"))
    assert names(shot) == []
    assert shot.style == (
        f"The whole figure is animated on {word}: spacing is judged from pose to pose.",
    )


def test_on_ones_nothing_is_said():
    style = check_clip(_on(1), Settings(cycle="no")).style
    assert not any("animated on" in said for said in style)


def test_a_pop_on_twos_is_found_at_its_own_step():
    shift = spike(FRAMES, 40, 0.08, width=2)[:, None] * np.array([0.0, 0, 1])
    shot = check_clip(_on(2, shift=shift), Settings(cycle="no", checks=("pop",)))
    assert names(shot) == [("pop", "root")]
    assert shot.findings[0].peak_frame == 41


def test_a_part_on_ones_is_judged_on_ones():
    clip, held = figure(frames=FRAMES, turns={"head": spike(FRAMES, 51, 0.4)}), _on(2)
    head = NAMES.index("head")
    keeps = [n for n in range(len(NAMES)) if n != head]
    turn = clip.rotations.copy()
    turn[:, keeps] = held.rotations[:, keeps]
    mixed = replace(held, rotations=turn)
    # Carried by a body on twos, the head's path goes on twos as well, whatever it does itself.
    found = find_exposures(build_basis(mixed, Settings()))
    assert set(found.steps.tolist()) == {2}
    # A prop-like body that nothing carries goes by its own step.
    free = replace(mixed, parents=np.where(np.arange(len(NAMES)) == head, -1, mixed.parents))
    assert _steps(free) == {2}


def test_a_phase_that_shifts_after_a_hold_is_still_on_twos():
    source = np.concatenate((np.arange(40) // 2 * 2, [38] * 7, 39 + np.arange(49) // 2 * 2))
    assert _steps(_shown(figure(frames=FRAMES), source)) == {2}


def test_stepped_blocking_is_recognised_and_its_spacing_is_not_judged():
    poses = np.repeat(np.arange(0, FRAMES, 11), 11)[:FRAMES]
    clip = _shown(figure(frames=FRAMES), poses)
    assert _steps(clip) == {0}
    shot = check_clip(clip, Settings(cycle="no", checks=("pop",)))
    assert names(shot) == []
    assert shot.style == (
        "The whole figure is stepped blocking (9 poses): spacing is not judged there.",
    )
    assert dict(shot.skipped)["pop"] == "every part is stepped blocking"


def test_held_poses_on_ones_are_no_stepped_blocking():
    source = np.concatenate((np.arange(30), [29] * 20, np.arange(30, 60), [59] * 16))
    assert _steps(_shown(figure(frames=FRAMES), source)) == {1}


def test_single_precision_does_not_hide_repeats():
    clip = _on(2)
    noisy = clip.positions + np.random.default_rng(1).normal(0, 2e-6, clip.positions.shape)
    assert _steps(replace(clip, positions=noisy)) == {2}


def test_a_frame_that_breaks_the_twos_is_found():
    clip = _on(2)
    place = clip.positions.copy()
    place[41] += (0.0, 0.0, 0.04)
    shot = check_clip(replace(clip, positions=place), Settings(cycle="no", checks=("pop",)))
    assert names(shot) == [("pop", "root")]
    assert shot.findings[0].says == (
        "The root breaks the twos at frame 42: a pose of its own, 4.0 cm off the ones beside it."
    )


def test_where_the_twos_shift_by_a_frame_nothing_breaks():
    source = np.concatenate((np.arange(40) // 2 * 2, [40], 41 + np.arange(55) // 2 * 2))
    shot = check_clip(_shown(figure(frames=FRAMES), source), Settings(cycle="no", checks=("pop",)))
    assert names(shot) == []
    assert "on twos" in shot.style[0]


def test_held_poses_are_said_in_one_sentence():
    source = np.concatenate((np.arange(30), [29] * 20, np.arange(30, 60), [59] * 16))
    shot = check_clip(_shown(figure(frames=FRAMES), source), Settings(cycle="no", checks=("pop",)))
    assert shot.style == ("The whole figure is held still from frame 30 to 50, from 80 to 96.",)


def test_a_pose_that_drifts_is_no_dead_hold():
    source = np.concatenate((np.arange(30), [29] * 20, np.arange(30, 60), [59] * 16))
    clip = _shown(figure(frames=FRAMES), source)
    drift = 1e-4 * np.arange(FRAMES)[:, None, None]
    shot = check_clip(replace(clip, positions=clip.positions + drift), Settings(checks=("pop",)))
    assert shot.style == ()


def test_stepped_blocking_of_the_body_is_asked_no_flight_and_no_loop():
    poses = np.repeat(np.arange(0, FRAMES, 8), 8)[:FRAMES]
    shot = check_clip(_shown(figure(frames=FRAMES), poses), Settings(cycle="yes"))
    assert names(shot) == []
    assert dict(shot.skipped)["hang_time"] == "the body is stepped blocking"
    assert dict(shot.skipped)["loop_seam"] == "the body is stepped blocking"
    assert "double_frame" not in dict(shot.skipped)


def test_poses_of_many_lengths_are_stepped_and_not_on_fours():
    lengths = (4, 4, 4, 4, 4, 5, 4, 4, 6, 7, 7, 8, 4, 9, 10, 12)
    poses = np.repeat(np.cumsum((0, *lengths[:-1])), lengths)[:FRAMES]
    assert _steps(_shown(figure(frames=FRAMES, period_s=1.13), poses)) == {0}


def held_keys(kind):
    return Curve(
        control="body",
        channel="location.z",
        data_path="location",
        index=2,
        action="walk",
        strip=None,
        frames=(1.0, 48.0),
        action_frames=(1.0, 48.0),
        values=(0.0, 1.0),
        interpolation=(kind, kind),
        handle_left=((0.0, 0.0),) * 2,
        handle_right=((0.0, 0.0),) * 2,
        handle_types=(("AUTO", "AUTO"),) * 2,
        key_types=("KEYFRAME",) * 2,
        drives=("root",),
    )


@pytest.mark.parametrize(("kind", "steps"), [("CONSTANT", 0), ("BEZIER", 1)])
def test_constant_keys_on_uneven_frames_are_stepped(kind, steps):
    """The controls change at different times, so that the motion alone shows no step."""
    source = np.repeat(np.arange(FRAMES), 1)
    source[20:26], source[40:43] = 20, 40
    clip = _shown(figure(frames=FRAMES, period_s=1.13, curves=(held_keys(kind),)), source)
    assert _steps(clip) == {steps}


def test_constant_keys_on_every_second_frame_are_twos():
    assert _steps(_on(2, curves=(held_keys("CONSTANT"),))) == {2}
