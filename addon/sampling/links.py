# SPDX-License-Identifier: GPL-3.0-or-later
"""What leads what: pairs of places, along trees, constraints and drivers, through any objects.

A place is a block with a bone's name (or "" for the object itself), or with a path of it: a custom
property, or a constraint with all its settings.
"""

import re
from collections.abc import Iterator
from typing import Any, NamedTuple

import bpy

# A bone in a data path, and what follows it: pose.bones["torso"]["IK_FK"], bones["torso"].
_BONE = re.compile(r'^(?:pose\.)?bones\["((?:[^"\\]|\\.)*)"\]\.?(.*)$')
# A custom property, or a constraint, at the beginning of what follows.
_SETTING = re.compile(r'^(?:constraints)?\["(?:[^"\\]|\\.)*"\]')


class Place(NamedTuple):
    """A bone, an object (no bone, no path), or a setting at a path."""

    block: Any
    bone: str = ""
    path: str = ""

    @property
    def is_property(self) -> bool:
        """Whether it is a custom property."""
        match = _BONE.match(self.path)
        return (str(match[2]) if match else self.path).startswith("[")


def place_of(block: Any, data_path: str) -> Place:
    """The place that a data path of a block belongs to."""
    match = _BONE.match(data_path)
    bone = bpy.utils.unescape_identifier(match[1]) if match else ""
    rest = match[2] if match else data_path
    setting = _SETTING.match(rest)
    if setting is None:
        return Place(block, bone)
    return Place(block, bone, data_path[: len(data_path) - len(rest) + setting.end()])


def links_of(block: Any) -> Iterator[tuple[Place, Place]]:
    """Pairs (leader, follower) that one block says, whatever influence there is now."""
    if isinstance(block, bpy.types.Object):
        yield from _from_parent(block)
        yield from _from_constraints(block, Place(block), block.constraints, ())
        if block.pose is not None:
            yield from _from_bones(block)
    yield from _from_drivers(block)


def blocks_beside(block: Any) -> Iterator[Any]:
    """Blocks that belong to a block: an armature's, or a path's, data."""
    if isinstance(block, bpy.types.Object) and block.type in ("ARMATURE", "CURVE", "LATTICE"):
        yield block.data


def _from_parent(item: bpy.types.Object) -> Iterator[tuple[Place, Place]]:
    if item.parent is not None:
        bone = item.parent_bone if item.parent_type == "BONE" else ""
        yield Place(item.parent, bone), Place(item)
    if item.type in ("CURVE", "LATTICE"):  # what follows a path follows its data
        yield Place(item.data), Place(item)


def _from_bones(rig: bpy.types.Object) -> Iterator[tuple[Place, Place]]:
    for bone in rig.pose.bones:
        own = Place(rig, bone.name)
        if bone.parent is None:
            yield Place(rig), own
        else:
            yield Place(rig, bone.parent.name), own
        above = [each.name for each in bone.parent_recursive] if len(bone.constraints) else []
        yield from _from_constraints(rig, own, bone.constraints, above)


def _from_constraints(
    item: bpy.types.Object, own: Place, constraints: Any, above: Any
) -> Iterator[tuple[Place, Place]]:
    """Targets, and the constraint's own settings, lead what the constraint moves.

    Of the targets that an Armature constraint chooses from, those count that have a weight.
    """
    for constraint in constraints:
        if constraint.mute:
            continue
        setting = place_of(item, constraint.path_from_id())
        moved = [own]
        if constraint.type in ("IK", "SPLINE_IK"):
            # A chain of bones and those above it: a count of 0 means all of them.
            count = constraint.chain_count or len(above) + 1
            moved += [Place(item, name) for name in above[: count - 1]]
        for leader in (setting, *_targets(constraint)):
            yield from ((leader, follower) for follower in moved)


def _targets(constraint: Any) -> Iterator[Place]:
    for target, subtarget in (("target", "subtarget"), ("pole_target", "pole_subtarget")):
        item = getattr(constraint, target, None)
        if item is not None:
            yield Place(item, getattr(constraint, subtarget, ""))
    if constraint.type == "ARMATURE":
        for each in constraint.targets:
            if each.target is not None and each.subtarget and each.weight > 0.0:
                yield Place(each.target, each.subtarget)


def _from_drivers(block: Any) -> Iterator[tuple[Place, Place]]:
    data = getattr(block, "animation_data", None)
    for curve in data.drivers if data is not None else ():
        follower = place_of(block, curve.data_path)
        for variable in curve.driver.variables:
            for target in variable.targets:
                if target.id is None:
                    continue
                if variable.type == "SINGLE_PROP":
                    yield place_of(target.id, target.data_path), follower
                else:
                    yield Place(target.id, target.bone_target), follower
