# SPDX-License-Identifier: GPL-3.0-or-later
"""A porter scene stepped through frame by frame: bones, body mesh, centre of mass."""

from dataclasses import dataclass
from pathlib import Path

import bpy
import numpy as np

scenes_folder: Path | None = None  # where built scenes are kept; the session sets it
_rigs: dict[Path, str] = {}  # the name of each one's rig

SIDES = ("L", "R")
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


@dataclass(frozen=True, kw_only=True)
class Bones:
    """Heads and tails of bones, evaluated: bone -> (T,3) metres."""

    heads: dict[str, np.ndarray]
    tails: dict[str, np.ndarray]

    def bend(self, upper, lower):
        """Degrees by which a joint is off straight."""
        one, two = (self.tails[bone] - self.heads[bone] for bone in (upper, lower))
        cosine = (one * two).sum(axis=1) / np.linalg.norm(one, axis=1) / np.linalg.norm(two, axis=1)
        return np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))

    def knee(self, side):
        return self.bend(f"thigh.{side}", f"shin.{side}")

    def ridden(self, points):
        """Points as seen by somebody who travels along with the mover."""
        return points - self.heads["mover"]

    def centre(self):
        """(T,3) centre of mass."""
        skull = self.heads["head"] + HEAD[1] * (self.tails["head"] - self.heads["head"])
        joints = ("thigh.L", "thigh.R", "upper_arm.L", "upper_arm.R")
        trunk = sum(self.heads[bone] for bone in joints) / 4.0
        total, mass = HEAD[0] * skull + TRUNK * trunk, HEAD[0] + TRUNK
        for kind, (share, at) in LIMBS.items():
            for bone in (f"{kind}.{side}" for side in SIDES):
                total = total + share * (
                    self.heads[bone] + at * (self.tails[bone] - self.heads[bone])
                )
                mass += share
        return total / mass


def built(scene_module, *, polished):
    """The rig of a scene's pass, in a file that holds nothing else.

    Each pass is built once and kept: to build takes seconds, to open its file a twentieth of one.
    """
    path = scenes_folder / f"{scene_module.__name__}-{polished}.blend"
    if not path.exists():
        bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
        _rigs[path] = scene_module.build(polished=polished).name
        bpy.ops.wm.save_as_mainfile(filepath=str(path))
    bpy.ops.wm.open_mainfile(filepath=str(path), load_ui=False)
    return bpy.data.objects[_rigs[path]]


def step(rig, frames, look):
    """Bones by name, as keywords of `Bones`, and what `look(graph, rig)` gives on each frame."""
    graph = bpy.context.evaluated_depsgraph_get()
    heads, tails, seen = {}, {}, []
    for frame in frames:
        bpy.context.scene.frame_set(int(frame))
        evaluated = rig.evaluated_get(graph)
        for bone in evaluated.pose.bones:
            heads.setdefault(bone.name, []).append(bone.head[:])
            tails.setdefault(bone.name, []).append(bone.tail[:])
        seen.append(look(graph, evaluated))
    heads, tails = (
        {name: np.array(rows) for name, rows in each.items()} for each in (heads, tails)
    )
    return {"heads": heads, "tails": tails}, seen


def vertices(graph, name):
    """(V,3) an object's evaluated vertices in the world."""
    thing = bpy.data.objects[name].evaluated_get(graph)
    mesh = thing.to_mesh()
    points = np.zeros(3 * len(mesh.vertices), dtype=np.float32)
    mesh.vertices.foreach_get("co", points)
    thing.to_mesh_clear()
    place = np.array(thing.matrix_world)
    return points.reshape(-1, 3) @ place[:3, :3].T + place[:3, 3]


def lowest_point(graph):
    """Height of the lowest point of the porter's body."""
    return float(vertices(graph, "porter_body")[:, 2].min())


def gap(first, polished, bone):
    """(T,) metres between a bone's tails in two passes."""
    return np.linalg.norm(first.tails[bone] - polished.tails[bone], axis=1)


def assert_differs_only_where_planted(frames, first, polished, planted):
    """On these frames two passes are equal but for the planted ones, and differ on all of those.

    What is planted on the camera moves no bone.
    """
    apart = np.max([gap(first, polished, bone) for bone in polished.tails], axis=0)[: len(frames)]
    inside = np.zeros(len(frames), dtype=bool)
    for fault in [each for each in planted if each["part"] != "camera"]:
        span = (frames >= fault["frames"][0]) & (frames <= fault["frames"][1])
        inside |= span
        assert apart[span].min() > 1e-4, fault["note"]
    assert apart[~inside].max() < 2e-5
