# SPDX-License-Identifier: GPL-3.0-or-later
"""What a clip says about itself besides its arrays: the `meta` entry of a clip file."""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from .curves import Curve
from .errors import ClipError
from .plain_text import number_text

STAGES = ("blocking", "spline", "polish")
LARGEST = 1e6
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
class Event:
    """Something declared by the animator: a hit, pull, catch, load or freeze from outside."""

    frames: tuple[float, float]
    part: str | None = None
    direction: tuple[float, float, float] | None = None
    kind: str = "hit"


@dataclass(frozen=True, kw_only=True)
class Meta:
    """The optional facts of a clip; what is unknown is None or empty.

    roles      part -> joint names, the main joint first
    floor_z    height of the floor in metres
    cycle      True: plays as a loop; False: does not; None: not said
    loop_end   "repeat" when the last frame is meant to repeat the first, "open" when not
    height_m   the height that the character has in the story
    controls   names that belong to the clip's `control_matrices`, in that order
    supports   names that belong to the clip's `supports`, in that order; empty: not named
    extra      keys that this version does not know, kept as they came
    """

    name: str = ""
    roles: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    props: tuple[Prop, ...] = ()
    floor_z: float | None = None
    events: tuple[Event, ...] = ()
    cycle: bool | None = None
    loop_end: str | None = None
    height_m: float | None = None
    stage: str | None = None
    curves: tuple[Curve, ...] = ()
    controls: tuple[str, ...] = ()
    supports: tuple[str, ...] = ()
    extra: Mapping[str, Any] = field(default_factory=lambda: MappingProxyType({}))

    def to_json(self) -> str:
        """The meta entry as a JSON string; unset keys are left out."""
        data: dict[str, Any] = dict(self.extra)
        for key, value in (
            ("name", self.name or None),
            ("roles", {part: list(names) for part, names in self.roles.items()}),
            ("props", [dict(vars(prop)) for prop in self.props]),
            ("floor_z", self.floor_z),
            ("events", [dict(vars(event)) for event in self.events]),
            ("cycle", self.cycle),
            ("loop_end", self.loop_end),
            ("height_m", self.height_m),
            ("stage", self.stage),
            ("curves", [curve.to_json() for curve in self.curves]),
            ("controls", list(self.controls)),
            ("supports", list(self.supports)),
        ):
            if value is not None and value != [] and value != {}:
                data[key] = value
        return json.dumps(data, ensure_ascii=False, sort_keys=True)

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


def _wrong(key: str, found: Any, expected: str) -> ClipError:
    shown = json.dumps(found, ensure_ascii=False)
    shown = shown if len(shown) <= 60 else shown[:57] + "..."
    return ClipError(f"meta.{key} is {shown}, expected {expected}: correct it in the clip's meta.")


def _text(key: str) -> Callable[[Any], str]:
    def read(value: Any) -> str:
        if not isinstance(value, str):
            raise _wrong(key, value, "a text")
        return value

    return read


def _choice(key: str, allowed: tuple[str, ...]) -> Callable[[Any], str]:
    def read(value: Any) -> str:
        if value not in allowed:
            raise _wrong(key, value, f"one of {', '.join(allowed)}")
        return str(value)

    return read


def _number(key: str, *, positive: bool = False) -> Callable[[Any], float]:
    def read(value: Any) -> float:
        fits = isinstance(value, (int, float)) and not isinstance(value, bool)
        # Compared as it is: an integer of many digits does not fit into a float.
        if not fits or not -LARGEST < value < LARGEST or (positive and value <= 0):
            wanted = "a number above 0" if positive else "a number"
            raise _wrong(key, value, f"{wanted}, under {number_text(LARGEST)}")
        return float(value)

    return read


def _flag(key: str) -> Callable[[Any], bool]:
    def read(value: Any) -> bool:
        if not isinstance(value, bool):
            raise _wrong(key, value, "true, false or null")
        return value

    return read


def _names(key: str) -> Callable[[Any], tuple[str, ...]]:
    def read(value: Any) -> tuple[str, ...]:
        names = [value] if isinstance(value, str) else value
        if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
            raise _wrong(key, value, "a list of names")
        return tuple(names)

    return read


def _roles(value: Any) -> Mapping[str, tuple[str, ...]]:
    if not isinstance(value, dict):
        raise _wrong("roles", value, "an object of part: [joint names]")
    roles = {part: _names(f"roles.{part}")(names) for part, names in value.items()}
    for part, names in roles.items():
        if not names:
            raise _wrong(f"roles.{part}", [], "the name of a joint")
    return MappingProxyType(roles)


def _objects(key: str, build: Callable[[dict[str, Any]], Any]) -> Callable[[Any], tuple[Any, ...]]:
    def read(value: Any) -> tuple[Any, ...]:
        if not isinstance(value, list) or not all(isinstance(item, dict) for item in value):
            raise _wrong(key, value, "a list of objects")
        return tuple(build(item) for item in value)

    return read


def _prop(item: dict[str, Any]) -> Prop:
    name, joint = item.get("name"), item.get("joint")
    if not isinstance(name, str) or not isinstance(joint, str):
        raise _wrong("props", item, "objects with the texts name and joint")
    mass, held_by = item.get("mass_kg"), item.get("held_by")
    return Prop(
        name=name,
        joint=joint,
        mass_kg=None if mass is None else _number("props.mass_kg", positive=True)(mass),
        held_by=None if held_by is None else _text("props.held_by")(held_by),
        fixed=_flag("props.fixed")(item.get("fixed", False)),
    )


def _event(item: dict[str, Any]) -> Event:
    frames, direction, part = item.get("frames"), item.get("direction"), item.get("part")
    if not isinstance(frames, list) or len(frames) != 2:
        raise _wrong("events", item, "objects with frames: [first, last]")
    if direction is not None and (not isinstance(direction, list) or len(direction) != 3):
        raise _wrong("events.direction", direction, "three numbers or null")
    number = _number("events")
    first, last = number(frames[0]), number(frames[1])
    return Event(
        frames=(min(first, last), max(first, last)),
        part=None if part is None else _text("events.part")(part),
        direction=None
        if direction is None
        else (number(direction[0]), number(direction[1]), number(direction[2])),
        kind=_choice("events.kind", EVENT_KINDS)(item.get("kind", "hit")),
    )


_READERS: dict[str, Callable[[Any], Any]] = {
    "name": _text("name"),
    "roles": _roles,
    "props": _objects("props", _prop),
    "floor_z": _number("floor_z"),
    "events": _objects("events", _event),
    "cycle": _flag("cycle"),
    "loop_end": _choice("loop_end", ("repeat", "open")),
    "height_m": _number("height_m", positive=True),
    "stage": _choice("stage", STAGES),
    "curves": _objects("curves", Curve.from_json),
    "controls": _names("controls"),
    "supports": _names("supports"),
}
