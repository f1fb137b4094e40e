# SPDX-License-Identifier: GPL-3.0-or-later
"""What rigs and props depend on, and whether a temporary scene can give their poses."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import bpy

from .driver_names import asking_name, is_lent
from .scene_settings import animates_settings
from .simulations import simulation_of, start_of
from .stages import COPIES_CLEANLY

# Kinds of blocks through which something is moved. What a driver reads is followed whatever
# it is; a material or a light that an object only uses is not, since it moves nothing.
_KINDS = {
    "ARMATURE",
    "CACHEFILE",
    "CAMERA",
    "COLLECTION",
    "CURVE",
    "CURVES",
    "KEY",
    "LATTICE",
    "MESH",
    "META",
    "NODETREE",
    "OBJECT",
    "POINTCLOUD",
    "SCENE",
    "TEXTURE",
    "VOLUME",
}


@dataclass(frozen=True)
class Verdict:
    """Whether a temporary scene gives the real scene's poses.

    why          why it may not, in words that follow "because"; empty where nothing was found
    copy_does    a temporary copy of the scene gives them
    only_here    a script of this Blender gives them, which another does not know
    run_in_from  the frame from which the scene must be stepped, where a simulation is the reason
    """

    why: str = ""
    copy_does: bool = False
    only_here: bool = False
    run_in_from: int | None = None

    @property
    def temporary_does(self) -> bool:
        """Whether a temporary scene gives the poses, as a copy of the scene or without it."""
        return not self.why or (self.copy_does and COPIES_CLEANLY)


def judge(
    scene: bpy.types.Scene,
    objects: Iterable[bpy.types.Object],
    placed: Iterable[bpy.types.Object] = (),
) -> Verdict:
    """Look for what only the scene itself, or a copy of it, can give the objects.

    Followed are all that the objects depend on, however far away: parents, constraint and
    driver targets, modifiers. Of `placed` objects only the transforms count, not what deforms
    them. Looked for are drivers that read a scene or ask Blender by script, rigid bodies, the
    simulations that `simulations` lists, and settings of the scene that are themselves animated.
    Not looked for are particles and frame handlers, which move rigs by means of their own.
    """
    blocks = _dependencies([*objects, *placed])
    asking = [(block, name) for block in blocks for name in _asking_names(block)]
    lent = any(is_lent(name) for _block, name in asking)
    simulated = list(_simulated(scene, blocks, set(placed)))
    if simulated:
        block, what = simulated[0]
        start = min(start_of(scene, each) for each, _what in simulated)
        return Verdict(what.format(block.name), only_here=lent, run_in_from=start)
    if asking:
        block, name = asking[0]
        why = f"{name!r} in a driver of {block.name!r} may ask Blender for anything"
        return Verdict(why, only_here=lent)
    for block in blocks:
        if isinstance(block, bpy.types.Scene):
            return Verdict(f"a driver reads the scene {block.name!r}")
    if any(v.type == "CONTEXT_PROP" for b in blocks for d in _drivers(b) for v in d.variables):
        return Verdict("a driver reads the active scene", copy_does=True)
    if animates_settings(scene):
        return Verdict(f"settings of the scene {scene.name!r} are animated", copy_does=True)
    return Verdict()


def _simulated(
    scene: bpy.types.Scene, blocks: list[Any], placed: set[bpy.types.Object]
) -> Iterator[tuple[bpy.types.Object, str]]:
    """Objects that a simulation moves or deforms, with a sentence that takes their name."""
    for block in blocks:
        if isinstance(block, bpy.types.Object):
            what = simulation_of(scene, block, deformed=block not in placed)
            if what:
                yield block, what


def _dependencies(objects: Iterable[bpy.types.Object]) -> list[Any]:
    """The objects and all data-blocks that they use, directly or not; scenes end the search.

    A dependency graph does not list the targets of constraints and drivers, so Blender is
    asked who uses what.
    """
    used_by: dict[Any, list[Any]] = {}
    # The stubs declare all three arguments as required, which Blender does not.
    uses = bpy.data.user_map(key_types=_KINDS)  # type: ignore[call-arg]
    for block, users in uses.items():
        for user in users:
            used_by.setdefault(user, []).append(block)
    found: dict[Any, None] = {}
    waiting: list[Any] = list(objects)
    while waiting:
        block = waiting.pop()
        if block not in found:
            found[block] = None
            if not isinstance(block, bpy.types.Scene):
                waiting += used_by.get(block, ())
                waiting += _read_by_drivers(block)
    return list(found)


def _read_by_drivers(block: Any) -> Iterator[Any]:
    """What the drivers of a block read, and the node tree in which a block hides drivers."""
    for driver in _drivers(block):
        for variable in driver.variables:
            yield from (target.id for target in variable.targets if target.id is not None)
    if not isinstance(block, (bpy.types.Object, bpy.types.Scene)):
        tree = getattr(block, "node_tree", None)
        if tree is not None:
            yield tree


def _asking_names(block: Any) -> Iterator[str]:
    yield from filter(None, map(asking_name, _drivers(block)))


def _drivers(block: Any) -> Iterator[Any]:
    data = getattr(block, "animation_data", None)
    if data is not None:
        for curve in data.drivers:
            yield curve.driver
