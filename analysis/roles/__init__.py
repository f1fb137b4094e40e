# SPDX-License-Identifier: GPL-3.0-or-later
"""Which joint plays which part: read from the clip, else guessed from names, else from shape."""

from .guess import Roles, anatomical_parents, guess_roles
from .outline import outline_joints
from .tree import between

__all__ = ["Roles", "anatomical_parents", "between", "guess_roles", "outline_joints"]
