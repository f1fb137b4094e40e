# SPDX-License-Identifier: GPL-3.0-or-later
"""A mend makes of the keys what the trial that showed it made of them."""

import bpy
import numpy as np
import pytest
import rigs
from drawn import fresh_session

from analysis.causes.candidates import Candidate
from analysis.causes.groups import groups_of
from analysis.causes.places import Place
from analysis.causes.repairs import SPREAD, VALUE, Repair, retime, structural, with_values
from analysis.causes.words import cause_of
from analysis.keys import values_at

SWITCH = '["IK_FK"]'
# Values of the switch on frames 1, 12, 13 and 40, and how it goes on from each.
SWITCHES = {
    "in one frame": ((0.0, 0.0, 1.0, 1.0), ("BEZIER",) * 4),
    "stepped": ((0.0, 0.0, 1.0, 1.0), ("BEZIER", "CONSTANT", "CONSTANT", "BEZIER")),
    "off before": ((1.0, 0.0, 1.0, 1.0), ("CONSTANT", "CONSTANT", "LINEAR", "BEZIER")),
}


def checked(ext, kind="BEZIER", switch="in one frame", strip=False):
    """A biped with a key of any handles on its head and a switch on its hand, as it is checked."""
    fresh_session(ext)
    rig = rigs.biped()
    values, kinds = SWITCHES[switch]
    bone = rig.pose.bones["hand.L"]
    for frame, value in zip((1, 12, 13, 40), values, strict=True):
        bone["IK_FK"] = value
        bone.keyframe_insert(SWITCH, frame=frame)
    for curve in rigs.fcurves(rig):
        keys = curve.keyframe_points
        if curve.data_path.endswith(SWITCH):
            for key, each in zip(keys, kinds, strict=True):
                key.interpolation = each
                key.handle_left_type = key.handle_right_type = "FREE"
        elif "head" in curve.data_path:
            keys[1].interpolation = kind
            keys[1].handle_left_type, keys[1].handle_right_type = "FREE", "ALIGNED"
            keys[1].handle_right = (27.0, keys[1].co.y + 0.3)
        curve.update()
    if strip:
        rigs.push_to_strip(rig, scale=1.5, start=5)
        rigs.set_range(5, 60)
    bpy.ops.plumbline.check()
    return rig, ext.addon.ui.last_check.last_check().examination


def group_of(examination, control, name):
    groups = groups_of(examination.basis.clip)
    (found,) = [each for each in groups if (each.control, each.name) == (control, name)]
    return found


def assert_mended_as_tried(ext, rig, examination, repair):
    basis = examination.basis
    change = repair.group.change(repair.mended, basis.frames)
    assert np.abs(change).max() > 1e-3
    candidate = Candidate(repair, 1.0, 1.0, np.arange(len(change)), change)
    cause = cause_of(basis, Place(None, None, 10, 10), candidate, 0.9)
    mends = ext.addon.causes.mends
    assert mends.why_not(rig, cause) == ""
    assert mends.apply(rig, cause)
    again = {c.data_path + str(c.index): c for c in ext.addon.sampling.read_curves(rig)}
    for curve in repair.mended.curves:
        played = values_at(again[curve.data_path + str(curve.index)], basis.frames)
        np.testing.assert_allclose(played, values_at(curve, basis.frames), atol=1e-4)


@pytest.mark.parametrize("strip", [False, True])
@pytest.mark.parametrize("kind", ["BEZIER", "LINEAR", "CONSTANT"])
@pytest.mark.parametrize("mend", ["smooth", "move", "retime"])
def test_a_key_of_a_turn(ext, mend, kind, strip):
    rig, examination = checked(ext, kind, strip=strip)
    group = group_of(examination, "head", "rotation_euler")
    frame = group.frames[1]
    if mend == "smooth":
        (repair,) = structural(group, frame, 24.0)
    elif mend == "retime":
        repair = retime(group, frame, frame + 3.0)
    else:
        repair = Repair(VALUE, group, with_values(group, frame, np.array([0.3, 0.1, 0.2])), frame)
    assert_mended_as_tried(ext, rig, examination, repair)


@pytest.mark.parametrize("switch", SWITCHES)
def test_a_switch_that_goes_at_once(ext, switch):
    rig, examination = checked(ext, switch=switch)
    (repair,) = structural(group_of(examination, "hand.L", SWITCH), 13.0, 24.0)
    assert repair.kind == SPREAD
    assert_mended_as_tried(ext, rig, examination, repair)
    (curve,) = repair.mended.curves
    (old,) = repair.group.curves
    before = np.arange(1.0, 12.0, 0.5)  # until it goes it stays as it was
    np.testing.assert_array_equal(values_at(curve, before), values_at(old, before))
