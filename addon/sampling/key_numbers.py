# SPDX-License-Identifier: GPL-3.0-or-later
"""The keys that a scene plays, as numbers: the same later on means that nobody changed them.

What is selected, open or shown in an editor is left out, as it moves nothing. Data blocks are known
by the number that each has in a session, which an undo gives back along with the block.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ..sphere.ours import is_ours

# What Blender keeps of a key, as foreach_get gives it, with how many values each.
_PLACES = (("co", 2), ("handle_left", 2), ("handle_right", 2))
_CODES = ("interpolation", "easing", "handle_left_type", "handle_right_type", "type")
# What a key carries besides for interpolations that are eased by name, which have later codes.
_EASED, _BEZIER = ("back", "amplitude", "period"), 2
_FACES = frozenset(("active", "show_expanded", "name"))
# (action's number, slot) of each.
Played = tuple[tuple[int, int], ...]
# No action has this number: there is none.
GONE = -1


@dataclass(frozen=True, eq=False)
class Keys:
    """actions  by the number of each action that plays, a number that tells of its keys
    players  by the number of each block that plays some, what `played_by` it
    """

    actions: Mapping[int, int]
    players: Mapping[int, Played]

    def changed(self, touched: Iterable[int]) -> bool:
        """Whether any of these actions, told by their numbers, has other keys by now."""
        touched = set(touched)
        now = numbers_of(touched)
        return any(self.actions.get(each, GONE) != now.get(each, GONE) for each in touched)


def keys_in(scene: bpy.types.Scene) -> Keys:
    """The keys that play in a scene, those of what no object of it carries included."""
    players = players_in(scene)
    wanted = {number for played in players.values() for number, _slot in played}
    for layer in scene.view_layers:
        graph: Any = layer.depsgraph  # none where no window has shown it
        for each in graph.ids if graph is not None else ():
            if isinstance(each, bpy.types.Action):
                wanted.add(each.original.session_uid)
    return Keys(numbers_of(wanted), players)


def numbers_of(wanted: Iterable[int]) -> dict[int, int]:
    """By the numbers of actions, what tells of their keys; those that are gone are left out."""
    wanted = set(wanted)
    return {
        each.session_uid: number_of(each)
        for each in bpy.data.actions
        if each.session_uid in wanted and not is_ours(each)
    }


def players_in(scene: bpy.types.Scene) -> dict[int, Played]:
    """By the number of each block of a scene that plays actions, which it plays."""
    told = {block.session_uid: played_by(block) for block in _blocks(scene)}
    return {number: played for number, played in told.items() if played}


def played_by(block: Any) -> Played:
    """The actions that a block plays, by itself and in strips; none for what is ours."""
    data = block.animation_data
    if data is None or is_ours(block):
        return ()
    strips = (strip for track in data.nla_tracks for strip in _all_strips(track.strips))
    return tuple(_played(each) for each in (data, *strips) if each.action is not None)


def _blocks(scene: bpy.types.Scene) -> Iterator[Any]:
    """The blocks of a scene that can be animated and tell of poses."""
    yield scene
    seen: set[int] = set()
    for item in scene.objects:
        shape = getattr(item.data, "shape_keys", None)
        for block in (item, item.data, shape):
            if hasattr(block, "animation_data") and block.session_uid not in seen:
                seen.add(block.session_uid)
                yield block


def _all_strips(strips: Any) -> Iterator[Any]:
    for strip in strips:
        yield strip
        yield from _all_strips(strip.strips)


def _played(player: Any) -> tuple[int, int]:
    slot = getattr(player, "action_slot", None)
    return player.action.session_uid, 0 if slot is None else slot.handle


def number_of(action: Any) -> int:
    """A number that tells of an action's keys, in whichever order its curves stand."""
    told = (action.use_cyclic, action.use_frame_range, action.frame_start, action.frame_end)
    curves = sum(_number_of_curve(slot, fcurve) for slot, fcurve in _fcurves(action))
    return hash((told, curves))


def _fcurves(action: Any) -> Iterator[tuple[int, Any]]:
    """All curves of an action with the number of their slot; before 4.4 there are none."""
    if not hasattr(action, "layers"):
        yield from ((0, fcurve) for fcurve in action.fcurves)
        return
    for layer in action.layers:
        for strip in layer.strips:
            for bag in getattr(strip, "channelbags", ()):
                yield from ((bag.slot_handle, fcurve) for fcurve in bag.fcurves)


def _number_of_curve(slot: int, fcurve: Any) -> int:
    group = fcurve.group
    return hash(
        (
            slot,
            fcurve.data_path,
            fcurve.array_index,
            fcurve.mute or (group is not None and group.mute),
            fcurve.extrapolation,
            fcurve.auto_smoothing,
            *_keys_of(fcurve.keyframe_points),
            *(_settings(each) for each in fcurve.modifiers),
            _values(fcurve.sampled_points, "co", 2, np.float32),
        )
    )


def _keys_of(keys: Any) -> list[bytes]:
    if not len(keys):
        return []
    found = [_values(keys, name, width, np.float32) for name, width in _PLACES]
    found += [_values(keys, name, 1, np.int32) for name in _CODES]
    if np.frombuffer(found[len(_PLACES)], dtype=np.int32).max() > _BEZIER:
        found += [_values(keys, name, 1, np.float32) for name in _EASED]
    return found


def _values(points: Any, name: str, width: int, kind: Any) -> bytes:
    values = np.empty(width * len(points), dtype=kind)
    points.foreach_get(name, values)
    return values.tobytes()


def _settings(modifier: Any) -> tuple[Any, ...]:
    """All that a modifier is told."""
    found = []
    for each in modifier.bl_rna.properties:
        if (each.is_readonly and each.type != "COLLECTION") or each.identifier in _FACES:
            continue
        value = getattr(modifier, each.identifier)
        if each.type == "COLLECTION":  # the points of an envelope
            value = tuple((point.frame, point.min, point.max) for point in value)
        elif getattr(each, "is_array", False):
            value = tuple(value)
        found.append((each.identifier, value))
    return (modifier.type, *found)
