# SPDX-License-Identifier: GPL-3.0-or-later
"""What a clip says about itself besides its arrays: the `meta` entry of a clip file."""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from . import meta_fields as fields
from .curves import Curve
from .errors import ClipError

STAGES = ("blocking", "spline", "polish")
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


@dataclass(frozen=True, kw_only=True)
class Meta:
    """The optional facts of a clip; what is unknown is None or empty.

    roles      part -> joint names, the main joint first
    follow     what the user asked to follow besides
    floor_z    height of the floor in metres
    cycle      True: plays as a loop; False: does not; None: not said
    loop_end   "repeat" when the last frame is meant to repeat the first, "open" when not
    height_m   the height that the character has in the story
    controls   names that belong to the clip's `control_matrices`, in that order
    targets    hand or foot -> which of `controls` its limb is pulled to (IK)
    carried    control -> joint -> (shift, turn): the shares of the control's own shift and turn,
               when it is moved a little, that the joint makes; 1 and 1 for a rigid follower.
               Measured on one middle frame, for keyed controls that are bones; a joint that is
               not named there does not follow. No such control: not measured
    supports   names that belong to the clip's `supports`, in that order; empty: not named
    extra      keys that this version does not know, kept as they came
    """

    name: str = ""
    roles: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    props: tuple[Prop, ...] = ()
    follow: tuple[Follow, ...] = ()
    floor_z: float | None = None
    events: tuple[Event, ...] = ()
    cycle: bool | None = None
    loop_end: str | None = None
    height_m: float | None = None
    stage: str | None = None
    curves: tuple[Curve, ...] = ()
    controls: tuple[str, ...] = ()
    targets: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    carried: Mapping[str, Mapping[str, tuple[float, float]]] = field(
        default_factory=lambda: MappingProxyType({})
    )
    supports: tuple[str, ...] = ()
    extra: Mapping[str, Any] = field(default_factory=lambda: MappingProxyType({}))

    def to_json(self) -> str:
        """The meta entry as a JSON string; unset keys are left out."""
        data: dict[str, Any] = dict(self.extra)
        for key, value in (
            ("name", self.name or None),
            ("roles", {part: list(names) for part, names in self.roles.items()}),
            ("props", [dict(vars(prop)) for prop in self.props]),
            ("follow", [dict(vars(each)) for each in self.follow]),
            ("floor_z", self.floor_z),
            ("events", [event.to_json() for event in self.events]),
            ("cycle", self.cycle),
            ("loop_end", self.loop_end),
            ("height_m", self.height_m),
            ("stage", self.stage),
            ("curves", [curve.to_json() for curve in self.curves]),
            ("controls", list(self.controls)),
            ("targets", dict(self.targets)),
            ("carried", {control: dict(joints) for control, joints in self.carried.items()}),
            ("supports", list(self.supports)),
        ):
            if value is not None and value != [] and value != {}:
                data[key] = value
        return json.dumps(data, ensure_ascii=False, sort_keys=True)

    def misspelt(self) -> dict[str, str]:
        """Keys that are kept and not read -> the key that is not told which each looks like."""
        missing = [key for key in _READERS if getattr(self, key) in (None, "", (), {})]
        found = {name: fields.meant(name, missing) for name in self.extra}
        return {name: key for name, key in found.items() if key is not None}

    @classmethod
    def from_json(cls, text: str) -> "Meta":
        """Read a meta entry; raises ClipError in one sentence for anything that does not fit."""
        try:
            data = json.loads(text) if text.strip() else {}
        except RecursionError:
            raise ClipError("meta is nested too deep, expected plain lists and objects.") from None
        except ValueError as error:
            raise ClipError(
                f"meta is not JSON ({error}); expected a JSON object such as "
                '{"name": "walk"}: write it with json.dumps.'
            ) from None
        if not isinstance(data, dict):
            raise ClipError(
                f"meta holds a JSON {type(data).__name__}, expected an object with optional keys "
                "such as name, roles, cycle: write a JSON object."
            )
        told = {key: value for key, value in data.items() if value is not None}
        known = {key: read(told[key]) for key, read in _READERS.items() if key in told}
        extra = {key: value for key, value in data.items() if key not in _READERS}
        return cls(**known, extra=MappingProxyType(extra))


def _roles(value: Any) -> Mapping[str, tuple[str, ...]]:
    if not isinstance(value, dict):
        raise fields.wrong("roles", value, "an object of part: [joint names]")
    roles = {part: fields.names(f"roles.{part}")(names) for part, names in value.items()}
    for part, names in roles.items():
        if not names:
            raise fields.wrong(f"roles.{part}", [], "the name of a joint")
    return MappingProxyType(roles)


def _prop(item: dict[str, Any]) -> Prop:
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


def _follow(item: dict[str, Any]) -> Follow:
    name, joint, point = item.get("name"), item.get("joint"), item.get("point")
    if not isinstance(name, str) or not name or not isinstance(joint, str):
        raise fields.wrong("follow", item, "objects with the texts name and joint")
    told = None if point is None else fields.text("follow.point")(point)
    return Follow(name=name, joint=joint, point=told)


def _targets(value: Any) -> Mapping[str, str]:
    if not isinstance(value, dict):
        raise fields.wrong("targets", value, "an object of part: control")
    read = fields.text("targets")
    return MappingProxyType({part: read(control) for part, control in value.items()})


def _carried(value: Any) -> Mapping[str, Mapping[str, tuple[float, float]]]:
    if not isinstance(value, dict) or not all(isinstance(each, dict) for each in value.values()):
        raise fields.wrong("carried", value, "an object of control: {joint: [shift, turn]}")
    return MappingProxyType(
        {
            control: MappingProxyType({name: _shares(two) for name, two in joints.items()})
            for control, joints in value.items()
        }
    )


def _shares(value: Any) -> tuple[float, float]:
    if not isinstance(value, list) or len(value) != 2:
        raise fields.wrong("carried", value, "two numbers a joint: [shift, turn]")
    read = fields.number("carried")
    return read(value[0]), read(value[1])


_READERS: dict[str, Callable[[Any], Any]] = {
    "name": fields.text("name"),
    "roles": _roles,
    "props": fields.objects("props", _prop),
    "follow": fields.objects("follow", _follow),
    "floor_z": fields.number("floor_z"),
    "events": fields.objects("events", Event.from_json),
    "cycle": fields.flag("cycle"),
    "loop_end": fields.choice("loop_end", ("repeat", "open")),
    "height_m": fields.number("height_m", positive=True),
    "stage": fields.choice("stage", STAGES),
    "curves": fields.objects("curves", Curve.from_json),
    "controls": fields.names("controls"),
    "targets": _targets,
    "carried": _carried,
    "supports": fields.names("supports"),
}
