# SPDX-License-Identifier: GPL-3.0-or-later
"""Frame handlers of others rest while a temporary scene is stepped, and that is told."""

import bpy
import pytest
import rigs
from sampled import scene_driver


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


def test_frame_handlers_of_others_do_not_run(sampling):
    rig, seen = rigs.biped(), []

    def meddle(scene, _depsgraph=None):
        seen.append(scene.name)

    def other(scene, _depsgraph=None):
        seen.append(scene.name)

    lists = (bpy.app.handlers.frame_change_pre, bpy.app.handlers.frame_change_post)
    for each in lists:
        each += [meddle, other]
    try:
        before = [list(each) for each in lists]
        sampling.sample(bpy.context.scene, [rig])
        assert seen == []
        assert [list(each) for each in lists] == before
        bpy.context.scene.frame_set(3)
        assert seen
    finally:
        for each in lists:
            each.remove(meddle)
            each.remove(other)


@pytest.fixture
def poses_the_neck():
    """A handler that poses a rig, as some add-ons do."""

    def pose(scene, _depsgraph=None):
        neck = bpy.data.objects["porter"].pose.bones["neck"]
        neck.rotation_euler = (scene.frame_current * 0.01, 0.0, 0.0)

    bpy.app.handlers.frame_change_pre.append(pose)
    yield pose
    bpy.app.handlers.frame_change_pre.remove(pose)


def test_resting_handlers_are_told(sampling, poses_the_neck):
    rig = rigs.biped()
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    (name,) = clip.meta.extra["resting_handlers"]
    assert name == f"{poses_the_neck.__module__}.{poses_the_neck.__qualname__}"
    again = type(clip.meta).from_json(clip.meta.to_json())
    assert again.extra == clip.meta.extra


def test_none_rest_where_the_scene_itself_is_stepped(sampling, poses_the_neck):
    rig = rigs.biped()
    scene_driver(rig.pose.bones["chest"], "rotation_euler", 0, context=False)
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert "resting_handlers" not in clip.meta.extra
    assert poses_the_neck in bpy.app.handlers.frame_change_pre


def test_handlers_of_blender_and_of_our_own_are_not_told(ext, sampling, monkeypatch):
    import bl_operators

    def ours(_scene, _depsgraph=None):
        return None

    monkeypatch.setattr(ours, "__module__", ext.addon.__name__ + ".watch")
    handlers = [bl_operators.register, ours]
    bpy.app.handlers.frame_change_post.extend(handlers)
    try:
        (clip,) = sampling.sample(bpy.context.scene, [rigs.biped()])
        assert "resting_handlers" not in clip.meta.extra
    finally:
        for handler in handlers:
            bpy.app.handlers.frame_change_post.remove(handler)


def test_a_handler_without_a_module_is_named_as_a_script(sampling):
    made = {}
    exec("def pose_it(scene, depsgraph=None): raise AssertionError", made)
    handler = made["pose_it"]
    handler.__module__ = None
    rig = rigs.biped()
    bpy.app.handlers.frame_change_post.append(handler)
    try:
        (clip,) = sampling.sample(bpy.context.scene, [rig])
        assert bpy.app.handlers.frame_change_post[-1] is handler
    finally:
        bpy.app.handlers.frame_change_post.remove(handler)
    assert clip.meta.extra["resting_handlers"] == ["a script.pose_it"]
