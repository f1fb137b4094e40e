# SPDX-License-Identifier: GPL-3.0-or-later
"""A cycle that travels and the same cycle in place: the same answers about its feet."""

import bpy
import pytest
from stepped import built

from analysis import Settings, check_clip
from demo_scenes.porter import brisk_walk, run
from demo_scenes.porter.key_edits import curves_of

# Metres a second, as the scenes' timing has them.
SPEEDS = {"run": 3.4, "brisk_walk": 1.65}
# Steps a minute: strides of 24 frames, and of 16, at 24 frames a second.
CADENCES = {"run": 180.0, "brisk_walk": 120.0}


def check(sampling, scene, *, polished, in_place):
    rig = built(scene, polished=polished)
    if in_place:
        for curve in curves_of(rig, "mover"):
            for modifier in list(curve.modifiers):
                curve.modifiers.remove(modifier)
            for key in curve.keyframe_points:
                key.co.y = key.handle_left.y = key.handle_right.y = 0.0
            curve.update()
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    return check_clip(clip, Settings(checks=("slide", "hang_time", "gravity")))


@pytest.mark.parametrize("scene", [run, brisk_walk])
@pytest.mark.parametrize("polished", [False, True])
def test_in_place_and_travelling_say_the_same(ext, scene, polished):
    travels, stays = (
        check(ext.addon.sampling, scene, polished=polished, in_place=at) for at in (False, True)
    )
    assert travels.measures["ground_speed_m_s"] == 0.0
    speed = SPEEDS[scene.NAME]
    assert stays.measures["ground_speed_m_s"] == pytest.approx(speed, rel=1e-3)
    one, other = (
        [(f.check, f.part, f.frames, f.severity, round(f.amount, 1)) for f in shot.findings]
        for shot in (travels, stays)
    )
    assert one == other
    assert bool(one) == (scene is run and not polished)
    assert travels.measures["plants"] == stays.measures["plants"] > 0
    for name in ("stride_m", "step_width_m", "root_lateral_m", "com_vertical_m", "froude"):
        assert stays.measures[name] == pytest.approx(travels.measures[name], rel=0.02), name
    for shot in (travels, stays):
        found = shot.measures
        assert found["gait_speed_m_s"] == pytest.approx(speed, rel=0.01)
        assert found["cadence_per_min"] == pytest.approx(CADENCES[scene.NAME], rel=0.01)
        assert found["run_share"] == float(scene is run)
        assert (found["froude"] > 0.5) == (scene is run)
