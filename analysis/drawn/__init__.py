# SPDX-License-Identifier: GPL-3.0-or-later
"""The numbers behind the layers of the viewport's picture: arrays in scene metres and world axes.

Each layer is a file and a function of an examination, for whoever draws them. Where a clip tells
nothing of a layer (plain objects, rigs without roles, an unknown height), it is empty.
"""

from .footprints import Footprint, footprints
from .free_paths import FreePath, free_paths
from .pushes import Push, pushes
from .ruler import Ruler, ruler_of
from .targets import Target, targets

__all__ = [
    "Footprint",
    "FreePath",
    "Push",
    "Ruler",
    "Target",
    "footprints",
    "free_paths",
    "pushes",
    "ruler_of",
    "targets",
]
