# SPDX-License-Identifier: GPL-3.0-or-later
"""Parts that the user corrects: kept with the rig, heeded by checks, and told where wrong."""

import bpy
import pytest
import rigs
from added import Paper, overridden
from drawn import fresh_session

# What a rig with bones that tell nothing calls them: letters without a meaning.
PLAIN = {name: f"q{chr(97 + n // 5)}{chr(97 + n % 5)}" for n, name in enumerate(rigs.BIPED)}
TOLD = {
    "root": "hips",
    "chest": "chest",
    "head": "head",
    **{
        f"{kind}.{side}": f"{kind}.{side}"
        for side in "LR"
        for kind in ("thigh", "shin", "foot", "hand")
    },
}


def tell(part, bone):
    return bpy.ops.plumbline.tell_part(part=part, bone=bone)


def roles(ext):
    check = ext.addon.ui.last_check.last_check()
    return {p: j[0] for p, j in check.examination.basis.clip.meta.roles.items()}


def drawn(ext):
    """What the panel of parts draws: (text, icon), and its buttons."""
    paper = Paper()
    panel = ext.addon.ui.parts_panel.PLUMBLINE_PT_parts
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            ext.addon.ui.parts_panel,
            "draw_text",
            lambda _context, layout, text, icon="NONE": layout.label(text=text, icon=icon),
        )
        panel.draw(type("Panel", (), {"layout": paper})(), bpy.context)
    return paper.lines, paper.buttons


def test_a_part_is_corrected_taken_away_and_found_again(ext):
    session = fresh_session(ext)
    rig = rigs.biped()
    bpy.ops.plumbline.check()
    found = roles(ext)
    assert tell("head", "neck") == {"FINISHED"}
    assert ext.addon.ui.changes.why_old(bpy.context) == ext.addon.ui.changes.ASKED
    bpy.ops.plumbline.drop_part(part="hand.L")
    bpy.ops.plumbline.check()
    assert not ext.addon.ui.changes.why_old(bpy.context)
    now = roles(ext)
    assert now["head"] == "neck"
    assert not {"neck", "hand.L"} & set(now)
    assert now == {p: b for p, b in found.items() if p not in ("neck", "hand.L")} | {"head": "neck"}
    for part in ("head", "hand.L"):
        bpy.ops.plumbline.find_part(part=part)
    assert "plumbline_parts" not in rig
    bpy.ops.plumbline.check()
    assert roles(ext) == found
    for part, bone, why in (
        ("head", "no bone", "'porter' has no bone 'no bone', expected one that plays the head"),
        ("head", "", "No bone is chosen"),
    ):
        with pytest.raises(RuntimeError, match=why):
            tell(part, bone)
    rig.data.bones.active = rig.data.bones["neck"]
    bpy.ops.plumbline.tell_part(part="head", active=True)
    with pytest.raises(RuntimeError, match="'neck' is told to be the head already"):
        tell("chest", "neck")
    assert session.rig == ""
    lines, buttons = drawn(ext)
    assert ("Left upper arm", "NONE") in lines
    assert ("Neck", "NONE") not in lines  # its bone is told to be the head
    rows = [(n, b.part) for n, b in buttons if getattr(b, "part", "") == "head"]
    assert rows == [(f"plumbline.{name}_part", "head") for name in ("tell", "tell", "find")]
    told = ext.addon.sampling.told_parts
    shown = ext.addon.ui.parts.shown_parts(bpy.context, rig)
    swap = {f"foot.{a}": shown[f"foot.{b}"] for a, b in ("LR", "RL")}
    (doubt,) = told.part_doubts(rig, shown | swap | {"neck": "spine", "spine.1": "spine"}, {})[1:]
    assert doubt.startswith("Left foot and right foot seem to be swapped")


def test_a_bone_of_the_other_side_and_parts_that_are_all_taken_away_are_told(ext):
    session = fresh_session(ext)
    rig = rigs.biped()
    bpy.ops.plumbline.check()
    found = roles(ext)
    tell("hand.L", "hand.R")
    lone = (
        "No bone plays the right hand, while 'hand.R' is told to be the left hand: correct one of "
        "them, or say that there is no right hand."
    )
    assert {("Right hand", "NONE"), (lone, "ERROR")} < set(drawn(ext)[0])
    bpy.ops.plumbline.check()
    assert {("Right hand", "NONE"), (lone, "ERROR")} < set(drawn(ext)[0])
    bpy.ops.plumbline.drop_part(part="hand.R")
    assert (lone, "ERROR") not in drawn(ext)[0]
    for part in found:
        bpy.ops.plumbline.drop_part(part=part)
    told = ext.addon.sampling.told_parts.all_taken_away(bpy.context.scene, rig, {})
    assert len(told) == 1
    assert (told[0], "ERROR") in drawn(ext)[0]
    bpy.ops.plumbline.check()
    assert roles(ext) == {}
    assert told[0] in [note.says for note in session.skipped]
    bpy.ops.plumbline.find_part(part="root")
    assert (told[0], "ERROR") not in drawn(ext)[0]


def test_a_rig_whose_parts_are_not_found_is_told_and_then_judged_as_a_figure(ext):
    """Every bone hangs on nothing and is called by letters: neither names nor shape tell."""
    session = fresh_session(ext)
    loose = {PLAIN[name]: (None, *ends) for name, (_parent, *ends) in rigs.BIPED.items()}
    rig = rigs.armature("puppet", loose)
    for bone in rig.pose.bones:
        bone.rotation_mode = "XYZ"
    head = rig.pose.bones[PLAIN["head"]]
    rigs.key(head, "rotation_euler", [(0, 0.2, 0), (0.1, -0.2, 0), (0, 0.2, 0)])
    rigs.spike(head, "rotation_euler", 0, 25, 0.5)
    rigs.set_range(1, 40)
    bpy.ops.plumbline.check()
    assert roles(ext) == {}
    assert drawn(ext)[0] == [(ext.addon.ui.parts_panel.NONE_FOUND, "NONE")]
    assert [line.title for line in session.findings] == [f"{PLAIN['head']} (tip): pop"]
    for part, bone in TOLD.items():
        assert tell(part, PLAIN[bone]) == {"FINISHED"}
    bpy.ops.plumbline.check()
    assert roles(ext) == {part: PLAIN[bone] for part, bone in TOLD.items()}
    assert [line.title for line in session.findings] == ["Head: pop"]
    check = ext.addon.ui.last_check.last_check()
    assert len(check.examination.basis.soles) == 2  # feet are looked for on the floor
    assert check.examination.shot.height_m is not None


def test_an_overridden_rig_s_parts_are_kept_by_the_scene_and_bones_that_are_gone_are_told(
    ext, tmp_path
):
    fresh_session(ext)
    rigs.biped()
    rig = overridden(tmp_path)
    rigs.set_range(1, 40)
    assert tell("head", "neck") == {"FINISHED"}
    assert "plumbline_parts" in bpy.context.scene
    assert "plumbline_parts" not in rig
    bpy.ops.plumbline.check()
    assert roles(ext)["head"] == "neck"
    parts = ext.addon.sampling.told_parts
    parts.tell_part(bpy.context.scene, rig, "chest", "ribs")
    bpy.ops.plumbline.check()
    assert roles(ext)["chest"] == "chest"
    (told,) = parts.unread_parts(bpy.context.scene, rig)
    assert told.startswith("The chest of 'porter' is told to be 'ribs', and there is no such bone")
    skipped = [note.says for note in bpy.context.window_manager.plumbline.skipped]
    assert told in skipped
