# SPDX-License-Identifier: GPL-3.0-or-later
"""The gait of captured motion against published numbers: Froude's, and how far people sway.

`walk` and `run` of PyPI's pybullet 3.2.7, played as loops: half a stride and its mirror image.
"""

import os
from pathlib import Path

import numpy as np
import pytest

from analysis import Settings, check_clip
from analysis.sway_trend import run_up_m, walk_side_m, walk_up_m
from demo_scenes.captured.clip import to_clip
from demo_scenes.captured.motions import load_motion

FOLDER = os.environ.get("PLUMBLINE_CAPTURED")
if FOLDER is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)
ASK = Settings(cycle="yes", checks=("sway",))
# Of the captured figure, from its description (humanoid.urdf, lengths over 4).
HEIGHT_M, LEG_M = 1.62, 0.4215 + 0.41
# People change from walking to running at about this Froude number (Alexander 1989, Physiol Rev
# 69:1199-1227, from memory).
CHANGE = 0.5


def shot_of(name):
    return check_clip(to_clip(load_motion(Path(FOLDER), name)), ASK)


def froude(name):
    """v2 / (g L) from the file alone: the root's way over the time that it takes."""
    motion = load_motion(Path(FOLDER), name)
    way = motion.positions[-1, 0] - motion.positions[0, 0]
    speed = np.linalg.norm(np.delete(way, np.argmin(np.ptp(motion.positions[:, 0], axis=0))))
    return speed, (speed * motion.fps / (motion.frame_count - 1)) ** 2 / (9.80665 * LEG_M)


@pytest.mark.parametrize(("name", "speed", "number"), [("walk", 0.98, 0.12), ("run", 3.56, 1.55)])
def test_speed_and_froude_number(name, speed, number):
    """Known of these clips: .98 m/s and .12, 3.56 m/s and 1.55."""
    found = shot_of(name).measures
    assert found["gait_speed_m_s"] == pytest.approx(speed, rel=0.01)
    assert found["froude"] == pytest.approx(number, rel=0.02)
    assert found["froude"] == pytest.approx(froude(name)[1], rel=0.02)
    assert found["run_share"] == (1.0 if name == "run" else 0.0)
    assert (found["froude"] > CHANGE) == (name == "run")


def test_a_walk_has_double_support_and_a_run_has_none():
    """A foot stands for more than half of a walking stride, less in running: Alexander 1989."""
    walk, run = (shot_of(name).measures for name in ("walk", "run"))
    assert walk["double_support_share"] > 0.0 == run["double_support_share"]
    assert walk["foot_contact_left_share"] + walk["foot_contact_right_share"] > 1.0
    assert run["foot_contact_left_share"] + run["foot_contact_right_share"] < 1.0
    assert run["air_share"] > 0.1 > walk["air_share"] == 0.0
    assert run["flights"] == 2.0


def test_the_walk_lies_within_half_of_the_published_trend():
    """Orendurff et al. 2004, JRRD 41(6A):829-834; the numbers are from memory."""
    found = shot_of("walk").measures
    assert found["com_vertical_m"] == pytest.approx(0.028, abs=0.002)
    assert found["com_lateral_m"] == pytest.approx(0.029, abs=0.002)
    for name, trend in (("com_lateral_m", walk_side_m), ("com_vertical_m", walk_up_m)):
        usual = trend(found["gait_speed_m_s"], HEIGHT_M)
        assert 0.5 <= found[name] / usual <= 1.5, name


def test_the_run_lies_within_half_of_a_free_fall():
    found = shot_of("run").measures
    usual = run_up_m(0.5 * found["stride_s"])
    assert 0.5 <= found["com_vertical_m"] / usual <= 1.5


def test_both_are_said_to_be_good():
    for name, words in (("walk", "2 steps at 92 a minute"), ("run", "2 steps at 144 a minute")):
        shot = shot_of(name)
        assert not shot.findings
        assert any(good.startswith(words) for good in shot.good), shot.good


def test_a_cadence_of_people():
    """Adults walk at 90 to 130 steps a minute (Perry & Burnfield 2010, from memory)."""
    assert 90.0 <= shot_of("walk").measures["cadence_per_min"] <= 130.0


def test_who_crawls_or_rolls_has_no_gait():
    for name in ("crawl", "roll", "getup_faceup", "cartwheel"):
        shot = check_clip(
            to_clip(load_motion(Path(FOLDER), name)), Settings(cycle="no", checks=("sway",))
        )
        assert dict(shot.skipped)["sway"], name
        assert "froude" not in shot.measures
