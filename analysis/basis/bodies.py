# SPDX-License-Identifier: GPL-3.0-or-later
"""The bodies that are followed: one per joint that plays a part, in an anatomical tree."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..clip import Clip
from ..parts import fix_rank
from ..roles import Roles, anatomical_parents, guess_roles, outline_joints
from ..roles.names import tokens
from ..roles.tree import depths

Floats = NDArray[np.float64]

# A body reaches this share of the height from its joint at least.
LEAST_REACH = 0.05


@dataclass(frozen=True)
class Body:
    """One followed joint.

    part     its role, or None on a rig whose roles are unknown
    name     the joint's name; joint its index in the clip
    parent   index of the body it hangs on, or -1
    judged   False for the mover: straight and even by design
    added    True for what the user asked to follow besides the figure
    point    the clip's point that is followed instead of the joint, or empty
    """

    part: str | None
    name: str
    joint: int
    parent: int
    judged: bool = True
    added: bool = False
    point: str = ""

    @property
    def is_point(self) -> bool:
        """Whether it is a single point, whose turn says nothing."""
        return bool(self.point)

    @property
    def title(self) -> str:
        """Part, or joint name where there is none: what an id is made of."""
        return self.part or self.name


def find_roles(clip: Clip) -> Roles:
    """The roles that the clip states, else a guess."""
    if clip.meta.roles:
        return Roles(clip.meta.roles, "given")
    return guess_roles(clip.joints, clip.parents.tolist(), clip.rest_positions)


def find_bodies(clip: Clip, roles: Roles) -> tuple[Body, ...]:
    """Bodies in fixing order, parents before children.

    A joint that plays two parts (hips that are root and pelvis) is one body, under the
    part that is mended first. Props follow their holder. Joints that are a gap throughout are
    left out. A clip without roles is followed at the joints that outline it. What the user added
    comes last.
    """
    return with_added(clip, _figure(clip, roles))


def _figure(clip: Clip, roles: Roles) -> tuple[Body, ...]:
    known = clip.known_joints
    joint_of: dict[str, int] = {}
    for part in sorted(roles.parts, key=fix_rank):
        joints = [clip.joints.index(name) for name in roles.parts[part]]
        joints = [joint for joint in joints if known[joint]]
        if joints and joints[0] not in joint_of.values():
            joint_of[part] = joints[0]
    if all(part == "mover" for part in joint_of):
        return _outline(clip)
    above = anatomical_parents(list(joint_of))
    props = {f"prop.{n}": prop for n, prop in enumerate(clip.meta.props, start=1)}
    for part, prop in props.items():
        joint = clip.joint(prop.joint)
        if joint not in joint_of.values() and known[joint]:
            joint_of[part] = joint
            above[part] = prop.held_by if prop.held_by in joint_of else None
    order = sorted(joint_of, key=fix_rank)
    place = {part: n for n, part in enumerate(order)}
    bodies = []
    for part in order:
        upper = above.get(part)
        parent = place[upper] if upper else _carrier(clip, joint_of, place, part)
        bodies.append(
            Body(part, clip.joints[joint_of[part]], joint_of[part], parent, part != "mover")
        )
    return tuple(bodies)


def _carrier(clip: Clip, joint_of: dict[str, int], place: dict[str, int], part: str) -> int:
    """For a part outside the figure's tree: the nearest followed joint above it in the clip."""
    part_at = {joint: name for name, joint in joint_of.items()}
    at = int(clip.parents[joint_of[part]])
    while at >= 0:
        if at in part_at and place[part_at[at]] < place[part]:
            return place[part_at[at]]
        at = int(clip.parents[at])
    return -1


def _outline(clip: Clip) -> tuple[Body, ...]:
    known = clip.known_joints
    outline = outline_joints(clip.parents.tolist(), clip.rest_positions, names=clip.joints)
    joints = [joint for joint in outline if known[joint]] or np.flatnonzero(known).tolist()
    place = {joint: n for n, joint in enumerate(joints)}
    bodies = []
    for joint in joints:
        at = int(clip.parents[joint])
        while at >= 0 and at not in place:
            at = int(clip.parents[at])
        bodies.append(Body(None, clip.joints[joint], joint, place.get(at, -1)))
    return _parents_first(bodies)


