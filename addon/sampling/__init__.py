# SPDX-License-Identifier: GPL-3.0-or-later
"""The one place that steps frames and reads evaluated rigs; everything else gets arrays."""

from .curves import read_curves
from .sampler import sample, sample_each
from .scene_facts import animated_rigs, frame_range, scene_rigs

__all__ = ["animated_rigs", "frame_range", "read_curves", "sample", "sample_each", "scene_rigs"]
