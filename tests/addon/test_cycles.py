# SPDX-License-Identifier: GPL-3.0-or-later
"""Whether the curves say that the range plays as a loop."""

import bpy
import pytest
import rigs


@pytest.fixture
def curves_of(ext):
    return ext.addon.sampling.read_curves


@pytest.fixture
def plays_as_cycle(ext):
    def at_24_fps(rig, first, last):
        return ext.addon.sampling.cycles.plays_as_cycle(rig, first, last, fps=24.0)

    return at_24_fps


def make_cyclic(rig, mode="REPEAT"):
    for curve in rigs.fcurves(rig):
        made = curve.modifiers.new("CYCLES")
        made.mode_before = made.mode_after = mode


def test_cycles_modifiers_and_the_action_s_own_flag(ext, curves_of, plays_as_cycle):
    rig = rigs.biped()
    assert plays_as_cycle(rig, 1, 40) is None
    make_cyclic(rig)
    curves = curves_of(rig)
    assert all(curve.cyclic for curve in curves)
    # Keys on 1 and 40 make a round of 39 frames; a 40th frame is the repeated one.
    assert plays_as_cycle(rig, 1, 39) is True
    assert plays_as_cycle(rig, 1, 40) is True
    assert plays_as_cycle(rig, 1, 78) is True
    assert plays_as_cycle(rig, 1, 45) is True  # six frames too many: a quarter second
    assert plays_as_cycle(rig, 1, 46) is None
    assert plays_as_cycle(rig, 1, 60) is None
    action = rig.animation_data.action
    action.use_frame_range, action.use_cyclic = True, True
    action.frame_start, action.frame_end = 1, 21
    assert plays_as_cycle(rig, 1, 20) is True
    assert plays_as_cycle(rig, 1, 30) is None


def test_the_clip_carries_curves_and_the_cycle(ext):
    rig = rigs.biped()
    make_cyclic(rig)
    rigs.set_range(1, 39)
    (clip,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    assert clip.meta.cycle is True
    assert all(curve.cyclic for curve in clip.meta.curves)
    again = type(clip.meta).from_json(clip.meta.to_json())
    assert again.curves == clip.meta.curves


def test_a_mirrored_curve_plays_forth_and_back(plays_as_cycle, curves_of):
    rig = rigs.biped()
    make_cyclic(rig, "MIRROR")
    for curve in rigs.fcurves(rig):
        curve.keyframe_points[-1].co.y += 0.3  # forth it does not come home
    assert all(curve.cyclic for curve in curves_of(rig))
    assert plays_as_cycle(rig, 1, 39) is None
    assert plays_as_cycle(rig, 1, 78) is True


def test_muted_curves_do_not_say_that_it_loops(plays_as_cycle):
    rig = rigs.biped()
    make_cyclic(rig)
    for curve in rigs.fcurves(rig):
        curve.mute = True
    assert plays_as_cycle(rig, 1, 39) is None


def test_a_round_in_remapped_time(ext):
    rig, scene = rigs.biped(), bpy.context.scene
    make_cyclic(rig)
    scene.render.frame_map_old, scene.render.frame_map_new = 100, 200
    for last, cycle in ((39, None), (78, True)):
        (clip,) = ext.addon.sampling.sample(scene, [rig], first=1, last=last)
        assert clip.meta.cycle is cycle


def test_keys_after_the_range_that_repeat_the_first_make_a_loop(plays_as_cycle):
    rig = rigs.biped()  # keyed on 1, 20 and 40; only the hips' travel does not come home
    assert plays_as_cycle(rig, 1, 39) is True
    for last in (38, 40, 20):
        assert plays_as_cycle(rig, 1, last) is None
    assert plays_as_cycle(rig, 2, 39) is None


def test_one_arm_that_does_not_come_home_keeps_it_a_loop_and_half_of_all_do_not(plays_as_cycle):
    rig = rigs.biped()
    curves = [
        curve for curve in rigs.fcurves(rig) if len({k.co.y for k in curve.keyframe_points}) > 1
    ]
    for count, curve in enumerate(curves, start=1):
        curve.keyframe_points[-1].co.y += 0.3
        assert plays_as_cycle(rig, 1, 39) is (True if 4 * count <= len(curves) - 4 else None)
