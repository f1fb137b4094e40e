# SPDX-License-Identifier: GPL-3.0-or-later
"""Labels can be translated, and what users wrote, or what is a sentence, is left as it is.

Blender translates what a layout is given, unless it is told not to. This module is built without
its languages, so a layout of our own stands for one in which everything that may be translated is.
"""

import ast
from pathlib import Path
from types import SimpleNamespace

import bpy
import pytest
import rigs
from added import select_bones, select_objects
from drawn import fresh_session

FUNCTIONS = set(bpy.types.UILayout.bl_rna.functions.keys())


class Layout:
    """Notes what would be drawn, and whether it would be translated: (text, bool)."""

    def __init__(self):
        self.drawn = []

    def __getattr__(self, name):
        if name not in FUNCTIONS:
            raise AttributeError(name)
        return lambda *_what, **how: self._note(name, **how)

    def _note(self, name, text="", heading="", placeholder="", translate=True, **_how):
        self.drawn += [(text, translate), (heading, True), (placeholder, True)]
        if name == "panel":
            return self, self
        return SimpleNamespace() if name == "operator" else self


class Context:
    """Blender's, in a sidebar that is wide enough for each sentence."""

    region = SimpleNamespace(width=300)

    def __getattr__(self, name):
        return getattr(bpy.context, name)


def fixed_texts(ext):
    """Every text that stands in the extension as it is, where a catalogue can name it."""
    root = Path(ext.__file__).parent / "addon"
    nodes = [n for f in root.rglob("*.py") for n in ast.walk(ast.parse(f.read_text("utf-8")))]
    return {n.value for n in nodes if isinstance(n, ast.Constant) and isinstance(n.value, str)}


def shown(ext, monkeypatch):
    """What all panels and the list draw."""
    wrapping = ext.addon.ui.wrapping
    monkeypatch.setattr(wrapping, "_lines", lambda text, _room, _size: [text])
    monkeypatch.setattr(wrapping, "_width", lambda text, _size: 6.0 * len(text))
    context, layout = Context(), Layout()
    panels = [each for each in ext.addon.ui.registration.CLASSES if "_PT_" in each.__name__]
    assert len(panels) > 10
    for panel in panels:
        if getattr(panel, "poll", lambda _context: True)(context):
            me = SimpleNamespace(layout=layout)
            for name in ("notes", "_answers", "_findings", "_details"):
                if hasattr(panel, name):
                    held = getattr(panel, name)
                    setattr(me, name, held.__get__(me) if callable(held) else held)
            panel.draw(me, context)
    session = bpy.context.window_manager.plumbline
    for number, line in enumerate(session.findings):
        ext.addon.ui.list_panel.PLUMBLINE_UL_findings.draw_item(
            None, context, layout, session, line, 0, session, "active", number
        )
    return {each for each in layout.drawn if each[0]}


@pytest.fixture
def theirs(ext):
    """A checked scene full of users' own names and words."""
    fresh_session(ext)
    rig, crate = rigs.biped(), rigs.cube("my crate")
    rig.name = "my rig"
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    select_objects(crate)
    bpy.ops.plumbline.bear_weight()
    select_bones(rig, "head")
    bpy.ops.plumbline.follow()
    bpy.ops.object.mode_set(mode="OBJECT")
    bpy.ops.plumbline.declare_event(kind="hit", first=4, last=9, part="hand.L")
    bpy.ops.plumbline.check()
    bpy.ops.plumbline.add_note(text="my words", part="head")
    bpy.ops.plumbline.write_markers()
    bpy.ops.plumbline.bake_sphere()
    return rig


def test_labels_are_fixed_texts_and_what_is_the_user_s_is_left_alone(ext, theirs, monkeypatch):
    known = fixed_texts(ext)
    found = shown(ext, monkeypatch)
    bpy.ops.plumbline.keep_intended(reason="my reason")
    found |= shown(ext, monkeypatch)
    assert sorted(text for text, translated in found if translated and text not in known) == []
    labels = {text for text, translated in found if translated}
    assert {"House Style", "Keep as Intended...", "Add Part", "Save..."} <= labels
    left = " ".join(text for text, translated in found if not translated)
    for own in ("my rig", "my crate", "my words", "my reason", "Head: pop", "jumps"):
        assert own in left
        assert not [text for text in labels if own in text]
