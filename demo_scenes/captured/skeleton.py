# SPDX-License-Identifier: GPL-3.0-or-later
"""The skeleton of the captured motions, read from the URDF that comes with them.

Source: PyPI pybullet 3.2.7, pybullet_data/humanoid/humanoid.urdf. Its lengths are four times
the figure's (1.62 m tall), it looks along +x and y is up. Here Z is up and, as Blender's own
figures do, it looks along -Y with its left hand at +X.
"""

import xml.etree.ElementTree as Xml
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from .rotations import Floats, conjugate, from_matrix, rotate

URDF = "humanoid/humanoid.urdf"
URDF_SCALE = 0.25
# Columns are where the source's x (forward), y (up) and z (right) axes go.
SOURCE_TO_WORLD: Floats = np.array([[0.0, 0.0, -1.0], [-1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])

_SIDES = (("L", "left"), ("R", "right"))


@dataclass(frozen=True, eq=False)
class Skeleton:
    """J joints in rest pose (arms hanging, looking along -Y, soles on the floor z = 0); metres.

    names (J,), parents (J,) index or -1; positions (J,3) joint heads; rotations (J,4) with Y
    along the bone and X to the figure's left, so that X is the hinge axis of knee and elbow;
    lengths (J,). sources (J,): the URDF joint that turns it, "" where it is rigid on its parent.
    points (P,), point_joint (P,), point_offset (P,3): soles and head top in the joint's axes.
    """

    names: tuple[str, ...]
    parents: tuple[int, ...]
    sources: tuple[str, ...]
    positions: Floats
    rotations: Floats
    lengths: Floats
    points: tuple[str, ...]
    point_joint: tuple[int, ...]
    point_offset: Floats


@dataclass(frozen=True, eq=False)
class _Row:
    """One joint while the skeleton is being put together; places in the world's axes."""

    name: str
    parent: str
    source: str
    head: Floats
    tail: Floats


def read_skeleton(folder: Path | str) -> Skeleton:
    """Read `folder`/humanoid/humanoid.urdf; raises ValueError when there is none."""
    path = Path(folder) / URDF
    if not path.is_file():
        raise ValueError(
            f"{path} is missing, expected the skeleton of PyPI pybullet 3.2.7: "
            "pass the pybullet_data folder of that package."
        )
    text, end, _ = path.read_text(encoding="utf-8").partition("</robot>")
    tree = Xml.fromstring(text + end)  # a NUL byte follows the file's last tag
    rows = _trunk(tree) + [row for side in _SIDES for row in _leg(tree, *side) + _arm(tree, *side)]
    return _assemble(rows, _points(tree, rows))


def _numbers(text: str) -> Floats:
    return np.array([float(word) for word in text.split()])


def _place(tree: Xml.Element, *chain: str) -> Floats:
    """Rest place of a URDF joint: the sum of the origins down to it, in the world's axes."""
    total = np.zeros(3)
    for name in chain:
        origin = tree.find(f"joint[@name='{name}']/origin")
        total += _numbers(origin.attrib["xyz"])
    return SOURCE_TO_WORLD @ (total * URDF_SCALE)


def _shape(tree: Xml.Element, link: str) -> tuple[Floats, Floats]:
    """Centre and half size of a link's sphere or box about its joint, in the world's axes."""
    collision = tree.find(f"link[@name='{link}']/collision")
    centre = SOURCE_TO_WORLD @ (_numbers(collision.find("origin").attrib["xyz"]) * URDF_SCALE)
    box = collision.find("geometry/box")
    if box is not None:
        size = _numbers(box.attrib["size"]) * 0.5
    else:
        size = np.full(3, float(collision.find("geometry/sphere").attrib["radius"]))
    return centre, np.abs(SOURCE_TO_WORLD @ (size * URDF_SCALE))


def _trunk(tree: Xml.Element) -> list[_Row]:
    chest, neck = _place(tree, "chest"), _place(tree, "chest", "neck")
    ball, radius = _shape(tree, "neck")
    # The source turns neck and head as one; a head of its own makes the part findable.
    chin, top = neck + ball - [0, 0, radius[2]], neck + ball + [0, 0, radius[2]]
    return [
        _Row("hips", "", "root", np.zeros(3), chest),
        _Row("chest", "hips", "chest", chest, neck),
        _Row("neck", "chest", "neck", neck, chin),
        _Row("head", "neck", "", chin, top),
    ]


def _leg(tree: Xml.Element, side: str, source: str) -> list[_Row]:
    hip = _place(tree, f"{source}_hip")
    knee = hip + _place(tree, f"{source}_knee")
    ankle = knee + _place(tree, f"{source}_ankle")
    box, half = _shape(tree, f"{source}_ankle")
    toe = ankle + box - [0, half[1], half[2]]
    return [
        _Row(f"thigh.{side}", "hips", f"{source}_hip", hip, knee),
        _Row(f"shin.{side}", f"thigh.{side}", f"{source}_knee", knee, ankle),
        _Row(f"foot.{side}", f"shin.{side}", f"{source}_ankle", ankle, toe),
    ]


def _arm(tree: Xml.Element, side: str, source: str) -> list[_Row]:
    shoulder = _place(tree, "chest", f"{source}_shoulder")
    elbow = shoulder + _place(tree, f"{source}_elbow")
    wrist = elbow + _place(tree, f"{source}_wrist")
    tip = wrist - [0, 0, _shape(tree, f"{source}_wrist")[1][2]]
    return [
        _Row(f"upper_arm.{side}", "chest", f"{source}_shoulder", shoulder, elbow),
        _Row(f"forearm.{side}", f"upper_arm.{side}", f"{source}_elbow", elbow, wrist),
        _Row(f"hand.{side}", f"forearm.{side}", "", wrist, tip),
    ]


def _points(tree: Xml.Element, rows: list[_Row]) -> list[tuple[str, str, Floats]]:
    """Named places (point, joint, rest place): both ends of each sole and the head's top."""
    tails = {row.name: row.tail for row in rows}
    heads = {row.name: row.head for row in rows}
    found = [("head_tip", "head", tails["head"])]
    for side, source in _SIDES:
        box, half = _shape(tree, f"{source}_ankle")
        heel = heads[f"foot.{side}"] + box + [0, half[1], -half[2]]
        found += [(f"heel.{side}", f"foot.{side}", heel)]
        found += [(f"toe.{side}", f"foot.{side}", tails[f"foot.{side}"])]
    return found


def _bone_axes(direction: Floats) -> Floats:
    """Rest rotation (4,) with Y along the bone and X to the figure's left (+X)."""
    y = direction / np.linalg.norm(direction)
    x = np.array([1.0, 0.0, 0.0])
    x = x - (x @ y) * y
    x /= np.linalg.norm(x)
    return from_matrix(np.stack((x, y, np.cross(x, y)), axis=-1))


def _assemble(rows: list[_Row], points: list[tuple[str, str, Floats]]) -> Skeleton:
    names = [row.name for row in rows]
    heads = np.stack([row.head for row in rows])
    rotations = np.stack([_bone_axes(row.tail - row.head) for row in rows])
    joints = [names.index(joint) for _, joint, _ in points]
    offsets = np.stack([place - heads[j] for (_, _, place), j in zip(points, joints, strict=True)])
    return Skeleton(
        names=tuple(names),
        parents=tuple(names.index(row.parent) if row.parent else -1 for row in rows),
        sources=tuple(row.source for row in rows),
        positions=heads - [0, 0, min(place[2] for _, _, place in points)],
        rotations=rotations,
        lengths=np.array([np.linalg.norm(row.tail - row.head) for row in rows]),
        points=tuple(name for name, _, _ in points),
        point_joint=tuple(joints),
        point_offset=rotate(conjugate(rotations[joints]), offsets),
    )
