# SPDX-License-Identifier: GPL-3.0-or-later
"""What the project aims at: the printout marks what falls short of it with `<`.

From which size a fault must be found stands with its kind, in `faults`. Here are the share of
those that must be found, and the findings in ten seconds of clean motion that are allowed.
"""

from types import MappingProxyType

RECALL = 0.95
# Of all checks together, in every clean set.
ALL_PER_10_S, MAJOR_PER_10_S = 2.0, 0.3
# Of one check, over all clean sets together.
PER_10_S: MappingProxyType[str, float] = MappingProxyType(
    {
        "pop": 0.3,
        "hitch": 0.2,
        "hard_stop": 0.05,
        "hard_start": 0.05,
        "straight_run": 0.1,
        "off_arc": 0.2,
        "stuck_turn": 0.1,
        "slide": 0.3,
        "sink": 0.1,
        "stomp": 0.1,
        "locked_knee": 0.1,
        "balance": 0.1,
        "sway": 0.1,
        "knee_pop": 0.1,
        "overreach": 0.1,
        "hang_time": 0.1,
        "gravity": 0.1,
        "push": 0.1,
        "carry": 0.1,
        "torso_break": 0.1,
        "stiff_prop": 0.1,
        "prop_clash": 0.1,
        "edge_on": 0.1,
        "stop_together": 0.1,
        "camera_jump": 0.0,
    }
)
# Of clean cycles, the share that may have a finding.
OF_CYCLES: MappingProxyType[str, float] = MappingProxyType({"double_frame": 0.0, "loop_seam": 0.03})
