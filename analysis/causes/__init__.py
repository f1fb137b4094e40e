# SPDX-License-Identifier: GPL-3.0-or-later
"""Causes: which control's which key made a finding, how much of it, and what goes with it.

`plan_trials` asks what would be without the likeliest keys' faults, whoever has the rig answers,
and `find_causes` weighs the answers. Data only: nothing here knows Blender.
"""

from .asking import Plan, plan_trials
from .rank import find_causes

__all__ = ["Plan", "find_causes", "plan_trials"]
