# SPDX-License-Identifier: GPL-3.0-or-later
"""Kinds of faults, one module a family; `plant` in the folder above gathers them."""

from dataclasses import replace

from analysis import Clip

# Sizes are told at this height, in metres.
STORY_M = 1.7
CAPTURED = ("captured", "captured_24", "captured_30")
KEYED = ("keyed_24", "keyed_30")
MOTION = CAPTURED + KEYED


def without_curves(clip: Clip) -> Clip:
    """The clip without its controls' keys and channels, which do not know of the fault."""
    meta = replace(clip.meta, curves=(), controls=())
    return replace(clip, channels=(), channel_values=None, control_matrices=None, meta=meta)
