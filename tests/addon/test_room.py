# SPDX-License-Identifier: GPL-3.0-or-later
"""While Watch updates, what the panel has stays in place, and says when it is of before."""

import textwrap
from types import SimpleNamespace

import bpy
import pytest
from test_watch import edit, evaluated, loop, session, ticks

__all__ = ["evaluated", "loop", "session"]


class Layout:
    """Stands for a layout: notes what takes room, in order, and whether it is faint."""

    def __init__(self, noted, above=None):
        self._noted, self._above, self.active = noted, above, True

    def column(self, **_how):
        return Layout(self._noted, self)

    row = box = split = column

    def panel(self, _name, **_how):
        return self, None

    def _note(self, kind, text=""):
        at, bright = self, True
        while at is not None:
            at, bright = at._above, bright and at.active
        self._noted.append((kind, text, bright))
        return SimpleNamespace()

    def label(self, *, text, **_how):
        self._note("label", text)

    def progress(self, **_how):
        self._note("search")

    def operator(self, name, **_how):
        return self._note("search" if name == "plumbline.find_causes" else name)

    def prop(self, _owner, name, **_how):
        self._note(name)

    def popover(self, name, **_how):
        self._note(name)

    def template_list(self, *_names, rows, **_how):
        self._note("list", str(rows))


class Sidebar:
    """The context of a sidebar."""

    region = SimpleNamespace(width=300, as_pointer=lambda: 1)

    def __getattr__(self, name):
        return getattr(bpy.context, name)


@pytest.fixture
def drawn(ext, monkeypatch):
    """Draws the panel; returns what takes room in it."""
    ui = ext.addon.ui
    monkeypatch.setattr(ui.wrapping, "_lines", lambda text, _room, _size: textwrap.wrap(text, 40))
    of_class = vars(ui.panel.PLUMBLINE_PT_check)

    class Panel:
        layout = None
        draw, _answers = of_class["draw"], of_class["_answers"]
        _findings, _details = of_class["_findings"], of_class["_details"]

    def draw():
        panel = Panel()
        panel.layout = Layout([])
        panel.draw(Sidebar())
        noted = panel.layout._noted
        known = {"Causes are known.": "search"}
        return [(known.get(text, kind), text, bright) for kind, text, bright in noted]

    yield draw
    ui.room.forget()


def kinds(noted):
    return [kind for kind, _text, _bright in noted]


def causes_in(noted):
    """The lines about the key, and whether they are bright."""
    return [(text, bright) for _kind, text, bright in noted if "head, rotation, key" in text]


def test_the_panel_keeps_its_height_while_causes_are_looked_for_again(ext, loop, session, drawn):
    bpy.ops.plumbline.find_causes()
    before = drawn()
    assert "plumbline.select_key" in kinds(before)
    ((told, bright),) = causes_in(before)
    assert bright
    edit(0.1, 3)  # the spike itself
    ticks(loop)
    assert not session.explained
    between = drawn()
    assert kinds(between) == kinds(before)
    ((past, bright),) = causes_in(between)
    assert past.startswith(f"Was: {told[:20]}")
    assert not bright
    assert not bpy.ops.plumbline.select_key.poll()  # it is not known whose key it is
    loop.tick()
    assert session.explained
    after = drawn()
    assert kinds(after) == kinds(before)
    ((told, bright),) = causes_in(after)
    assert bright
    assert not told.startswith("Was: ")


def test_what_was_known_goes_on_over_updates_and_a_press_forgets_it(ext, loop, session, drawn):
    bpy.ops.plumbline.find_causes()
    for _ in range(2):
        edit(0.1, 3)
        ticks(loop)
    ((past, _bright),) = causes_in(drawn())
    assert past.startswith("Was: ")
    bpy.ops.plumbline.check()
    assert causes_in(drawn()) == []


def test_a_sentence_that_gets_shorter_leaves_its_rows(ext, loop, session, drawn):
    line = session.findings[0]
    line.says = "The head jumps, and this takes some more lines than it will after the next edit."
    before = kinds(drawn())
    line.says = "The head jumps."
    assert kinds(drawn()) == before
    session.watch = False
    assert len(drawn()) < len(before)


def test_lines_stay_folded_while_causes_are_looked_for_again(ext):
    shown = ext.addon.ui.shown
    finding = SimpleNamespace(id="a", after=None)
    under = SimpleNamespace(id="b", after=None)
    was = {"b": SimpleNamespace(id="b", after="a")}
    assert shown.as_known((finding, under), was) == (finding, was["b"])
    assert ext.addon.ui.folding.leaders_of(shown.as_known((finding, under), was)) == [-1, 0]
