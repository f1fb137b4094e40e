# SPDX-License-Identifier: GPL-3.0-or-later
"""The checks on captured motion: the clips that PyPI's pybullet 3.2.7 carries.

That `roll` ends on a repeat of its first frame (but for one ankle), and that `walk` neither
repeats its first frame nor closes, can be read from the files themselves; both are asserted.
"""

import os
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from analysis import Settings, check_clip
from analysis.basis import build_basis
from demo_scenes.captured.clip import to_clip
from demo_scenes.captured.motions import load_motion

FOLDER = os.environ.get("PLUMBLINE_CAPTURED")
if FOLDER is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)
LOOP = Settings(cycle="yes")

# Clips without known flaws. `walk` is none of them: at frame 19 nearly every joint jumps.
CLEAN = (
    "jump",
    "cartwheel",
    "crawl",
    "dance_a",
    "getup_faceup",
    "getup_facedown",
    "kick",
    "punch",
    "spinkick",
)


def clip(name):
    return to_clip(load_motion(Path(FOLDER), name))


def angle_between(a, b):
    """Angles in radians between unit quaternions w, x, y, z."""
    a, b = (Rotation.from_quat(np.roll(q, -1, axis=-1)) for q in (a, b))
    return (a.inv() * b).magnitude()


def checks_of(shot):
    return {finding.check for finding in shot.findings}


def test_roll_ends_on_a_double_frame():
    roll = clip("roll")
    own = build_basis(roll, LOOP).own_rotations[:, 1:]  # every joint but the root
    apart = angle_between(own[0], own[-1])
    assert (apart < 1e-6).sum() >= len(apart) - 1  # the left ankle alone differs
    shot = check_clip(roll, LOOP)
    (double,) = [f for f in shot.findings if f.check == "double_frame"]
    assert double.frames == (121, 121)
    assert double.severity == "major"


def test_walk_breaks_at_its_seam_and_repeats_no_frame():
    walk = clip("walk")
    own = build_basis(walk, LOOP).own_rotations[:, 1:]
    assert np.degrees(angle_between(own[0], own[-1]).max()) > 3.0
    shot = check_clip(walk, LOOP)
    assert "loop_seam" in checks_of(shot)
    assert "double_frame" not in checks_of(shot)
    assert any(f.severity == "major" for f in shot.findings if f.check == "loop_seam")


def test_walk_steps_from_frame_19_to_20():
    """Half a stride and its mirror image meet there: the second differences say so."""
    walk = clip("walk")
    bend = np.linalg.norm(np.diff(walk.positions, 2, axis=0), axis=-1).mean(axis=1)
    at_19_and_20, others = bend[17:19], np.delete(bend, [17, 18])
    assert at_19_and_20.min() > 2.0 * others.max()
    (found,) = check_clip(walk, Settings(cycle="no")).findings
    assert (found.check, found.part, found.frames) == ("pop", None, (19, 20))
    assert "from frame 19 to 20 and stays there, and most of the body with it" in found.says


def test_clips_that_do_not_loop_are_not_taken_for_loops():
    for name in (*CLEAN, "walk"):
        assert not check_clip(clip(name)).cycle, name


@pytest.mark.parametrize("name", ["jump", "kick", "walk", "dance_a"])
@pytest.mark.parametrize("axis", [0, 1, 2])
def test_a_pop_of_the_root_is_found_on_captured_motion(name, axis):
    original = clip(name)
    at = len(original.frames) // 3
    place = np.array(original.positions)
    place[at, :, axis] += 0.05
    changed = type(original)(**{**vars(original), "positions": place})
    shot = check_clip(changed, Settings(cycle="no"))
    near = [f for f in shot.findings if f.part == "root" and abs(f.peak_frame - (at + 1)) <= 1]
    assert len(near) == 1


def test_the_head_of_getup_facedown_steps_from_frame_163_to_164():
    """It goes 8 cm in a sixtieth of a second, and 3 cm before and after."""
    motion = clip("getup_facedown")
    basis = build_basis(motion, Settings(cycle="no"))
    steps = np.linalg.norm(np.diff(basis.marks[:, basis.body("head"), 1], axis=0), axis=-1)
    assert steps[162] > 2.0 * max(steps[160:162].max(), steps[163:165].max())
    found = check_clip(motion, Settings(cycle="no", checks=("pop",))).findings
    assert ("pop", "neck", (163, 164)) in {(f.check, f.part, f.frames) for f in found}


def test_false_alarms_on_clean_motion_are_counted_and_bounded():
    """All but the step above, which is one; the limits keep this from getting worse."""
    paths = Settings(cycle="no", checks=("double_frame", "loop_seam", "pop"))
    seconds, findings = 0.0, []
    for name in CLEAN:
        shot = check_clip(clip(name), paths)
        seconds += (len(clip(name).frames) - 1) / shot.fps
        findings += [f for f in shot.findings if (name, f.frames[0]) != ("getup_facedown", 163)]
    major = sum(f.severity == "major" for f in findings)
    print(f"{len(findings)} findings ({major} major) in {seconds:.1f} s of clean captured motion")
    assert 10.0 * len(findings) / seconds <= 1.5
    assert major == 0
