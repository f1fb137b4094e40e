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
from .meta_ball import Ball
from .meta_items import (
    EVENT_KINDS,
    Event,
    Follow,
    Prop,
    read_follow,
    read_prop,
    read_roles,
)

__all__ = ["EVENT_KINDS", "STAGES", "Ball", "Event", "Follow", "Meta", "Prop"]

STAGES = ("blocking", "spline", "polish")


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
    ball       that the clip's first joint is a ball, which alone is judged; None: it is none
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
    ball: Ball | None = None
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
            ("ball", None if self.ball is None else self.ball.to_json()),
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
    "roles": read_roles,
    "props": fields.objects("props", read_prop),
    "follow": fields.objects("follow", read_follow),
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
    "ball": Ball.from_json,
}
