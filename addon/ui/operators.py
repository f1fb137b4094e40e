# SPDX-License-Identifier: GPL-3.0-or-later
"""What operators share: how they refuse, and which rig is meant."""

import bpy

from ...analysis.words import sentence_start
from ..sampling.pick import pick_rigs
from ..sampling.scene_facts import moving_objects, scene_rigs
from ..sampling.supports import NO_GROUND


def refuse(operator: bpy.types.Operator, sentence: str) -> set[str]:
    """Say why nothing was done."""
    operator.report({"ERROR"}, sentence_start(sentence))
    return {"CANCELLED"}


def chosen_rig(context: bpy.types.Context, name: str) -> bpy.types.Object:
    """The named rig; else the active one where it is animated; else the first that is."""
    rigs = pick_rigs(context.scene, [name] if name else None)
    return context.object if not name and context.object in rigs else rigs[0]


def chosen_subject(context: bpy.types.Context, name: str) -> bpy.types.Object:
    """What to check: a plain object where it is active and moves by itself, else the rig.

    In a scene without rigs, the first object that moves by itself.
    """
    if not name:
        objects = [item for item in moving_objects(context.scene) if item.type not in NO_GROUND]
        if context.object in objects:
            return context.object
        if objects and not scene_rigs(context.scene):
            return objects[0]
    return chosen_rig(context, name)
