# SPDX-License-Identifier: GPL-3.0-or-later
"""Causes: which control's which key made a finding, how much of it, and what goes with it.

`plan_trials` asks what would be without the likeliest keys' faults, whoever has the rig answers,
`outcome_of` checks each answer again and `weigh` tells the causes. Data only: nothing here knows
Blender.
"""

from .again import Outcome, outcome_of
from .asking import Plan, plan_trials, planning
from .rank import find_causes, weigh

__all__ = ["Outcome", "Plan", "find_causes", "outcome_of", "plan_trials", "planning", "weigh"]
