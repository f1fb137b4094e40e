# SPDX-License-Identifier: GPL-3.0-or-later
"""A rig or a control that is scaled to nothing gives answers or a sentence."""

import bpy
import pytest
import rigs
from drawn import fresh_session


def parent_of(rig):
    parent = bpy.data.objects.new("cart", None)
    bpy.context.scene.collection.objects.link(parent)
    rig.parent = parent
    return parent


@pytest.mark.parametrize(
    ("name", "frames", "told"),
    [
        ("rig", "all", "porter is scaled to nothing in frames 1 to 40, expected a size"),
        ("parent", "all", "porter is scaled to nothing in frames 1 to 40, expected a size"),
        ("hips", "all", "porter, frames 1 to 40: "),
        ("rig", "some", "porter, frames 1 to 40: "),
        ("hips", "some", "porter, frames 1 to 40: "),
    ],
)
def test_what_is_scaled_to_nothing_is_checked_or_told(ext, name, frames, told):
    rig, session = rigs.biped(), fresh_session(ext)
    # A turn that hangs on another one: such controls are tried, not reckoned.
    turn = rig.pose.bones["shin.R"].constraints.new("COPY_ROTATION")
    turn.target, turn.subtarget, turn.influence = rig, "hips", 0.2
    rigs.key(rig.pose.bones["hips"], "rotation_euler", [(0, 0, 0), (0.1, 0, 0), (0, 0, 0)])
    thing = {"rig": rig, "parent": None}.get(name, rig.pose.bones.get(name)) or parent_of(rig)
    rigs.key(thing, "scale", [(0, 0, 0)], (1,))
    if frames == "some":
        rigs.key(thing, "scale", [(0, 0, 0), (1, 1, 1)], (25, 26))
    bpy.context.scene.frame_set(20)
    if told.endswith("size"):
        with pytest.raises(RuntimeError, match=told):
            bpy.ops.plumbline.check()
    else:
        bpy.ops.plumbline.check()
    assert (session.headline or session.problem).startswith(told)
