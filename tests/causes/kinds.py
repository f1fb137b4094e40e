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
        "influence": Kind("an influence comes on in one frame, not in eight", calibrated=True),
    }
)


@dataclass(frozen=True)
class Switch:
    """A number that blends one thing into another: a property, or a constraint's influence.

    control, prop   whose it is, and its path; start where it stands, sign the way it goes
    carries         what the constraint made for it does, `shift` or `turn`; None for a property,
                    which is there and does what it does
    """

    control: str
    prop: str
    start: float = 0.0
    sign: float = 1.0
    carries: str | None = None


PLANTED = "planted"
SHIFT, TURN = "shift", "turn"
_INFLUENCE = f'constraints["{PLANTED}"].influence'


def switches(base: Base) -> tuple[Switch, ...]:
    """What can be switched on the rig of a base."""
    if base.rig == "porter":
        arms = sided("upper_arm", "hand")
        return _constraints((SHIFT, ("body", *sided("foot_ik"))), (TURN, ("head", "chest", *arms)))
    hands = (SHIFT, sided("hand_ik")) if base.arms == "ik" else (TURN, sided("hand_fk"))
    return (
        Switch("torso", '["head_follow"]', 1.0, -1.0),
        Switch("torso", '["neck_follow"]', 1.0, -1.0),
        *_constraints((SHIFT, ("torso", *sided("foot_ik"))), (TURN, ("head", "chest")), hands),
    )


def sided(*controls: str) -> tuple[str, ...]:
    """Both sides' names of controls."""
    return tuple(f"{control}.{side}" for control in controls for side in ("L", "R"))


def _constraints(*each: tuple[str, tuple[str, ...]]) -> tuple[Switch, ...]:
    return tuple(
        Switch(control, _INFLUENCE, carries=carries)
        for carries, controls in each
        for control in controls
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
