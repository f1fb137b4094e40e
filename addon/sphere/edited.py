# SPDX-License-Identifier: GPL-3.0-or-later
"""Whether a ball's keys were edited since they were baked or handed back; then they are kept."""

from typing import Any

import bpy
import numpy as np

from ..sampling.curves import action_fcurves
from .facts import AS_BAKED, kept_path
from .ours import SPHERE_OF

# Values that are farther apart were edited, for each unit of their size beyond one.
_SAME = 1e-6


def note_keys(sphere: bpy.types.Object) -> None:
    """Keep what a ball's keys are now: a bake or a hand back knows them."""
    action = _own_action(sphere)
    if action is not None:
        names, span, values = _as_it_is(sphere, action)
        action[AS_BAKED] = {"curves": names, "span": span, "values": values}


def set_aside_edited(sphere: bpy.types.Object) -> str:
    """Make the action of a ball whose keys were edited the user's own, so that a bake does not
    delete it; returns its name, or empty where nothing was edited."""
    action = _own_action(sphere)
    if action is None or not _is_edited(sphere, action):
        return ""
    for name in (SPHERE_OF, AS_BAKED):
        action.pop(name, None)
    action.use_fake_user = True
    if action.name.startswith(sphere.name):  # the name is for the keys that come
        action.name = f"{sphere.name} edited"
    return str(action.name)


def _own_action(sphere: bpy.types.Object) -> Any:
    data: Any = sphere.animation_data
    action = None if data is None else data.action
    return action if action is not None and SPHERE_OF in action and not action.library else None


def _is_edited(sphere: bpy.types.Object, action: Any) -> bool:
    told = action.get(AS_BAKED)
    if told is None:  # of a file from before that was told
        return kept_path(sphere) is not None
    known, (names, span, values) = told.to_dict(), _as_it_is(sphere, action)
    if known["curves"] != names or not np.allclose(known["span"], span, rtol=0.0, atol=1e-3):
        return True
    return not np.allclose(known["values"], values, rtol=_SAME, atol=_SAME)


def _as_it_is(sphere: bpy.types.Object, action: Any) -> tuple[str, list[float], list[float]]:
    """The curves' names, the first and the last frame with a key, and values on whole frames."""
    slot = getattr(sphere.animation_data, "action_slot", None)
    curves = sorted(action_fcurves(action, slot), key=lambda c: (c.data_path, c.array_index))
    names = [f"{c.data_path} {c.array_index} {'muted' if c.mute else 'plays'}" for c in curves]
    keyed = [point.co.x for curve in curves for point in curve.keyframe_points]
    span = [min(keyed), max(keyed)] if keyed else [0.0, 0.0]
    times = np.arange(np.floor(span[0]), np.ceil(span[1]) + 1.0)
    return ", ".join(names), span, [c.evaluate(time) for c in curves for time in times.tolist()]
