# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a click leads before causes are known: to the control that drives what the line names."""

from dataclasses import replace

import bpy
import rigs


def test_a_hand_leads_to_what_swings_it_and_a_prop_to_what_holds_it(ext):
    rig = rigs.biped()
    bones = rig.pose.bones
    for side in ("L", "R"):
        rigs.key(bones[f"hand.{side}"], "rotation_euler", [(0, 0, 0), (0.1, 0, 0), (0, 0, 0)])
    rigs.spike(bones["upper_arm.L"], "rotation_euler", 2, 25, 0.5)
    rigs.boathook(rig)
    bpy.ops.plumbline.check()
    target, scene = ext.addon.ui.go_to_target, bpy.context.scene
    check = ext.addon.ui.last_check.last_check()
    shown = next(each for each in check.examination.shot.findings if each.peak_frame == 25.0)

    def led_to(**finding):
        return target.control_of(scene, check, replace(shown, suggestion=None, **finding)).name

    assert led_to(check="hitch", part="hand.L", body="hand.L") == "upper_arm.L"
    assert led_to(check="pop", part="hand.L", body="hand.L") == "hand.L"
    assert led_to(check="edge_on", part="prop.1", body="prop.1") == "hand.R"
    # A pole that turns the arm, and leaves the hand where it is, does not.
    curves = [
        replace(each, drives=("upper_arm.L", "forearm.L"))
        if each.control == "upper_arm.L"
        else each
        for each in check.examination.basis.clip.meta.curves
    ]
    direct = ext.addon.causes.nearest_key.most_direct
    assert direct(curves, "upper_arm.L") == "upper_arm.L"
    assert direct(curves, "upper_arm.L", also="hand.L") == "hips"
