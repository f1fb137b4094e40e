# SPDX-License-Identifier: GPL-3.0-or-later
"""Curves played and edited as Blender does it, from the keys that a clip carries.

Every edit gives a new curve; nothing here knows a rig or a file.
"""

from .edits import (
    eased_to,
    recomputed,
    smoothed,
    with_frame,
    with_interpolation,
    with_value,
    without_key,
)
from .play import slopes_at_key, values_at
from .times import to_action, to_scene, weights_at

__all__ = [
    "eased_to",
    "recomputed",
    "slopes_at_key",
    "smoothed",
    "to_action",
    "to_scene",
    "values_at",
    "weights_at",
    "with_frame",
    "with_interpolation",
    "with_value",
    "without_key",
]
