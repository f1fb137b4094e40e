# SPDX-License-Identifier: GPL-3.0-or-later
"""Captured human motion for development and tests: read, resampled, as a clip, on an armature.

The data is not stored here: every function takes the pybullet_data folder of PyPI pybullet
3.2.7, which the environment variable PLUMBLINE_CAPTURED names where it was fetched.
Importing this package needs numpy alone; `clip` needs analysis, `armature` needs Blender.
"""

from .motions import NAMES, CapturedMotion, load_all, load_motion
from .resample import resample

__all__ = ["NAMES", "CapturedMotion", "load_all", "load_motion", "resample"]