def _parents_first(bodies: list[Body]) -> tuple[Body, ...]:
    """Order so that every parent index is smaller than its child's."""

    def depth(n: int) -> int:
        steps = 0
        while bodies[n].parent >= 0:
            n, steps = bodies[n].parent, steps + 1
        return steps

    order = sorted(range(len(bodies)), key=lambda n: (depth(n), n))
    moved = {old: new for new, old in enumerate(order)}
    return tuple(
        Body(b.part, b.name, b.joint, moved.get(b.parent, -1), b.judged)
        for b in (bodies[n] for n in order)
    )


def with_added(clip: Clip, bodies: tuple[Body, ...]) -> tuple[Body, ...]:
    """The bodies, and behind them what the clip says is to be followed besides.

    It hangs on the nearest followed joint above it. A joint that is followed anyway is not
    followed twice, but a point of it is; a name that is taken gets a mark.
    """
    depth = depths(clip.parents.tolist())
    known = clip.known_joints
    wanted = [(clip.joint(each.joint), each) for each in clip.meta.follow]
    found = list(bodies)
    for joint, each in sorted(wanted, key=lambda pair: (pair[1].point is not None, depth[pair[0]])):
        place = {body.joint: n for n, body in reversed([*enumerate(found)]) if not body.is_point}
        if not known[joint] or (joint in place and each.point is None):
            continue
        at, name = joint, each.name
        while at >= 0 and at not in place:
            at = int(clip.parents[at])
        while any(name in (body.title, body.name) for body in found):
            name += " (added)"
        parent = place.get(at, -1)
        found.append(Body(None, name, joint, parent, added=True, point=each.point or ""))
    return tuple(found)


def reaches(clip: Clip, bodies: tuple[Body, ...], height: float) -> Floats:
    """(B,) metres from each joint to its tip: a named point, the bone's length, or a child.

    At least 5 % of the height, so that a turn of a short bone still counts as visible. A single
    point has no tip, but as much for what only asks how large a body is.
    """
    found = np.zeros(len(bodies))
    for n, body in enumerate(bodies):
        if body.is_point:
            continue
        tip = furthest_point(clip, body.joint)
        if tip is not None:
            found[n] = np.linalg.norm(tip[1])
        elif clip.lengths is not None:
            found[n] = clip.lengths[body.joint]
        if found[n] <= 0.0:
            found[n] = _child_distance(clip, body.joint)
    return np.maximum(found, LEAST_REACH * height)


def _child_distance(clip: Clip, joint: int) -> float:
    furthest, valid = 0.0, clip.valid_mask
    for child in np.flatnonzero(clip.parents == joint):
        both = valid[:, child] & valid[:, joint]
        if both.any():
            gaps = clip.positions[both, child] - clip.positions[both, joint]
            furthest = max(furthest, float(np.median(np.linalg.norm(gaps, axis=-1))))
    return furthest


def furthest_point(clip: Clip, joint: int) -> tuple[str, Floats] | None:
    """Name and offset of the clip's point furthest from a joint, or None without points.

    A nose is no tip, nor are points that the user added, nor the edges of a prop that has ends.
    """
    if clip.point_joint is None or clip.point_offset is None:
        return None
    added = {each.point for each in clip.meta.follow}
    on_joint = [
        n
        for n in np.flatnonzero(clip.point_joint == joint)
        if clip.points[n] not in added and not _is_nose(clip.points[n])
    ]
    if any(prop.joint == clip.joints[joint] for prop in clip.meta.props):
        on_joint = [n for n in on_joint if not _is_edge(clip.points[n])] or on_joint
    if not on_joint:
        return None
    best = on_joint[int(np.argmax(np.linalg.norm(clip.point_offset[on_joint], axis=-1)))]
    return clip.points[best], clip.point_offset[best]


def tip_offset(clip: Clip, body: Body, reach: float) -> Floats:
    """(3,) a body's tip in its joint's axes: a named point, else `reach` metres along the bone."""
    tip = furthest_point(clip, body.joint)
    return np.array([0.0, reach, 0.0]) if tip is None else tip[1]


def nose_point(clip: Clip, joint: int) -> Floats | None:
    """Offset (3,) of the point of a joint that is called nose, or None."""
    if clip.point_joint is None or clip.point_offset is None:
        return None
    named = [n for n in np.flatnonzero(clip.point_joint == joint) if _is_nose(clip.points[n])]
    return clip.point_offset[named[0]] if named else None


def _is_nose(name: str) -> bool:
    return "nose" in tokens(name)


def _is_edge(name: str) -> bool:
    return tokens(name)[-1:] in (("edge",), ("back",))
