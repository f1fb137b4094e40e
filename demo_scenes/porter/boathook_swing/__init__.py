# SPDX-License-Identifier: GPL-3.0-or-later
"""The demo scene `boathook_swing`: the porter swings the boathook down before him, one-handed.

The poses are tables of plain numbers in `body` and `arms`; `faults` turns the polished pass into
the first one.
"""

from .faults import PLANTED
from .scene import NAME, animate, build

__all__ = ["NAME", "PLANTED", "animate", "build"]
