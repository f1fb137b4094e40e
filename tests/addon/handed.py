# SPDX-License-Identifier: GPL-3.0-or-later
"""Balls whose keys are edited and handed back, and what then became of the rig."""

from contextlib import contextmanager

import bpy
import numpy as np
import rigs

from tests.harness import extension


def ball_on(rig):
    """A ball that was baked on a rig, with a key a frame."""
    bpy.context.view_layer.objects.active = rig
    rigs.every_frame()
    assert bpy.ops.plumbline.bake_sphere() == {"FINISHED"}
    items, name = bpy.context.scene.objects, rig.name_full
    return next(item for item in items if item.get("plumbline_sphere_of") == name)


def keyed(sphere, frames, places, *, interpolation="BEZIER", handles="AUTO_CLAMPED"):
    """Give a ball keys of its own in place of those that it has, on all axes."""
    for axis, curve in enumerate(places_of(sphere)):
        points = curve.keyframe_points
        points.clear()
        points.add(len(frames))
        for point, frame, place in zip(points, frames, places, strict=True):
            point.co = (frame, place[axis])
            point.interpolation = interpolation
            point.handle_left_type = point.handle_right_type = handles
        curve.update()


def thinned(sphere, frames):
    """Leave a ball only keys on some frames, where it is on them; returns the places (N,3)."""
    places = path(sphere, frames)
    keyed(sphere, frames, places)
    return places


def places_of(sphere):
    """The curves of a ball's place."""
    return [curve for curve in rigs.fcurves(sphere) if curve.data_path == "location"]


def path(sphere, frames):
    """(T,3) where the ball's curves put it."""
    curves = places_of(sphere)
    assert len(curves) == 3
    return np.array([[curve.evaluate(frame) for curve in curves] for frame in frames])


def heads(rig, names, frames):
    """(T,N,3) heads of bones in the world, by stepping the scene; an empty name: the object."""
    scene, found = bpy.context.scene, []
    for frame in frames:
        scene.frame_set(int(np.floor(frame)), subframe=float(frame) % 1.0)
        seen = rig.evaluated_get(bpy.context.evaluated_depsgraph_get())
        world = np.array(seen.matrix_world, dtype=np.float64)
        rows = [
            world @ np.array(seen.pose.bones[name].matrix, dtype=np.float64) if name else world
            for name in names
        ]
        found.append([row[:3, 3] for row in rows])
    return np.array(found)


def off(sphere, rig, bone, frames):
    """(T,) how far a bone's head is off the ball."""
    return np.linalg.norm(heads(rig, [bone], frames)[:, 0] - path(sphere, frames), axis=1)


def hand(sphere, rig, **how):
    """Hand a ball back, and let the scene show it."""
    handed = extension.package().addon.sphere.hand_back.hand_back(
        bpy.context.scene, sphere, rig, **how
    )
    bpy.context.view_layer.update()
    return handed


@contextmanager
def chosen(**choices):
    """Choose for the ball as in the panel, while the block lasts."""
    sphere = bpy.context.window_manager.plumbline.sphere
    before = {name: getattr(sphere, name) for name in choices}
    try:
        for name, value in choices.items():
            setattr(sphere, name, value)
        yield
    finally:
        for name, value in before.items():
            setattr(sphere, name, value)
