# SPDX-License-Identifier: GPL-3.0-or-later
"""Causes in the panel: one sentence each, what goes with them, and lines that fold."""

from dataclasses import replace
from types import SimpleNamespace

import bpy
import pytest
import rigs
from added import Paper
from explained import cause_of, edit, explained, tell
from test_panel import drawn_lines

UNEXPLAINED = {"control": None, "channel": None, "frame": None, "action_frame": None}


class Canvas(Paper):
    """Notes what is faint as well, and draws no list."""

    def __init__(self):
        super().__init__()
        self.columns, self.texts = [], []

    def column(self, **_how):
        made = Canvas()
        made.lines, made.buttons, made.texts = self.lines, self.buttons, self.texts
        self.columns.append(made)
        return made

    row = box = column

    def label(self, *, text, icon="NONE", **_how):
        self.lines.append((text, icon))

    def operator(self, name, *, text="", **how):
        self.texts.append(text)
        return super().operator(name, **how)

    def template_list(self, *_names, rows, **_how):
        self.lines.append((f"list of {rows}", "NONE"))


def plain_text(_context, layout, text, icon="NONE", **_how):
    if text:
        layout.label(text=text, icon=icon)


def details(ext, monkeypatch):
    """The lines and the buttons of the box below the list."""
    monkeypatch.setattr(
        ext.addon.ui.causes_panel,
        "draw_text",
        plain_text,
    )
    canvas = Canvas()
    ext.addon.ui.causes_panel.draw_causes(bpy.context, canvas)
    return canvas.lines, [name for name, _button in canvas.buttons]


def test_causes_are_told_below_the_sentence(ext, monkeypatch):
    _session, rig = explained(ext)
    cause = cause_of(rig)
    causes = [cause, *(replace(cause, frame=float(n), share=0.05) for n in (3, 4, 5))]
    causes.append(replace(cause, **UNEXPLAINED, share=0.13, why="keys play together", mend=""))
    tell(ext, [causes])
    lines, buttons = details(ext, monkeypatch)
    assert lines == [
        ("head, rotation, key 20 (72 %): linear key", "KEYFRAME_HLT"),
        ("head, rotation, key 3 (5 %): linear key", "BLANK1"),
        ("head, rotation, key 4 (5 %): linear key", "BLANK1"),
        ("No single key explains the rest (13 %)", "BLANK1"),
    ]
    assert buttons == ["plumbline.select_key", "plumbline.smooth_key"]


@pytest.mark.parametrize("mend", ["move", "retime", "spread", "unwind", ""])
def test_the_button_is_that_of_the_mend(ext, monkeypatch, mend):
    explained(ext, mend=mend)
    _lines, buttons = details(ext, monkeypatch)
    assert buttons[1:] == ([f"plumbline.{mend}_key"] if mend else [])


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"spoils": "Head: pop"}, "Mending this key alone makes another finding (Head: pop)"),
        ({"mend": "move", "misses": 0.4}, "What this key was to be is not clear"),
    ],
)
def test_a_mend_that_is_no_good_is_cautioned_against(ext, monkeypatch, changes, told):
    explained(ext, **changes)
    lines, buttons = details(ext, monkeypatch)
    assert lines[-1][0].startswith(told)
    assert buttons == ["plumbline.select_key"]
    with pytest.raises(RuntimeError, match=told[:30]):
        getattr(bpy.ops.plumbline, f"{changes.get('mend', 'smooth')}_key")()


@pytest.mark.parametrize("changes", [{"share": 0.2}, {"takes": 0.3}])
def test_a_mend_that_does_not_take_the_finding_has_no_button(ext, monkeypatch, changes):
    explained(ext, **changes)
    assert details(ext, monkeypatch)[1] == ["plumbline.select_key"]
    with pytest.raises(RuntimeError, match="poll"):
        bpy.ops.plumbline.smooth_key()


@pytest.mark.parametrize(
    ("frames", "told"),
    [((20.0,), "Move Key to Suggestion"), ((20.0, 30.0), "Move Keys to Suggestion")],
)
def test_the_button_says_whether_one_key_moves(ext, monkeypatch, frames, told):
    edits = tuple(edit("rotation_euler.x", 5.7, 9.0, frame=frame) for frame in frames)
    explained(ext, mend="move", edits=edits)
    monkeypatch.setattr(ext.addon.ui.causes_panel, "draw_text", lambda *_told, **_how: None)
    canvas = Canvas()
    ext.addon.ui.causes_panel.draw_causes(bpy.context, canvas)
    assert canvas.texts[-1] == told


