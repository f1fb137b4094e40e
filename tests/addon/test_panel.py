# SPDX-License-Identifier: GPL-3.0-or-later
"""The panel's operators: they fill the session, move the playhead, and change nothing else."""

from types import SimpleNamespace

import bpy
import pytest
import rigs
from added import Paper
from digest import difference, digest


@pytest.fixture
def session():
    fresh = bpy.context.window_manager.plumbline
    fresh.rig, fresh.cycle, fresh.stage = "", "auto", "polish"
    return fresh


def popping():
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    bpy.context.scene.frame_set(3)
    return rig


def test_check_fills_the_list_and_changes_nothing(session):
    popping()
    before = digest()
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    assert difference(before, digest()) == {}
    (line,) = session.findings
    assert line.says.startswith("The head jumps")
    assert line.title == "Head: pop"
    assert line.tip.startswith(f"Head: pop: {line.says} Click to read it")
    assert line.major
    assert line.frame == 25
    assert line.mend.startswith("Bring it")
    assert session.rig == ""  # what the user picks is the user's
    assert session.headline == "porter, frames 1 to 40: 1 major finding."
    assert [note.says for note in session.skipped] == [
        "Double frame, loop seam: the range does not play as a cycle.",
        "Slide, sink: no foot is ever planted (low, and slow for a while).",
        "Stomp: no foot lands in this range.",
        "Overreach: no limb changes its length, and the clip holds no IK target of a bent one.",
        "Gravity, carry: nothing leaves the ground in this range.",
        "Sway: no foot lands, lifts and lands again while the other one steps.",
        "Stop together: the figure never comes to rest from a move for .3 s or more.",
        "Stiff prop, prop clash, edge on: no hand holds a prop.",
        "Camera jump: the shot has no camera.",
    ]


def test_handlers_that_rest_are_named(session):
    def pose_the_rig(_scene, _depsgraph=None):
        raise AssertionError("must rest")

    popping()
    bpy.app.handlers.frame_change_pre.append(pose_the_rig)
    try:
        bpy.ops.plumbline.check()
    finally:
        bpy.app.handlers.frame_change_pre.remove(pose_the_rig)
    told = session.skipped[-1].says
    assert told.startswith("What 'test_panel.test_handlers")
    assert told.endswith(
        "pose_the_rig' poses is not measured: scripts that follow the playhead rest during a check."
    )


def test_go_to_moves_the_playhead(session):
    popping()
    bpy.ops.plumbline.check()
    assert bpy.ops.plumbline.go_to(index=0) == {"FINISHED"}
    assert bpy.context.scene.frame_current == 25
    assert bpy.ops.plumbline.go_to(index=7) == {"CANCELLED"}
    assert bpy.context.scene.frame_current == 25


def drawn_lines(ext, session, width, scale):
    """What the list draws in a sidebar of so many pixels, six a letter: (text, icon), and what is
    faint."""
    panel, paper, faint = ext.addon.ui.list_panel, Paper(), []
    context = sidebar(width, scale)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(panel, "text_width", lambda _context, text: 6.0 * scale * len(text))
        for index, item in enumerate(session.findings):
            paper.active = True
            panel.PLUMBLINE_UL_findings.draw_item(
                None, context, paper, session, item, 0, session, "active", index
            )
            faint.append(not paper.active)
    assert [button.index for _name, button in paper.buttons] == list(range(len(faint)))
    return paper.lines, faint


def sidebar(width, scale):
    """The context of a sidebar of so many pixels."""
    system = SimpleNamespace(ui_scale=scale)
    return SimpleNamespace(
        region=SimpleNamespace(width=width), preferences=SimpleNamespace(system=system)
    )


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_a_narrow_sidebar_shows_the_part_and_what_first(ext, session, scale):
    session.findings.clear()
    for title, major in (("Left foot: slide", True), ("Whole body: stop together", False)):
        line = session.findings.add()
        line.title, line.major = title, major
    wide = drawn_lines(ext, session, 292 * scale, scale)
    assert wide == ([("Left foot: slide", "ERROR"), ("Whole body: stop together", "DOT")], [0, 0])
    narrow = drawn_lines(ext, session, 183 * scale, scale)
    assert narrow == ([("L foot: slide", "NONE"), ("Body: stop together", "NONE")], [0, 1])
    # A sign takes its room, from all titles alike.
    session.findings[0].state = "new"
    lines, _faint = drawn_lines(ext, session, 292 * scale, scale)
    titles = [("L foot: slide", "ERROR"), ("", "ADD"), ("Body: stop together", "DOT")]
    assert lines == titles


