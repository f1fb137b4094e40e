# SPDX-License-Identifier: GPL-3.0-or-later
"""A porter scene as it plays: where bones, soles, boathook and body are on every frame."""

from dataclasses import dataclass

import bpy
import numpy as np
from mathutils import Vector

from demo_scenes import truth
from demo_scenes.matching import match

SIDES = ("L", "R")
# Left sole points in the rest pose, and the bone that carries each: the toe stays flat in a roll.
SOLES = {"heel": ("foot", (0.09, 0.05, 0.0)), "ball": ("toe", (0.09, -0.14, 0.0))}
POLE_ENDS = (-0.98, 1.235)  # along the boathook, from the grip
# Part, share of the body's mass, and where along it that lies (Winter's table).
MASSES = (
    ("thigh", 0.100, 0.433),
    ("shin", 0.0465, 0.433),
    ("foot", 0.0145, 0.50),
    ("upper_arm", 0.028, 0.436),
    ("forearm", 0.016, 0.43),
    ("hand", 0.006, 0.506),
)


@dataclass(frozen=True)
class Recorded:
    """Arrays by name over T frames, metres; `at(frame)` is a frame's index.

    heads, tails   bone -> (T,3); soles -> (T,3) as heel.L, ball.L ...; pole (T,2,3) its ends
    lowest (T,)    the lowest point of the body's mesh
    """

    frames: np.ndarray
    heads: dict[str, np.ndarray]
    tails: dict[str, np.ndarray]
    soles: dict[str, np.ndarray]
    pole: np.ndarray
    lowest: np.ndarray

    def at(self, frame):
        return int(frame - self.frames[0])

    def span(self, first, last):
        """The frames from first to last, both included."""
        return slice(self.at(first), self.at(last) + 1)

    def bend(self, upper, lower):
        """Degrees by which a joint is off straight."""
        one, two = (self.tails[bone] - self.heads[bone] for bone in (upper, lower))
        cosine = (one * two).sum(axis=1) / np.linalg.norm(one, axis=1) / np.linalg.norm(two, axis=1)
        return np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))

    def knee(self, side):
        return self.bend(f"thigh.{side}", f"shin.{side}")

    def drift(self, sole, first, last):
        """How far a sole point is from where it stood on the first of those frames, metres."""
        stands = self.soles[sole][self.span(first, last)]
        return np.linalg.norm(stands - stands[0], axis=1)

    def centre(self):
        """(T,3) the centre of mass."""
        hips = (self.heads["thigh.L"] + self.heads["thigh.R"]) / 2.0
        total = 0.497 * (hips + self.heads["neck"]) / 2.0
        total = total + 0.081 * (self.heads["neck"] + self.tails["head"]) / 2.0
        for part, share, along in MASSES:
            for side in SIDES:
                head, tail = self.heads[f"{part}.{side}"], self.tails[f"{part}.{side}"]
                total = total + share * (head + along * (tail - head))
        return total


def record(scene_module, *, polished):
    """Build a scene's pass into an emptied file and step through the range that plays."""
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    rig = scene_module.build(polished=polished)
    scene = bpy.context.scene
    frames = range(scene.frame_start, scene.frame_end + 1)
    graph = bpy.context.evaluated_depsgraph_get()
    heads, tails, soles, pole, lowest = {}, {}, {}, [], []
    for frame in frames:
        scene.frame_set(frame)
        seen = rig.evaluated_get(graph)
        for bone in seen.pose.bones:
            heads.setdefault(bone.name, []).append(bone.head[:])
            tails.setdefault(bone.name, []).append(bone.tail[:])
        for name, place in sole_points(rig, seen):
            soles.setdefault(name, []).append(place[:])
        hook = bpy.data.objects["boathook"].evaluated_get(graph).matrix_world
        pole.append([(hook @ Vector((0.0, y, 0.0)))[:] for y in POLE_ENDS])
        lowest.append(lowest_point(bpy.data.objects["porter_body"].evaluated_get(graph)))
    named = [{name: np.array(rows) for name, rows in one.items()} for one in (heads, tails, soles)]
    return Recorded(np.array(frames), *named, np.array(pole), np.array(lowest))


def sole_points(rig, seen):
    for side, sign in (("L", 1.0), ("R", -1.0)):
        for name, (part, (x, y, z)) in SOLES.items():
            bone = f"{part}.{side}"
            rest = rig.data.bones[bone].matrix_local.inverted()
            yield f"{name}.{side}", seen.pose.bones[bone].matrix @ rest @ Vector((sign * x, y, z))


def lowest_point(body):
    mesh = body.to_mesh()
    points = np.zeros(3 * len(mesh.vertices), dtype=np.float32)
    mesh.vertices.foreach_get("co", points)
    body.to_mesh_clear()
    return float(points[2::3].min())


def assert_differs_only_where_planted(first, polished, planted):
    """Both passes are equal but for the planted frames, and differ on all of those that pop."""
    apart = np.max(
        [
            np.linalg.norm(first.tails[bone] - polished.tails[bone], axis=1)
            for bone in polished.tails
        ],
        axis=0,
    )
    inside = np.zeros(len(apart), dtype=bool)
    for fault in planted:
        span = first.span(*fault["frames"])
        inside[span] = True
        assert apart[span].min() > 1e-4, fault["note"]
    assert apart[~inside].max() < 2e-5


def assert_checks_find_what_was_planted(ext, scene_module):
    """No finding in the polished pass; in the first one the planted faults, major, no others."""
    clips = {}
    for kind in ("first", "polished"):
        bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
        rig = scene_module.build(polished=kind == "polished")
        (clips[kind],) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    last = bpy.context.scene.frame_end
    faults = truth.true_faults(
        clips["first"], clips["polished"], (last, last), scene_module.PLANTED
    )
    shots = {kind: ext.analysis.check_clip(clip) for kind, clip in clips.items()}
    assert shots["polished"].findings == ()
    found = [vars(finding) for finding in shots["first"].findings]
    assert all(finding["severity"] == "major" for finding in found)
    assert None not in match(faults, found)
    assert len(found) == len(faults)
