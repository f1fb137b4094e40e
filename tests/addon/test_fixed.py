# SPDX-License-Identifier: GPL-3.0-or-later
"""Props that are said to be rigid with the arm, in the panel."""

import bpy
import pytest
import rigs
from added import Paper, select_objects
from command_line import save

FIXED = "plumbline_fixed"


class Noted(Paper):
    """Notes how a button would look as well, in words that Blender's own layout takes."""

    def operator(self, name, **how):
        assert how.keys() <= set(bpy.types.UILayout.bl_rna.functions["operator"].parameters.keys())
        self.lines.append((how["text"], how["icon"]))
        return super().operator(name)


def drawn(ext):
    paper = Noted()
    ext.addon.ui.fixed.draw_fixed(bpy.context, paper)
    return paper.lines


def active(item):
    select_objects(item)
    bpy.context.view_layer.objects.active = item
    return item


def shield(rig, kind):
    """A cube that hangs on the left forearm in one of many ways."""
    item = rigs.cube("shield")
    if kind == "BONE":
        item.parent, item.parent_type, item.parent_bone = rig, "BONE", "forearm.L"
        return item
    made = item.constraints.new(kind)
    if kind == "ARMATURE":
        made = made.targets.new()
    made.target, made.subtarget = rig, "forearm.L"
    return item


@pytest.mark.parametrize("kind", ["BONE", "CHILD_OF", "COPY_TRANSFORMS", "ARMATURE"])
def test_a_checkbox_says_that_a_shield_is_rigid(ext, kind):
    rig = rigs.biped()
    item = active(shield(rig, kind))
    sample = ext.addon.sampling.sample
    assert drawn(ext) == [("shield Is Rigid With the Arm", "CHECKBOX_DEHLT")]
    for said, icon in ((True, "CHECKBOX_HLT"), (False, "CHECKBOX_DEHLT")):
        assert bpy.ops.plumbline.fix_prop() == {"FINISHED"}
        assert drawn(ext) == [("shield Is Rigid With the Arm", icon)]
        assert (FIXED in item) is said
        (clip,) = sample(bpy.context.scene, [rig])
        assert [prop.fixed for prop in clip.meta.props] == [said]


def test_it_stands_in_the_ground_panel(ext, monkeypatch):
    active(shield(rigs.biped(), "BONE"))
    panel = ext.addon.ui.ground.PLUMBLINE_PT_ground
    shown = []
    monkeypatch.setattr(ext.addon.ui.ground, "draw_text", lambda *_args: None)
    for name in ("draw_fixed", "draw_mass"):
        monkeypatch.setattr(ext.addon.ui.ground, name, lambda *_args, name=name: shown.append(name))
    panel.draw(type("Panel", (), {"layout": Paper()})(), bpy.context)
    assert shown == ["draw_fixed", "draw_mass"]


@pytest.mark.parametrize("what", ["nothing", "crate", "rig", "parented to the rig"])
def test_what_hangs_on_no_bone_has_no_checkbox(ext, what):
    rig, item = rigs.biped(), rigs.cube("crate")
    item.parent = rig if what.startswith("parented") else None
    active(rig if what == "rig" else item)
    if what == "nothing":
        bpy.context.view_layer.objects.active = None
    assert drawn(ext) == []
    assert not bpy.ops.plumbline.fix_prop.poll()
    with pytest.raises(RuntimeError, match="hangs on a hand or forearm"):
        bpy.ops.plumbline.fix_prop()


def test_what_was_said_by_hand_is_taken_back(ext):
    item = active(shield(rigs.biped(), "BONE"))
    item[FIXED] = 1
    assert bpy.ops.plumbline.fix_prop() == {"FINISHED"}
    assert FIXED not in item


def test_a_linked_prop_is_said_so_in_its_own_file(ext, tmp_path):
    rig = rigs.biped()
    item = shield(rig, "BONE")
    item[FIXED] = True
    path = save(tmp_path / "set.blend")
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    with bpy.data.libraries.load(str(path), link=True) as (_found, wanted):
        wanted.objects = ["porter", "shield"]
    for each in wanted.objects:
        bpy.context.scene.collection.objects.link(each)
    active(wanted.objects[1])
    assert drawn(ext) == [("shield Is Rigid With the Arm", "CHECKBOX_HLT")]
    with pytest.raises(RuntimeError, match="in its own file"):
        bpy.ops.plumbline.fix_prop()


def test_undo_takes_it_back():
    active(shield(rigs.biped(), "BONE"))
    bpy.ops.ed.undo_push(message="before")
    bpy.ops.plumbline.fix_prop("EXEC_DEFAULT", True)
    assert FIXED in bpy.data.objects["shield"]
    bpy.ops.ed.undo()
    assert FIXED not in bpy.data.objects["shield"]
