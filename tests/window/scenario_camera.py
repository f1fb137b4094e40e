# SPDX-License-Identifier: GPL-3.0-or-later
"""Trails in camera space lie where Blender's own projection has their points, frame by frame."""

import bpy
import numpy as np
from bpy_extras.object_utils import world_to_camera_view
from drawn import (
    DOT_PX,
    checked,
    figure,
    known_sizes,
    pick,
    redrawing,
    switch,
    traces,
    usual_layers,
)
from eyes import expect
from mathutils import Euler, Vector
from pictures import alike, other, places, seen
from trail_scene import HOP, LAST

PART = "hand.L"
# Pixels: how far a dot may lie off; how far from others it must lie to be seen by itself.
OFF, APART = 1.0, 9.0
COUNT = 2
# Behind the camera, and to its side.
TURN, AWAY_M = (1.3, 0.0, 1.1), 4.0
# The camera's picture fills the view.
ZOOM = 30


def dots_as_the_camera_saw_them(play):
    """Through the camera a dot is where the camera had its point; beside it the dots stay where
    they are in the camera's picture."""
    hand = play.hand
    yield from checked(play)
    expected = seen_by_camera(range(HOP[0], HOP[2] + 1))
    pick(hand, PART)
    scene, trails = bpy.context.scene, hand.session.trails
    scene.frame_set(LAST)
    trails.space, trails.span, trails.fade_ahead, trails.after = "camera", "around", False, 0
    with usual_layers(play), known_sizes(), redrawing(play) as redraws:
        switch(play, "trails")
        view = hand.area.spaces.active.region_3d
        view.view_perspective, view.view_camera_zoom = "CAMERA", ZOOM
        through = yield from _compare(play, redraws, expected)
        view.view_perspective, view.view_distance = "PERSP", AWAY_M
        view.view_rotation = Euler(TURN).to_quaternion()
        view.view_location = placed(next(iter(expected.values())))
        beside = yield from _compare(play, redraws, expected)
        hand.capture("camera_space")
    trails.fade_ahead = True
    play.say(f"         through the camera {through:.2f} px off, beside it {beside:.2f} px")


def _compare(play, redraws, expected):
    """How far the dots of some frames lie off where they should be, at most, in pixels."""
    hand, worst = play.hand, 0.0
    yield from redraws.once_more(hand)
    should = {f: places(hand.region("WINDOW"), [placed(at)])[0] for f, at in expected.items()}
    for frame in apart(should):
        pictures = []
        for first in (frame, frame + 1):
            hand.session.trails.before = LAST - first
            pictures.append((yield from seen(hand, redraws)))
        ys, xs = np.nonzero(other(*pictures) & alike(pictures[0], [colour_at(play, frame)]))
        expect(len(xs) >= DOT_PX, f"The dot of frame {frame} shows {len(xs)} pixels.")
        off = float(np.hypot(*(np.array([xs.mean(), ys.mean()]) - should[frame])))
        expect(off <= OFF, f"The dot of frame {frame} lies {off:.2f} px off the camera's picture.")
        worst = max(worst, off)
    return worst


def seen_by_camera(frames):
    """By frame: where the camera's picture has the point then, from 0 to 1, and how far away."""
    scene, found = bpy.context.scene, {}
    for frame in frames:
        scene.frame_set(frame)
        rig = figure()
        point = rig.matrix_world @ rig.pose.bones[PART].head
        found[frame] = tuple(world_to_camera_view(scene, scene.camera, point))
    return found


def placed(at):
    """The place before the camera of now that lies there in its picture, and so far away."""
    scene = bpy.context.scene
    camera = scene.camera
    right, _low, left, high = camera.data.view_frame(scene=scene)  # clockwise from the upper right
    corner = Vector((min(right.x, left.x), min(_low.y, high.y), right.z))
    size = Vector((abs(right.x - left.x), abs(right.y - _low.y), 0.0))
    local = corner + Vector((at[0] * size.x, at[1] * size.y, 0.0))
    return camera.matrix_world @ (local * (at[2] / -local.z))


def apart(should):
    """Frames whose dots have no other one near, some of them."""
    frames = [f for f in should if f + 1 in should]
    gaps = {f: min(np.hypot(*(should[f] - should[g])) for g in should if g > f) for f in frames}
    found = [frame for frame in frames if gaps[frame] > APART]
    expect(len(found) >= COUNT, f"Only {len(found)} dots lie apart from all others.")
    return found[:: max(len(found) // COUNT, 1)][:COUNT]


def colour_at(play, frame):
    (trace,) = traces(play)
    return trace.colours[int(np.argmin(np.abs(trace.frames - frame)))]


SCENARIOS = (dots_as_the_camera_saw_them,)
