# SPDX-License-Identifier: GPL-3.0-or-later
"""The ball's path becomes the control's motion again."""

from .hand import hand_back
from .handed import Handed

__all__ = ["Handed", "hand_back"]
