# SPDX-License-Identifier: GPL-3.0-or-later
"""The walker with a body that is steered too: how far it sways and bobs in each stride is known."""

import numpy as np
import walker

SWAY_M, BOB_M = 0.02, 0.015


def swaying(plan, *, side=1.0, up=1.0, about_middle=False, **meta):
    """A walk like `walker.walk` whose sway and bob are scaled by numbers or (T,) factors.

    From side to side it goes .04 m, up and down .03 m; that is scaled downwards from its top, or
    about its middle.
    """
    ways = {foot: walker._foot_way(plan, foot, ()) for foot in ("L", "R")}
    travel = -plan.speed * plan.time
    sway = SWAY_M * side * np.sin(2 * np.pi * plan.phase("L"))
    top = 1.0 if about_middle else up
    bob = BOB_M * (up * np.cos(4 * np.pi * plan.phase("L") - 2.4) - top)
    root = np.stack((sway, travel, 0.815 + bob), axis=-1)
    clip = walker.steer(root, ways, plan.fps, **meta)
    if not plan.in_place:
        return clip
    return walker.moved(clip, np.stack((0 * travel, -travel, 0 * travel), axis=-1))


def in_stride(plan, number, times, *, count=1, ease_s=0.2):
    """(T,) 1 but for `count` strides from the number-th landing of the left foot on, eased."""
    at = plan.phase("L") - number
    away = np.maximum(np.maximum(-at, at - count), 0.0) * plan.stride_s / ease_s
    u = np.clip(1.0 - away, 0.0, 1.0)
    return 1.0 + (times - 1.0) * u**3 * (10.0 - 15.0 * u + 6.0 * u**2)
