# SPDX-License-Identifier: GPL-3.0-or-later
"""A porter scene as it plays: where bones, soles, boathook and body are on every frame."""

from dataclasses import dataclass

import bpy
import numpy as np
from mathutils import Vector
from stepped import Bones, built, lowest_point, step

from demo_scenes import truth
from demo_scenes.matching import match

# Left sole points in the rest pose, and the bone that carries each: the toe stays flat in a roll.
SOLES = {"heel": ("foot", (0.09, 0.05, 0.0)), "ball": ("toe", (0.09, -0.14, 0.0))}
POLE_ENDS = (-0.98, 1.235)  # along the boathook, from the grip


@dataclass(frozen=True, kw_only=True)
class Recorded(Bones):
    """Bones over T frames, metres, and more; `at(frame)` is a frame's index.

    soles          (T,3) by name: heel.L, ball.L ...; pole (T,2,3) the ends of the boathook
    lowest (T,)    the lowest point of the body's mesh; view (T,3) where the camera looks
    """

    frames: np.ndarray
    soles: dict[str, np.ndarray]
    pole: np.ndarray
    lowest: np.ndarray
    view: np.ndarray

    def at(self, frame):
        return int(frame - self.frames[0])

    def span(self, first, last):
        """The frames from first to last, both included."""
        return slice(self.at(first), self.at(last) + 1)

    def drift(self, sole, first, last):
        """How far a sole point is from where it stood on the first of those frames, metres."""
        stands = self.soles[sole][self.span(first, last)]
        return np.linalg.norm(stands - stands[0], axis=1)


def record(scene_module, *, polished):
    """Build a scene's pass into an emptied file and step through the range that plays."""
    rig = built(scene_module, polished=polished)
    scene = bpy.context.scene
    frames = np.arange(scene.frame_start, scene.frame_end + 1)

    def look(graph, seen):
        hook = bpy.data.objects["boathook"].evaluated_get(graph).matrix_world
        pole = [(hook @ Vector((0.0, y, 0.0)))[:] for y in POLE_ENDS]
        view = scene.camera.evaluated_get(graph).matrix_world.col[2][:3]
        return sole_points(rig, seen), pole, lowest_point(graph), np.negative(view)

    bones, seen = step(rig, frames, look)
    soles, pole, lowest, view = zip(*seen, strict=True)
    return Recorded(
        frames=frames,
        soles={name: np.array([each[name] for each in soles]) for name in soles[0]},
        pole=np.array(pole),
        lowest=np.array(lowest),
        view=np.array(view),
        **bones,
    )


def sole_points(rig, seen):
    """Sole points by name, (3,) metres, of the evaluated rig."""
    found = {}
    for side, sign in (("L", 1.0), ("R", -1.0)):
        for name, (part, (x, y, z)) in SOLES.items():
            bone = f"{part}.{side}"
            rest = rig.data.bones[bone].matrix_local.inverted()
            place = seen.pose.bones[bone].matrix @ rest @ Vector((sign * x, y, z))
            found[f"{name}.{side}"] = place[:]
    return found


def assert_checks_find_what_was_planted(ext, scene_module):
    """No finding in the polished pass; in the first one the planted faults, major, no others."""
    clips = {}
    for kind in ("first", "polished"):
        rig = built(scene_module, polished=kind == "polished")
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
