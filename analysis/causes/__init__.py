# SPDX-License-Identifier: GPL-3.0-or-later
"""Causes: which control's which key made a finding, how much of it, and what goes with it.

`plan_trials` asks what would be without the likeliest keys' faults, whoever has the rig answers,
`outcome_of` checks each answer again and `weigh` tells the causes; `ask`, `asked_outcome` and
`weigh_asked` do so for a part and frames that the user points at. Data only: nothing here knows
Blender.
"""

from .again import Outcome, outcome_of
from .asking import Plan, plan_trials, planning
from .question import ask, asked_outcome, followed_body, weigh_asked
from .rank import find_causes, weigh

__all__ = [
    "Outcome",
    "Plan",
    "ask",
    "asked_outcome",
    "find_causes",
    "followed_body",
    "outcome_of",
    "plan_trials",
    "planning",
    "weigh",
    "weigh_asked",
]
