# SPDX-License-Identifier: GPL-3.0-or-later
"""The porter of the demo scenes: a rig, a mannequin, a boathook and a quay, all built by code.

`brisk_walk.build` makes a whole scene. Each part stands alone as well: `armature.build_rig`,
`body.add_body`, `boathook.add_boathook`, `quay.add_quay`. The poses are tables of plain
numbers in `walk_poses` and `walk_feet`, meant to be read and edited.
"""
