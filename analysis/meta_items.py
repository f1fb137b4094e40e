# SPDX-License-Identifier: GPL-3.0-or-later
"""What a clip's `meta` lists: props, followed points, events; and what reads them, and parts."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from . import meta_fields as fields

EVENT_KINDS = ("hit", "pull", "catch", "load", "freeze")


@dataclass(frozen=True, kw_only=True)
class Prop:
    """A carried or handled object: one joint of the clip.

    held_by is the part that holds it; fixed says that it is meant to be rigid with it.
    """

    name: str
    joint: str
    mass_kg: float | None = None
    held_by: str | None = None
    fixed: bool = False


@dataclass(frozen=True, kw_only=True)
class Follow:
    """Something to follow besides the figure: a joint of the clip, or one of that joint's points.

    name is what findings call it; point names a point of the clip on that joint, whose turn then
    says nothing, or is None for the joint itself with its tip and its turn.
    """

    name: str
    joint: str
    point: str | None = None


@dataclass(frozen=True, kw_only=True)
class Event:
    """Something declared by the animator: a hit, pull, catch, load or freeze from outside.

    source is what it comes from, by its name in the scene; None where that is not said.
    """

    frames: tuple[float, float]
    part: str | None = None
    direction: tuple[float, float, float] | None = None
    kind: str = "hit"
    source: str | None = None

    def to_json(self) -> dict[str, Any]:
        """Its entry in `meta.events`; a source that is not said is left out."""
        entry = dict(vars(self))
        if self.source is None:
            del entry["source"]
        return entry

    @classmethod
    def from_json(cls, item: dict[str, Any]) -> "Event":
        """An event from its entry in `meta.events`; raises ClipError for what is none.

        A misspelt key is one too: without its `part` an event would excuse the whole figure.
        """
        fields.no_misspelt_keys("events", item, tuple(cls.__dataclass_fields__))
        frames, direction, part, source = map(item.get, ("frames", "direction", "part", "source"))
        if not isinstance(frames, list) or len(frames) != 2:
            raise fields.wrong("events.frames", frames, "two numbers: [first, last]")
        first, last = map(fields.number("events.frames"), frames)
        return cls(
            frames=(min(first, last), max(first, last)),
            part=None if part is None else fields.text("events.part")(part),
            direction=None if direction is None else fields.three("events.direction")(direction),
            kind=fields.choice("events.kind", EVENT_KINDS)(item.get("kind", "hit")),
            source=None if source is None else fields.text("events.source")(source),
        )


def read_roles(value: Any) -> Mapping[str, tuple[str, ...]]:
    """Part -> joint names; raises ClipError for anything else."""
    if not isinstance(value, dict):
        raise fields.wrong("roles", value, "an object of part: [joint names]")
    roles = {part: fields.names(f"roles.{part}")(names) for part, names in value.items()}
    for part, names in roles.items():
        if not names:
            raise fields.wrong(f"roles.{part}", [], "the name of a joint")
    return MappingProxyType(roles)


def read_prop(item: dict[str, Any]) -> Prop:
    """A prop from its entry in `meta.props`; raises ClipError for what is none."""
    name, joint = item.get("name"), item.get("joint")
    if not isinstance(name, str) or not isinstance(joint, str):
        raise fields.wrong("props", item, "objects with the texts name and joint")
    mass, held_by = item.get("mass_kg"), item.get("held_by")
    return Prop(
        name=name,
        joint=joint,
        mass_kg=None if mass is None else fields.number("props.mass_kg", positive=True)(mass),
        held_by=None if held_by is None else fields.text("props.held_by")(held_by),
        fixed=fields.flag("props.fixed")(item.get("fixed", False)),
    )


def read_follow(item: dict[str, Any]) -> Follow:
    """A followed point from its entry in `meta.follow`; raises ClipError for what is none."""
    name, joint, point = item.get("name"), item.get("joint"), item.get("point")
    if not isinstance(name, str) or not name or not isinstance(joint, str):
        raise fields.wrong("follow", item, "objects with the texts name and joint")
    told = None if point is None else fields.text("follow.point")(point)
    return Follow(name=name, joint=joint, point=told)
