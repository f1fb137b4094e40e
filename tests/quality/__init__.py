# SPDX-License-Identifier: GPL-3.0-or-later
"""How good the checks are: clean sets, planted faults, and what is found of them.

`case` and `figure` are the ground; `sets` gathers the clean sets. Numpy alone: no Blender.
"""
