# SPDX-License-Identifier: GPL-3.0-or-later
"""How tall the character is in the story, told in the panel."""

import bpy
import drawn
import pytest
import rigs
from mathutils import Matrix

OLD = "The range, a choice, a part or a declaration has changed: check again."


@pytest.fixture
def session(ext):
    yield drawn.fresh_session(ext)
    bpy.context.window_manager.plumbline.height_m = 0.0


def giant():
    """A biped that is modelled at ten times its size."""
    rig = rigs.biped()
    rig.data.transform(Matrix.Scale(10.0, 4))
    return rig


def judged(ext):
    return ext.addon.ui.last_check.last_check().examination


def test_what_is_told_is_how_tall_it_is(ext, session):
    giant()
    bpy.ops.plumbline.check()
    assert judged(ext).shot.height_m is None
    assert "17.80 m" in judged(ext).basis.height.why_no_scale
    session.height_m = 1.7
    assert ext.addon.ui.changes.why_old(bpy.context) == OLD
    bpy.ops.plumbline.check()
    assert judged(ext).shot.height_m == 1.7
    assert judged(ext).basis.height.why_no_scale == ""
    assert ext.addon.ui.changes.why_old(bpy.context) == ""


def test_left_at_nothing_it_is_the_rest_pose(ext, session):
    rigs.biped()
    assert session.height_m == 0.0
    bpy.ops.plumbline.check()
    shot = judged(ext).shot
    assert shot.height_m == pytest.approx(judged(ext).basis.height.scene_m)


def test_centimetres_are_refused_in_a_sentence(session):
    rigs.biped()
    session.height_m = 170.0
    with pytest.raises(RuntimeError, match="Height is 170 m"):
        bpy.ops.plumbline.check()
    assert session.problem.endswith("if centimetres are meant, say 1.7.")


def test_another_rig_and_another_file_are_as_tall_as_they_are(session):
    rigs.biped("one")
    rigs.biped("two")
    session.height_m = 1.2
    session.rig = "two"
    assert session.height_m == 0.0
    session.height_m = 1.2
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    assert bpy.context.window_manager.plumbline.height_m == 0.0
