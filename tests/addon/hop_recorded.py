# SPDX-License-Identifier: GPL-3.0-or-later
"""What the tests of the hop measure: both passes as evaluated motion, and distances to the set."""

from dataclasses import dataclass

import bpy
import numpy as np

from demo_scenes.porter import hop_crate
from demo_scenes.porter.hop_crate.set import AHEAD, TOP, WIDTH
from demo_scenes.porter.hop_crate.timing import FIRST, LAND_1, LAND_2, LAST, LEAVE_1, LEAVE_2

FRAMES = np.arange(FIRST, LAST + 1)
SIDES = ("L", "R")
FLIGHTS = ((LEAVE_1, LAND_1), (LEAVE_2, LAND_2))
GRAVITY = 9.80665  # 3rd CGPM 1901
# Winter 2009, Biomechanics and Motor Control of Human Movement, 4th ed., Table 4.1: share of the
# body's mass, and where its centre lies from the upper joint down.
LIMBS = {
    "upper_arm": (0.028, 0.436),
    "forearm": (0.016, 0.430),
    "hand": (0.006, 0.506),
    "thigh": (0.100, 0.433),
    "shin": (0.0465, 0.433),
    "foot": (0.0145, 0.500),
}
# Head and neck together at the ear, a third up from the skull's joint; the trunk midway.
HEAD, TRUNK = (0.081, 0.35), 0.497


@dataclass(frozen=True)
class Pass:
    """Evaluated motion: bone heads and tails (T,3) by name; vertices of the figure (T,V,3) and
    of its boathook (T,W,3)."""

    heads: dict[str, np.ndarray]
    tails: dict[str, np.ndarray]
    body: np.ndarray
    boathook: np.ndarray

    @property
    def com(self):
        """(T,3) centre of mass."""
        total, mass = np.zeros((len(FRAMES), 3)), 0.0
        for kind, (share, at) in LIMBS.items():
            for bone in (f"{kind}.{side}" for side in SIDES):
                total += share * (self.heads[bone] + at * (self.tails[bone] - self.heads[bone]))
                mass += share
        skull = self.heads["head"] + HEAD[1] * (self.tails["head"] - self.heads["head"])
        joints = ("thigh.L", "thigh.R", "upper_arm.L", "upper_arm.R")
        trunk = sum(self.heads[bone] for bone in joints) / 4.0
        return (total + HEAD[0] * skull + TRUNK * trunk) / (mass + HEAD[0] + TRUNK)

    def knee(self, side):
        """Degrees by which a knee is off straight."""
        bones = (f"thigh.{side}", f"shin.{side}")
        one, two = (self.tails[bone] - self.heads[bone] for bone in bones)
        cosine = (one * two).sum(axis=1) / np.linalg.norm(one, axis=1) / np.linalg.norm(two, axis=1)
        return np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))


def record(polished):
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    rig = hop_crate.build(polished=polished)
    graph = bpy.context.evaluated_depsgraph_get()
    heads, tails, body, boathook = {}, {}, [], []
    for frame in FRAMES:
        bpy.context.scene.frame_set(int(frame))
        for bone in rig.evaluated_get(graph).pose.bones:
            heads.setdefault(bone.name, []).append(bone.head[:])
            tails.setdefault(bone.name, []).append(bone.tail[:])
        body.append(vertices(bpy.data.objects["porter_body"].evaluated_get(graph)))
        boathook.append(vertices(bpy.data.objects["boathook"].evaluated_get(graph)))
    arrays = [{name: np.array(rows) for name, rows in each.items()} for each in (heads, tails)]
    return Pass(*arrays, np.array(body), np.array(boathook))


def vertices(thing):
    mesh = thing.to_mesh()
    points = np.zeros(3 * len(mesh.vertices), dtype=np.float32)
    mesh.vertices.foreach_get("co", points)
    thing.to_mesh_clear()
    place = np.array(thing.matrix_world)
    return points.reshape(-1, 3) @ place[:3, :3].T + place[:3, 3]


def at(first, last):
    """The samples of a run of frames, both ends included."""
    return slice(first - FIRST, last - FIRST + 1)


def over_crate(points):
    ahead = -points[..., 1]
    return (np.abs(points[..., 0]) < WIDTH / 2) & (ahead > AHEAD[0]) & (ahead < AHEAD[1])


def clearance(points):
    """(T,) metres from the lowest point of each frame to the floor or the crate's top."""
    return (points[..., 2] - np.where(over_crate(points), TOP, 0.0)).min(axis=1)


def crate_gap(points):
    """(T,) metres from the crate, in any direction, to the nearest point of each frame."""
    low, high = (-WIDTH / 2, -AHEAD[1], 0.0), (WIDTH / 2, -AHEAD[0], TOP)
    return np.linalg.norm(points - np.clip(points, low, high), axis=-1).min(axis=1)


def fitted_fall(height):
    """m/s2 of a path (N,) of one sample a frame."""
    return -2.0 * np.polyfit(np.arange(len(height)) / 24.0, height, 2)[0]


def near_top(height):
    """Share of the time in the top quarter of rise and fall, over a fine curve through (N,)."""
    time = np.linspace(-1.0, 1.0, len(height))
    fine = np.polynomial.Polynomial.fit(time, height, 7)(np.linspace(-1.0, 1.0, 4001))
    apex = int(fine.argmax())
    halves = (fine[: apex + 1], fine[apex:])
    return sum(int((half > half.min() + 0.75 * np.ptp(half)).sum()) for half in halves) / len(fine)
