# SPDX-License-Identifier: GPL-3.0-or-later
"""From a fault to its key and out of it: what is pressed takes the finding away."""

import bpy
import pytest
import rigs
from drawn import fresh_session


def popping(kind):
    """A biped whose head pops at frame 25, keyed in its own action or in a late, slow strip."""
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    if kind == "strip":
        rigs.push_to_strip(rig, scale=1.5, start=5)
        rigs.set_range(5, 62)
    bpy.context.scene.frame_set(3)
    bpy.context.view_layer.update()
    return rig


@pytest.mark.parametrize("kind", ["active", "strip"])
def test_the_finding_goes_with_the_mend_of_its_first_cause(ext, kind):
    session = fresh_session(ext)
    popping(kind)
    bpy.ops.plumbline.check()
    before = [line.title for line in session.findings]
    assert "Head: pop" in before
    session.active = before.index("Head: pop")
    bpy.ops.plumbline.find_causes()
    first = ext.addon.ui.causes_session.chosen_finding(bpy.context).causes[0]
    assert (first.control, first.channel, first.action_frame) == ("head", "rotation_euler", 25.0)
    assert first.frame == (25.0 if kind == "active" else pytest.approx(41.0))
    mend = ext.addon.ui.mend_operators.OF_MEND[first.mend].bl_idname.partition(".")[2]
    assert getattr(bpy.ops.plumbline, mend)() == {"FINISHED"}
    bpy.context.view_layer.update()
    bpy.ops.plumbline.check()
    assert "Head: pop" not in [line.title for line in session.findings]
    assert len(session.findings) < len(before)
