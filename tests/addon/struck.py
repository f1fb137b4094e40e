# SPDX-License-Identifier: GPL-3.0-or-later
"""A figure whose arm is struck, for tests of declared events."""

import rigs


def knocked():
    """A biped whose left arm swings at full speed until frame 20, where it stands."""
    rig = rigs.biped()
    arm = rig.pose.bones["upper_arm.L"]
    for frame in (1, 20, 40):
        arm.keyframe_delete("rotation_euler", frame=frame)
    rigs.key(arm, "rotation_euler", [(0, 0, -0.9), (0, 0, 0.9), (0, 0, 0.9)])
    for curve in rigs.fcurves(rig):
        if "upper_arm.L" in curve.data_path:
            for point in curve.keyframe_points:
                point.interpolation = "LINEAR"
    return rig


def stops(session):
    return [line.title for line in session.findings if "hard stop" in line.title]