def test_signs_are_told_where_they_stand_and_the_worst_look_like_the_list(
    ext, session, monkeypatch
):
    panel = ext.addon.ui.list_panel
    monkeypatch.setattr(panel, "text_width", lambda _context, text: len(text))
    monkeypatch.setattr(Paper, "popover", lambda *_what, **_how: None, raising=False)
    monkeypatch.setattr(Paper, "template_list", lambda *_what, **_how: None, raising=False)
    context = sidebar(292, 1.0)
    session.findings.clear()
    for number, title in enumerate(("Head: pop", "Root: pop", "Neck: pop", "Left foot: slide")):
        line = session.findings.add()
        line.title, line.frame_text, line.place, line.major = title, str(number), number, number < 3
        line.group, line.state = "body", "new" if number == 1 else "unchanged"
    paper = Paper()
    panel.draw_list(context, paper, session)
    rows = [each for each in paper.lines if each[1] in ("ERROR", "DOT", "ADD")]
    worst = [(line.title, "ERROR") for line in session.findings[:3]]
    assert rows == [*worst, ("Minor", "DOT"), ("New", "ADD")]
    goes = [button.index for name, button in paper.buttons if name == "plumbline.go_to"]
    assert goes == [0, 1, 2]
    for line in session.findings:
        line.major, line.state = True, "unchanged"
    paper = Paper()
    panel.draw_list(context, paper, session)
    assert [each for each in paper.lines if each[1] in ("DOT", "ADD")] == []


def test_the_number_of_a_line_tells_the_whole_finding(ext, session):
    popping()
    bpy.ops.plumbline.check()
    tell = ext.addon.ui.go_to.PLUMBLINE_OT_go_to.description
    text = tell(bpy.context, SimpleNamespace(index=0))
    assert text.startswith(f"{session.findings[0].says} {session.findings[0].mend}\n")
    assert tell(bpy.context, SimpleNamespace(index=7)) == ""


def test_a_second_check_replaces_the_first(session):
    popping()
    bpy.ops.plumbline.check()
    session.cycle = "yes"
    bpy.ops.plumbline.check()
    assert "loop: " in session.headline
    assert not [note for note in session.skipped if "Double frame" in note.says]


def test_the_active_rig_is_checked_else_the_first_that_is_animated(session):
    rigs.biped("one")
    two = rigs.biped("two")
    still = rigs.armature("still", rigs.BIPED)
    for active, checked in ((two, "two"), (still, "one"), (None, "one")):
        bpy.context.view_layer.objects.active = active
        bpy.ops.plumbline.check()
        assert session.headline.startswith(f"{checked}, ")


def test_what_could_not_be_judged_is_not_called_good(session):
    rigs.biped()
    bpy.ops.plumbline.check()
    assert session.headline.endswith(": nothing to mend, 15 checks not judged.")
    assert not session.unjudged
    rigs.set_range(1, 4)
    bpy.ops.plumbline.check()
    assert session.headline == "porter, frames 1 to 4: nothing could be judged."
    assert session.unjudged


def test_a_blocking_pass_is_asked_less(session):
    popping()
    session.stage = "blocking"
    bpy.ops.plumbline.check()
    assert len(session.findings) == 0
    (told,) = [n.says for n in session.skipped if "not asked in the blocking stage" in n.says]
    assert told.startswith("Loop seam, pop, hitch, ")


def test_the_rig_that_is_named_is_checked(session):
    rigs.biped("one")
    rigs.biped("two")
    session.rig = "two"
    bpy.ops.plumbline.check()
    assert session.headline.startswith("two")


@pytest.mark.parametrize("case", ["empty", "still", "gone"])
def test_problems_are_told_in_the_panel(session, case):
    if case == "still":
        rigs.armature("porter", rigs.BIPED)
    if case == "gone":
        rigs.biped()
        session.rig = "ghost"
    with pytest.raises(RuntimeError, match="expected"):
        bpy.ops.plumbline.check()
    assert session.problem.endswith(".")
    assert len(session.findings) == 0
    assert session.headline == ""


def test_a_new_file_forgets_the_answers(session):
    popping()
    bpy.ops.plumbline.check()
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    forgotten = bpy.context.window_manager.plumbline
    assert len(forgotten.findings) == 0
    assert forgotten.rig == ""


def test_disabling_leaves_nothing_and_enabling_works_again(ext):
    ext.unregister()
    assert not hasattr(bpy.types.WindowManager, "plumbline")
    assert not hasattr(bpy.types, "PLUMBLINE_PT_check")
    ext.register()
    rigs.biped()
    assert bpy.ops.plumbline.check() == {"FINISHED"}


def test_every_property_and_operator_explains_itself():
    """Blender shows these texts where the mouse rests."""
    session = bpy.types.WindowManager.bl_rna.properties["plumbline"].fixed_type
    for name in ("rig", "cycle"):
        assert len(session.properties[name].description) > 10
    for operator in (bpy.ops.plumbline.check, bpy.ops.plumbline.go_to):
        assert len(operator.get_rna_type().description) > 10
