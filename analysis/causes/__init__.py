# SPDX-License-Identifier: GPL-3.0-or-later
"""Causes: which control's which key made a finding, how much of it, and what goes with it.

`asking.plan_trials` asks what would be without the likeliest keys' faults, whoever has the rig
answers, `again.outcome_of` checks each answer again and `rank.weigh` tells the causes. Data only:
nothing here knows Blender. Nothing is imported here, because checks read keys by `groups`,
`pose_keys` and `effect`, and the rest needs the checks.
"""
