# SPDX-License-Identifier: GPL-3.0-or-later
"""The demo scene `stop_short`: the porter walks briskly in and stops at the edge of the quay.

The first steps are the brisk walk's own tables (`walk_in`); from where a table here begins, it
takes over. The poses are plain numbers in `body`, `arms` and `feet`.
"""

from .faults import PLANTED
from .scene import NAME, animate, build

__all__ = ["NAME", "PLANTED", "animate", "build"]
