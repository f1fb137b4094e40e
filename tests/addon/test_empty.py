# SPDX-License-Identifier: GPL-3.0-or-later
"""Where the panel has no answers it says what to do next."""

import bpy
import rigs
from command_line import save
from drawn import checked_session, fresh_session


def told(ext):
    return ext.addon.ui.empty.no_answers_text(bpy.context)


def test_it_says_what_to_do_next(ext):
    session, empty = fresh_session(ext), ext.addon.ui.empty
    assert empty.no_rig_text(bpy.context.scene) == empty.NO_RIG
    rigs.biped()
    assert not empty.no_rig_text(bpy.context.scene)
    assert told(ext) == empty.UNCHECKED
    session.rig = "ghost"
    assert told(ext) == "'ghost' is not in this scene: pick a rig that is."
    session.rig = "porter"
    assert told(ext) == empty.UNCHECKED
    bpy.ops.plumbline.check()
    assert told(ext) == ""


def test_a_scene_that_was_checked_brings_its_answers_back(ext):
    session = checked_session(ext)
    first, second = bpy.context.scene, bpy.data.scenes.new("second")
    bpy.context.window.scene = second
    assert told(ext) == ext.addon.ui.empty.ELSEWHERE
    assert not bpy.ops.plumbline.show_answers.poll()
    rigs.biped("clerk")
    bpy.ops.plumbline.check()
    assert session.headline.startswith("clerk, ")
    bpy.context.window.scene = first
    assert told(ext) == ext.addon.ui.empty.ELSEWHERE
    assert bpy.ops.plumbline.show_answers() == {"FINISHED"}
    assert told(ext) == ""
    assert session.headline.startswith("porter, ")


def test_a_linked_rig_is_mended_in_its_file(ext, tmp_path):
    checked_session(ext)
    assert ext.addon.ui.empty.linked_text(bpy.context) == ""
    library = save(tmp_path / "quay.blend")
    bpy.ops.wm.read_homefile(use_empty=True)
    with bpy.data.libraries.load(str(library), link=True) as (_found, asked_for):
        asked_for.objects = ["porter"]
    bpy.context.scene.collection.objects.link(asked_for.objects[0])
    rigs.set_range(1, 40)
    bpy.ops.plumbline.check()
    expected = "This rig is linked: what is found is mended in quay.blend."
    assert ext.addon.ui.empty.linked_text(bpy.context) == expected
