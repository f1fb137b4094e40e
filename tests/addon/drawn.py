# SPDX-License-Identifier: GPL-3.0-or-later
"""A checked biped, and a camera's view in place of a viewport's, for tests of what is drawn."""

import bpy
import numpy as np
import rigs

SIZE = (640, 360)


def fresh_session(ext):
    """The session as it is when Blender starts."""
    session = bpy.context.window_manager.plumbline
    ext.addon.ui.session.clear(session)
    session.rig, session.cycle, session.stage, session.space = "", "auto", "polish", "world"
    session.height_m = 0.0
    session.trails.parts.clear()
    for name in ("show", "finding", "span", "before", "after", "fade_ahead", "space"):
        session.trails.property_unset(name)
    return session


def checked_session(ext):
    """The session after a check of a biped whose head pops at frame 25."""
    session = fresh_session(ext)
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    bpy.context.scene.frame_set(3)
    bpy.ops.plumbline.check()
    return session


def now(ext):
    return ext.addon.overlay.wanted.wanted(bpy.context)


def picture(ext):
    check = ext.addon.ui.last_check.last_check()
    return ext.addon.overlay.wanted.picture_of(check, now(ext).choice)


def pick(session, *titles):
    for item in session.trails.parts:
        item.shown = item.title in titles


def view_of(ext, camera, scale=1.0):
    """What a viewport that looks through a camera has."""
    bpy.context.view_layer.update()
    lens = camera.calc_matrix_camera(bpy.context.evaluated_depsgraph_get(), x=SIZE[0], y=SIZE[1])
    turn = camera.matrix_world.inverted()
    return ext.addon.overlay.screen.View(
        np.array(lens @ turn), np.array(turn), SIZE[0], SIZE[1], scale
    )


def camera(kind="PERSP"):
    made = bpy.data.objects.new("camera", bpy.data.cameras.new("camera"))
    bpy.context.scene.collection.objects.link(made)
    made.data.type, made.data.ortho_scale = kind, 4.0
    made.location = (4.0, -6.0, 2.0)
    aim = rigs.Vector((0.0, -0.4, 0.9)) - made.location
    made.rotation_euler = aim.to_track_quat("-Z", "Y").to_euler()
    scene = bpy.context.scene
    scene.camera = made
    scene.render.resolution_x, scene.render.resolution_y = SIZE
    return made
