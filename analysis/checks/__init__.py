# SPDX-License-Identifier: GPL-3.0-or-later
"""The checks: one question a file, one contract, listed here and nowhere else.

A check module has `INFO` (what it asks, unit, limit, source) and `find(basis, cycle)`,
which returns Evidence. It reads the basis only, and never another check.
"""

from . import (
    balance,
    camera_jump,
    carry,
    double_frame,
    edge_on,
    frozen,
    gravity,
    hang_time,
    hard_start,
    hard_stop,
    hitch,
    knee_pop,
    locked_knee,
    loop_seam,
    off_arc,
    overreach,
    pop,
    prop_clash,
    push,
    sink,
    slide,
    stiff_prop,
    stomp,
    stop_together,
    straight_run,
    stuck_turn,
    sway,
    torso_break,
)
from .contract import Check, CheckInfo

REGISTRY: tuple[Check, ...] = (
    Check(double_frame.INFO, double_frame.find),
    Check(loop_seam.INFO, loop_seam.find),
    Check(pop.INFO, pop.find),
    Check(hitch.INFO, hitch.find),
    Check(frozen.INFO, frozen.find),
    Check(hard_stop.INFO, hard_stop.find),
    Check(hard_start.INFO, hard_start.find),
    Check(straight_run.INFO, straight_run.find),
    Check(off_arc.INFO, off_arc.find, off_arc.find_in_steps),
    Check(slide.INFO, slide.find),
    Check(sink.INFO, sink.find),
    Check(stomp.INFO, stomp.find),
    Check(locked_knee.INFO, locked_knee.find),
    Check(knee_pop.INFO, knee_pop.find),
    Check(overreach.INFO, overreach.find),
    Check(hang_time.INFO, hang_time.find),
    Check(gravity.INFO, gravity.find),
    Check(push.INFO, push.find),
    Check(carry.INFO, carry.find),
    Check(balance.INFO, balance.find),
    Check(sway.INFO, sway.find),
    Check(torso_break.INFO, torso_break.find),
    Check(stuck_turn.INFO, stuck_turn.find),
    Check(stop_together.INFO, stop_together.find),
    Check(stiff_prop.INFO, stiff_prop.find),
    Check(prop_clash.INFO, prop_clash.find),
    Check(edge_on.INFO, edge_on.find),
    Check(camera_jump.INFO, camera_jump.find),
)

__all__ = ["REGISTRY", "Check", "CheckInfo"]
