# SPDX-License-Identifier: GPL-3.0-or-later
"""Where flights land that nothing pushes: a captured jump, and bodies that MuJoCo throws.

The first half in the air foretells the landing to 3 cm, and what the feet give a captured or a
simulated hop is what it flies with.
"""

import os
from pathlib import Path

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from analysis import Settings, check_clip
from demo_scenes.captured import load_motion, resample
from demo_scenes.captured.clip import to_clip
from tests.quality.work import cases_of

ASKED = Settings(cycle="no", checks=("carry",))
FOLDER = Path(os.environ["PLUMBLINE_CAPTURED"])


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_the_captured_jump_lands_where_it_is_carried(fps):
    motion = load_motion(FOLDER, "jump")
    shot = check_clip(to_clip(motion if fps == motion.fps else resample(motion, fps)), ASKED)
    assert shot.measures["air_drift_m"] < 0.03
    assert not shot.findings


@pytest.mark.skipif("PLUMBLINE_SIMULATED" not in os.environ, reason="run the test runner")
@pytest.mark.parametrize("fps", [24, pytest.param(30, marks=pytest.mark.corpus)])
@pytest.mark.parametrize("source", ["hops", "throws"])
def test_simulated_flights_land_where_they_are_carried(fps, source):
    shots = [
        check_clip(case.clip, ASKED)
        for case in cases_of(f"simulated_{fps}")
        if case.source == source
    ]
    drifts = [s.measures["air_drift_m"] for s in shots if "air_drift_m" in s.measures]
    assert len(drifts) > 40
    assert np.median(drifts) < 0.03
    assert sum(len(shot.findings) for shot in shots) <= 0.06 * len(shots)