def test_a_joint_without_a_key_has_no_button(ext, monkeypatch):
    explained(ext, action_frame=None)
    assert details(ext, monkeypatch)[1] == []


def folded(ext):
    """Three findings, of which the third goes with the first."""
    session, rig = explained(ext)
    rigs.spike(rig.pose.bones["upper_arm.L"], "rotation_euler", 2, 12, 0.6)
    rigs.spike(rig.pose.bones["upper_arm.R"], "rotation_euler", 2, 30, 0.6)
    bpy.ops.plumbline.check()
    shot = ext.addon.ui.last_check.last_check().examination.shot
    first, second, third = shot.findings[:3]
    assert len(shot.findings) == 3
    told = (
        replace(first, causes=(cause_of(rig),), clears=(third.id,)),
        second,
        replace(third, after=first.id),
    )
    ext.addon.ui.causes_session.store_causes(session, replace(shot, findings=told))
    return session


def listed(ext, session):
    """Titles in the order and as far as the list shows them."""
    finder = SimpleNamespace(filter_name="", bitflag_filter_item=1)
    panel = ext.addon.ui.list_panel.PLUMBLINE_UL_findings
    shown, places = panel.filter_items(finder, bpy.context, session, "findings")
    order = sorted(range(len(shown)), key=lambda n: places[n] if places else n)
    return [number for number in order if shown[number]]


def test_lines_that_go_with_a_cause_fold_under_it(ext, monkeypatch):
    session = folded(ext)
    assert listed(ext, session) == [0, 1]
    assert details(ext, monkeypatch)[0][-1][0] == "Mend head, frame 20: 2 of 3 lines go."
    session.findings[0].open = True
    assert listed(ext, session) == [0, 2, 1]
    session.active = 2
    assert details(ext, monkeypatch)[0][-1][0] == "It goes once head, frame 20, is mended."
    session.findings[0].open = False
    assert session.active == 0  # what is read does not vanish


def test_what_is_read_stays_in_sight_when_causes_come(ext):
    session = folded(ext)
    session.active = 2
    shot = ext.addon.ui.last_check.last_check().examination.shot
    ext.addon.ui.causes_session.store_causes(session, shot)
    assert listed(ext, session) == [0, 2, 1]


def test_a_leader_has_a_triangle_and_what_goes_with_it_a_gap(ext):
    session = folded(ext)
    lines, _faint = drawn_lines(ext, session, 300, 1.0)
    arrow, title = lines[:2]
    assert arrow == ("", "FIELD")
    assert title == (ext.addon.ui.list_panel.brief(session.findings[0].title), "ERROR")
    assert lines[3:5] == [("", "ADD"), ("", "BLANK1")]  # what is new has a sign
    session.findings[0].open = True
    assert drawn_lines(ext, session, 300, 1.0)[0][0] == ("", "FIELD")


def test_a_new_check_forgets_causes_and_folds(ext):
    session = folded(ext)
    bpy.ops.plumbline.check()
    assert listed(ext, session) == [0, 1, 2]
    assert not session.explained
    assert not session.folding


def test_chains_fold_at_their_top_and_rings_not_at_all(ext):
    leaders = ext.addon.ui.folding.leaders_of
    chain = [SimpleNamespace(id=name, after=after) for name, after in ("a-", "ba", "cb", "dx")]
    assert leaders(chain) == [-1, 0, 0, -1]
    ring = [SimpleNamespace(id=name, after=after) for name, after in ("ab", "ba", "cc", "da")]
    assert leaders(ring)[:3] == [-1, -1, -1]


def test_no_line_breaks_between_a_number_and_its_unit(ext):
    """However narrow the sidebar is; words alone are never cut."""
    text = "torso (72 %): enters at 3.1 cm a frame,  leaves at 0.4"
    for room in range(0, 400, 7):
        lines = ext.addon.ui.wrapping._lines(text, float(room), 11.0)
        assert " ".join(lines) == " ".join(text.split())
        assert not [line for line in lines if line.startswith(("%", "cm"))]
    assert len(ext.addon.ui.wrapping._lines(text, 0.0, 11.0)) == 10
