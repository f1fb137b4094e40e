# SPDX-License-Identifier: GPL-3.0-or-later
"""The demo scene `run`: the porter runs along the quay; readable tables, one small file each."""

from .faults import PLANTED
from .motion import animate
from .scene import NAME, build

__all__ = ["NAME", "PLANTED", "animate", "build"]
