# SPDX-License-Identifier: GPL-3.0-or-later
"""The kinds of faults, and which controls each may be planted in. Standard library only."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from .bases import Base

# What an animator asks for, and what a fault that gives what it gives may be at most, metres.
LEAST_M, MOST_M = 0.015, 0.06
WIDE_M = 0.12


@dataclass(frozen=True)
class Kind:
    """A kind of fault.

    does        what is done to a key
    sizes_m     how large it may be: the largest way of a followed joint or tip
    calibrated  whether it is made as large as wanted; else places where it is so are looked for
    """

    does: str
    sizes_m: tuple[float, float] = (LEAST_M, MOST_M)
    calibrated: bool = False


KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        "linear": Kind("a key is linear: the curve runs straight to the next one"),
        "spike": Kind("a value strays on one frame", calibrated=True),
        "late": Kind("a key comes a frame late, or early"),
        "off_arc": Kind("a key has another value", calibrated=True),
        "held": Kind("a key has the value of the key before it", (LEAST_M, WIDE_M)),
        "reach": Kind("an IK target is out of the limb's reach on one key", (LEAST_M, 0.25)),
        "flip": Kind("an angle is a turn on from a key, or a quaternion's sign", (LEAST_M, 9.0)),
        "influence": Kind("an influence comes on in one frame, not in ten", calibrated=True),
    }
)


@dataclass(frozen=True)
class Switch:
    """A number that blends one thing into another: a property, or a constraint's influence.

    control, prop   whose it is, and its path; start where it stands, sign the way it goes
    kind, target    the constraint to be made for it, and the bone that this follows
    """

    control: str
    prop: str
    start: float = 0.0
    sign: float = 1.0
    kind: str | None = None
    target: str | None = None


PLANTED = "planted"
_INFLUENCE = f'constraints["{PLANTED}"].influence'


def switches(base: Base) -> tuple[Switch, ...]:
    """What can be switched on the rig of a base."""
    if base.rig == "porter":
        return _constraints(
            ("head", "COPY_ROTATION", "hips"),
            ("chest", "COPY_ROTATION", "hips"),
            ("body", "COPY_LOCATION", "foot_ik.L"),
            *(
                each
                for side, other in (("L", "R"), ("R", "L"))
                for each in (
                    (f"upper_arm.{side}", "COPY_ROTATION", "chest"),
                    (f"hand.{side}", "COPY_ROTATION", "chest"),
                    (f"foot_ik.{side}", "COPY_LOCATION", f"foot_ik.{other}"),
                )
            ),
        )
    return _human_switches(base.arms)


def _human_switches(arms: str) -> tuple[Switch, ...]:
    found = [
        Switch("torso", '["head_follow"]', 1.0, -1.0),
        Switch("torso", '["neck_follow"]', 1.0, -1.0),
        *_constraints(("head", "COPY_ROTATION", "hips"), ("chest", "COPY_ROTATION", "hips")),
    ]
    for side, other in (("L", "R"), ("R", "L")):
        start = 1.0 if arms == "fk" else 0.0
        found.append(Switch(f"upper_arm_parent.{side}", '["IK_FK"]', start, 1.0 - 2.0 * start))
        found.append(Switch(f"thigh_parent.{side}", '["IK_FK"]'))
        hand = (
            (f"hand_ik.{side}", "COPY_LOCATION", "hips")
            if arms == "ik"
            else (f"hand_fk.{side}", "COPY_ROTATION", "chest")
        )
        found += _constraints(hand, (f"foot_ik.{side}", "COPY_LOCATION", f"foot_ik.{other}"))
    return tuple(found)


def _constraints(*each: tuple[str, str, str]) -> tuple[Switch, ...]:
    return tuple(
        Switch(control, _INFLUENCE, kind=kind, target=target) for control, kind, target in each
    )


def family(control: str) -> str:
    """A control without its side: what is to be drawn evenly."""
    return control.split(".")[0]


def region(control: str) -> str:
    """The chain that a control belongs to: two faults in one chain might be one fault."""
    side = control[-2:] if control.endswith((".L", ".R")) else ""
    if family(control) in ("neck", "head"):
        return "head"
    if not side:
        return "trunk"
    leg = any(word in control for word in ("foot", "thigh", "knee", "leg"))
    return f"{'leg' if leg else 'arm'}{side}"
