# SPDX-License-Identifier: GPL-3.0-or-later
"""Which joint plays which part: read from the clip, else guessed from names, else from shape."""

from .corrected import (
    TELLABLE,
    corrected_roles,
    doubts_of,
    is_tellable,
    without_other_side,
)
from .guess import Roles, anatomical_parents, guess_roles
from .outline import outline_joints
from .tree import between

__all__ = [
    "TELLABLE",
    "Roles",
    "anatomical_parents",
    "between",
    "corrected_roles",
    "doubts_of",
    "guess_roles",
    "is_tellable",
    "outline_joints",
    "without_other_side",
]
