# SPDX-License-Identifier: GPL-3.0-or-later
"""What the bench holds the checks to: gross regressions only, whatever share of it is run.

RECALL   kind -> share of the faults of promised size (all parts, sets and halves together)
         that the checks were seen to find; a little less than measured
ALARMS   check -> findings in ten seconds on clean motion (all sets and halves together), a
         little more than measured; `all` is every finding of every check
SURPRISE a run fails where so few faults found, or so many findings, would be this unlikely
         if those were the truth: a binomial and a Poisson tail. Everything is seeded, so that
         a run of the same code gives the same verdict each time.
"""

from types import MappingProxyType

SURPRISE = 1e-3

RECALL: MappingProxyType[str, float] = MappingProxyType(
    {
        "double_frame": 0.95,
        "seam_speed": 0.90,
        "seam_gap": 0.92,
        "pop": 0.93,
        "pop_wide": 0.87,
        "hitch_body": 0.96,
        "hitch_limb": 0.90,
        "frozen": 0.96,
        "hard_stop": 0.98,
        "hard_start": 0.97,
        "straight_run": 0.97,
        "off_arc": 0.78,
        "stuck_turn": 0.97,
        "locked_knee": 0.985,
        "knee_pop": 0.97,
        "limb_stretch": 0.98,
        "target_leaves": 0.98,
        "spine_held": 0.96,
        "spine_few": 0.96,
        "spine_static": 0.97,
        "spine_stretch": 0.97,
        "chest_turn": 0.97,
        "stiff_prop": 0.96,
        "prop_clash": 0.96,
        "edge_on": 0.96,
        "stop_together": 0.97,
        "stop_slowed": 0.97,
        "camera_jump": 0.97,
        "slide": 0.80,
        "slide_seam": 0.98,
        "two_grounds": 0.96,
        "hand_slip": 0.96,
        "skate": 0.97,
        "glide": 0.96,
        "sink": 0.97,
        "stomp": 0.97,
        "off_balance": 0.97,
        "topple_slow": 0.90,
        "push": 0.96,
        "impulse": 0.97,
        "air": 0.97,
        "shove_air": 0.93,
        "sway_side": 0.97,
        "sway_up": 0.95,
        "sway_between": 0.97,
        "even_swing": 0.97,
        "even_rock": 0.96,
        "linear_rock": 0.96,
        "even_sway": 0.96,
        "step_travel": 0.96,
        "flight_time": 0.97,
        "flight_hang": 0.97,
        "flight_held": 0.90,
        "flight_travel": 0.96,
    }
)
ALARMS: MappingProxyType[str, float] = MappingProxyType(
    {
        "all": 0.8,
        "double_frame": 0.02,
        "loop_seam": 0.05,
        "pop": 0.6,
        "hitch": 0.05,
        "frozen": 0.03,
        "hard_stop": 0.03,
        "hard_start": 0.03,
        "straight_run": 0.05,
        "off_arc": 0.05,
        "slide": 0.1,
        "sink": 0.03,
        "stomp": 0.05,
        "stuck_turn": 0.05,
        "locked_knee": 0.02,
        "balance": 0.05,
        "sway": 0.02,
        "knee_pop": 0.05,
        "overreach": 0.02,
        "hang_time": 0.03,
        "gravity": 0.03,
        "push": 0.04,
        "carry": 0.05,
        "torso_break": 0.05,
        "stiff_prop": 0.02,
        "prop_clash": 0.03,
        "edge_on": 0.02,
        "stop_together": 0.04,
        "camera_jump": 0.02,
    }
)
