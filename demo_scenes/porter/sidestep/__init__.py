# SPDX-License-Identifier: GPL-3.0-or-later
"""The demo scene `sidestep`: a crane hook swings by and the porter dodges it.

The poses are tables of plain numbers in `body`, `head`, `arms` and `feet`; `crane` builds the
hook and lets it swing, `faults` turns the polished pass into the first one.
"""

from .faults import PLANTED
from .scene import NAME, animate, build

__all__ = ["NAME", "PLANTED", "animate", "build"]
