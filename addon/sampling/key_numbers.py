# SPDX-License-Identifier: GPL-3.0-or-later
"""The keys that a scene plays, as numbers: the same later on means that nobody changed them.

Data blocks are known by the number that each has in a session, which an undo gives back along with
the block.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

import bpy

from ..sphere.ours import SPHERE_OF, is_ours
from .curve_numbers import each_strip, number_of, numbers_of_curves
from .places import Places, cameras_in, cuts_of, places_in
from .set_numbers import NONE, Settings, settings_of

# (action's number, slot) of each.
Played = tuple[tuple[int, int], ...]
# No action has this number: there is none.
GONE = -1


@dataclass(frozen=True, eq=False)
class Keys:
    """actions   by the number of each action that plays, a number that tells of its keys
    curves    by the same, what tells of each of its curves, see `numbers_of_curves`
    players   by the number of each block that plays some, what `played_by` it
    settings  by the number of each block that has some, how its strips, constraints and drivers
              are set
    places    where that stands which bears weight or hangs on rigs, see `places_in`
    cameras   the same of cameras, see `cameras_in`; cuts which of them are looked through
    objects   how many objects there are
    ball      the rig whose ball is checked, see `is_left_out`; empty where none is
    """

    actions: Mapping[int, int]
    players: Mapping[int, Played]
    settings: Mapping[int, Settings]
    curves: Mapping[int, tuple[int, ...]] = field(default_factory=dict)
    places: Places = field(default_factory=dict)
    cameras: Places = field(default_factory=dict)
    cuts: tuple[tuple[int, int], ...] = ()
    objects: int = 0
    ball: str = ""

    def holds(self, block: int) -> bool:
        """Whether a block, told by its number, played something, had settings or bore weight."""
        return block in self.players or block in self.settings or block in self.places

    def are_set_otherwise(self, now: Mapping[int, Settings]) -> bool:
        """Whether strips, constraints or drivers differ by now, of the blocks that are told."""
        return any(self.settings.get(block, NONE) != told for block, told in now.items())

    def changed(self, touched: Iterable[int]) -> bool:
        """Whether any of these actions, told by their numbers, has other keys by now."""
        touched = set(touched)
        told = numbers_of(touched, self.ball)
        now = {each: number for each, (number, _curves) in told.items()}
        return any(self.actions.get(each, GONE) != now.get(each, GONE) for each in touched)


def keys_in(scene: bpy.types.Scene, ball: str = "") -> Keys:
    """The keys that play in a scene, those of what no object of it carries included."""
    players = players_in(scene, ball)
    wanted = {number for played in players.values() for number, _slot in played}
    for layer in scene.view_layers:
        graph: Any = layer.depsgraph  # none where no window has shown it
        for each in graph.ids if graph is not None else ():
            if isinstance(each, bpy.types.Action):
                wanted.add(each.original.session_uid)
    told = settings_in(scene, ball=ball)
    settings = {block: each for block, each in told.items() if each != NONE}
    numbers = numbers_of(wanted, ball)
    return Keys(
        actions={each: number for each, (number, _curves) in numbers.items()},
        curves={each: curves for each, (_number, curves) in numbers.items()},
        players=players,
        settings=settings,
        places=places_in(scene),
        cameras=cameras_in(scene),
        cuts=cuts_of(scene),
        objects=len(scene.objects),
        ball=ball,
    )


def is_left_out(block: Any, ball: str) -> bool:
    """Whether a block is ours, so that it follows the motion and is no part of it: all but the ball
    of a rig, told by the rig's full name, where that ball itself is checked."""
    return is_ours(block) and not (ball and block.get(SPHERE_OF) == ball)


def numbers_of(wanted: Iterable[int], ball: str) -> dict[int, tuple[int, tuple[int, ...]]]:
    """By the numbers of actions, what tells of their keys, and of those of each curve; those that
    are gone are left out."""
    wanted, found = set(wanted), {}
    for action in bpy.data.actions:
        if action.session_uid in wanted and not is_left_out(action, ball):
            curves = numbers_of_curves(action)
            found[action.session_uid] = number_of(action, curves), curves
    return found


def players_in(scene: bpy.types.Scene, ball: str) -> dict[int, Played]:
    """By the number of each block of a scene that plays actions, which it plays."""
    told = {block.session_uid: played_by(block, ball) for block in _blocks(scene)}
    return {number: played for number, played in told.items() if played}


def settings_in(
    scene: bpy.types.Scene, wanted: Collection[int] | None = None, *, ball: str
) -> dict[int, Settings]:
    """By the numbers of blocks of a scene, of the wanted ones alone where these are told, how their
    strips, constraints and drivers are set."""
    return {
        block.session_uid: settings_of(block)
        for block in _blocks(scene)
        if (wanted is None or block.session_uid in wanted) and not is_left_out(block, ball)
    }


def played_by(block: Any, ball: str) -> Played:
    """The actions that a block plays, by itself and in strips; none for what is left out."""
    data = block.animation_data
    if data is None or is_left_out(block, ball):
        return ()
    strips = (strip for track in data.nla_tracks for strip in each_strip(track.strips))
    # In tweak mode a strip's own action stands in both places.
    own = () if data.use_tweak_mode else (data,)
    return tuple(_played(each) for each in (*own, *strips) if each.action is not None)


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


def _played(player: Any) -> tuple[int, int]:
    slot = getattr(player, "action_slot", None)
    return player.action.session_uid, 0 if slot is None else slot.handle
