# SPDX-License-Identifier: GPL-3.0-or-later
"""The demo scene `topple`: the porter faints on the quay.

`points` and `joints` are the porter as seen from the side; `stand` sways him, `limp` lets him fall,
`motion` puts both together and `controls` keys it on the rig. `asides` adds what the side view does
not show, `faults` turns the polished pass into the first one.
"""

from .faults import PLANTED
from .scene import NAME, animate, build

__all__ = ["NAME", "PLANTED", "animate", "build"]
