# SPDX-License-Identifier: GPL-3.0-or-later
"""Blender's bundled Rigify human, with captured motion keyed on its controls as by hand.

build     generate the rig and hang a mannequin on it
retarget  where the rig's pelvis, feet, arms and head have to be, from a captured motion
matching  the controls' channels on every frame that bring it there
poses     the frames that an animator would key
keying    the whole of it: `key_motion`
faults    plant a fault on one control and one frame
"""
