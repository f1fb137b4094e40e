# SPDX-License-Identifier: GPL-3.0-or-later
"""Kinds of faults, one module a family; `plant` in the folder above gathers them."""

# Sizes are told at this height, in metres.
STORY_M = 1.7
CAPTURED = ("captured", "captured_24", "captured_30")
KEYED = ("keyed_24", "keyed_30")
MOTION = CAPTURED + KEYED
# Where a curve alone is wanted.
FEW = ("captured", "keyed_24")
