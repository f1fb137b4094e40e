# SPDX-License-Identifier: GPL-3.0-or-later
"""Properties and influences that go at once."""

from ..curves import Curve

# Values that differ by less are level.
LEVEL = 1e-7
# What goes this share of all its way within so many frames does so at once.
AT_ONCE, AT_ONCE_FRAMES = 0.5, 2.0


def is_switched(curve: Curve, n: int) -> bool:
    """Whether a channel has gone half of all its way at key n, or more, within two frames."""
    if n == 0:
        return False
    way = AT_ONCE * (max(curve.values) - min(curve.values))
    at_once = is_held(curve, n) or curve.frames[n] - curve.frames[n - 1] <= AT_ONCE_FRAMES
    return at_once and abs(curve.values[n] - curve.values[n - 1]) >= max(way, LEVEL)


def is_held(curve: Curve, n: int) -> bool:
    """Whether a channel keeps its value up to key n: a stepped key, or a switch."""
    return curve.interpolation[n - 1] == "CONSTANT" or curve.steps != ""
