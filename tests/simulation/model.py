# SPDX-License-Identifier: GPL-3.0-or-later
"""The figure and its floor as MuJoCo's model text."""

from dataclasses import dataclass

from .segments import HINGES, MASS_KG, SEGMENTS, Hinge, Segment
from .stored import RATE

# Flesh gives way as it hits the floor, soles hardly: seconds that a contact takes to settle.
_SOLE, _FLESH = 'solref=".015 1"', 'solref=".06 1" solimp=".4 .95 .04"'
_FIRM = 'solreflimit=".02 1" solimplimit=".6 .98 .1"'
# A back bends as one: each of its joints takes its share.
_SPINE = "".join(
    f'<joint joint1="chest:{about}" joint2="spine:{about}" polycoef="0 .9 0 0 0" solref=".02 1"/>'
    for about in "xyz"
)
_AXES = {"x": (1, 0, 0), "y": (0, 1, 0), "z": (0, 0, 1)}


@dataclass(frozen=True)
class World:
    """What is simulated: the figure's size against 1.75 m, its share of fat, and the ground.

    size       times as tall; build: times as heavy as a figure of that size is on average
    friction   of the floor and the boxes
    steps      of the simulation from one record to the next
    boxes      (centre x, y, top z, half width x, half width y) of what else bears, metres
    """

    size: float = 1.0
    build: float = 1.0
    friction: float = 0.8
    steps: int = 2
    boxes: tuple[tuple[float, float, float, float, float], ...] = ()


def model_text(world: World) -> str:
    """The model's XML."""
    ground = 'conaffinity="1" contype="0"'
    boxes = "".join(_box(box, ground) for box in world.boxes)
    actuators = "".join(
        f'<general name="{n}" joint="{n}" gaintype="fixed" biastype="affine"/>' for n in HINGES
    )
    return (
        f'<mujoco><compiler angle="degree"/><option timestep="{1.0 / RATE / world.steps!r}" '
        'integrator="implicitfast" cone="pyramidal" impratio="10" gravity="0 0 -9.80665"/>'
        '<default><geom contype="1" conaffinity="0" condim="3" priority="1" '
        f'friction="{world.friction:.4f} .005 .0001"/>'
        '<joint limited="true" armature=".005" solreflimit=".05 1" solimplimit=".2 .95 .2"/>'
        "</default>"
        f'<worldbody><geom name="floor" type="plane" size="50 50 .1" {ground} priority="0"/>{boxes}'
        f"{_body('hips', world)}</worldbody><actuator>{actuators}</actuator>"
        f"<equality>{_SPINE}</equality></mujoco>"
    )


def signed_range(segment: Segment, hinge: Hinge) -> tuple[float, float]:
    """Least and most angle in degrees, about the world's axes at rest, on the segment's side."""
    if segment.name.endswith(".R") and hinge.about != "x":
        return -hinge.most, -hinge.least
    return hinge.least, hinge.most


def _box(box: tuple[float, float, float, float, float], ground: str) -> str:
    x, y, top, wide, deep = box
    half = 0.5 * top
    return (
        f'<geom type="box" pos="{x:.5f} {y:.5f} {half:.5f}" '
        f'size="{wide:.5f} {deep:.5f} {half:.5f}" {ground} priority="0"/>'
    )


def _body(name: str, world: World) -> str:
    segment = next(each for each in SEGMENTS if each.name == name)
    above = next((s.head for s in SEGMENTS if s.name == segment.parent), (0.0, 0.0, 0.0))
    place = _text([world.size * (a - b) for a, b in zip(segment.head, above, strict=True)])
    joints = "" if segment.parent else '<freejoint name="root"/>'
    joints += "".join(_joint(segment, hinge) for hinge in segment.hinges)
    solids = "".join(_solid(segment, pair, world) for pair in segment.solids)
    below = "".join(_body(each.name, world) for each in SEGMENTS if each.parent == name)
    return f'<body name="{name}" pos="{place}">{joints}{solids}{below}</body>'


def _joint(segment: Segment, hinge: Hinge) -> str:
    axis = _text(_AXES[hinge.about])
    least, most = signed_range(segment, hinge)
    firm = _FIRM if segment.name in ("spine", "chest") else ""
    return (
        f'<joint name="{segment.name}:{hinge.about}" type="hinge" axis="{axis}" '
        f'range="{least} {most}" {firm}/>'
    )


def _solid(segment: Segment, pair: tuple, world: World) -> str:
    ends = [world.size * (a - b) for end in pair for a, b in zip(end, segment.head, strict=True)]
    mass = MASS_KG * world.build * world.size**3 * segment.mass / len(segment.solids)
    radius = world.size * segment.radius
    if pair[0] == pair[1]:
        shape = f'type="sphere" pos="{_text(ends[:3])}"'
    else:
        shape = f'type="capsule" fromto="{_text(ends)}"'
    soft = _SOLE if segment.name.startswith("foot") else _FLESH
    return f'<geom {shape} size="{radius:.5f}" mass="{mass:.5f}" {soft}/>'


def _text(numbers) -> str:
    return " ".join(f"{number:.6f}" for number in numbers)
