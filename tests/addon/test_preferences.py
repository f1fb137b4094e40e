# SPDX-License-Identifier: GPL-3.0-or-later
"""The preferences reach the check; without any, the defaults hold. Keys take nobody else's."""

import importlib.util
from itertools import product
from pathlib import Path
from types import SimpleNamespace

import bpy
import pytest
import rigs

from analysis.checks import REGISTRY
from tests.harness import extension

HELD = ("ctrl", "alt", "shift", "oskey")
# Where our keys are pressed, the other keymaps that listen there as well: all but those of other
# editors, and those of a tool that runs or is inside a text or a menu.
ELSEWHERE = ("Image", "UV ", "Node", "Sequencer", "Preview", "Clip", "Mask", "Text", "Console")
ELSEWHERE += ("File", "Outliner", "Modal", "Video", "Property", "Info", "Spreadsheet", "Font")


@pytest.fixture
def preferences():
    held = bpy.context.preferences.addons[extension.PACKAGE].preferences
    yield held
    for name in ("tolerance", "units", "keep_passes", "frame_view", "select_control", "author"):
        held.property_unset(name)
    for name in held.asked.bl_rna.properties.keys():  # noqa: SIM118 - no dict
        if name not in ("rna_type", "name"):
            held.asked.property_unset(name)


def popping():
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)


def test_the_tolerance_is_what_the_panel_begins_with(ext, preferences):
    session = bpy.context.window_manager.plumbline
    preferences.tolerance = "loose"
    assert session.tolerance == "loose"
    assert ext.addon.ui.asked.settings_of(bpy.context).tolerance == "loose"
    session.tolerance = "strict"
    preferences.tolerance = "normal"
    assert session.tolerance == "strict"


def test_a_check_that_is_switched_off_is_not_asked_and_said(ext, preferences):
    popping()
    session = bpy.context.window_manager.plumbline
    bpy.ops.plumbline.check()
    assert [line.title for line in session.findings] == ["Head: pop"]
    preferences.asked.pop = False
    assert ext.addon.ui.changes.why_old(bpy.context) == ext.addon.ui.changes.ASKED
    bpy.ops.plumbline.check()
    assert "Head: pop" not in [line.title for line in session.findings]
    told = [note.says for note in session.skipped]
    assert "Pop: switched off in the preferences." in told


def test_without_preferences_the_defaults_hold(ext, preferences):
    of = ext.addon.ui.preferences.preferences_of
    assert of(bpy.context) == ext.addon.ui.preferences.Preferred()
    nobody = SimpleNamespace(preferences=SimpleNamespace(addons={}))
    preferences.author, preferences.keep_passes = " lead ", False
    assert of(nobody) == ext.addon.ui.preferences.Preferred()
    assert (of(bpy.context).author, of(bpy.context).keep_passes) == ("lead", False)


def test_each_check_has_one_checkbox_in_one_group(ext):
    listed = [name for names in ext.addon.ui.asked_checks.GROUPS.values() for name in names]
    assert sorted(listed) == sorted(check.info.name for check in REGISTRY)


def test_all_preferences_are_drawn(ext, preferences):
    shown = []

    class Layout:
        def __getattr__(self, _name):
            return lambda *_args, **_how: self

        def prop(self, owner, name, **_how):
            assert name in owner.bl_rna.properties
            shown.append(name)

    drawing = SimpleNamespace(layout=Layout(), asked=preferences.asked, look=preferences.look)
    drawing.bl_rna = preferences.bl_rna
    ext.addon.ui.preferences.PlumblinePreferences.draw(drawing, bpy.context)
    own = set(preferences.bl_rna.properties.keys()) - {"rna_type", "bl_idname"}
    looks = {*preferences.look.bl_rna.properties.keys(), *ext.addon.overlay.layers.NAMES}
    own = (own | looks) - {"asked", "look", "layers", "rna_type", "name"}
    assert set(shown) >= own | {check.info.name for check in REGISTRY}


def ours():
    config = bpy.context.window_manager.keyconfigs.addon
    return [
        (keymap.name, item.idname, item.type, tuple(bool(getattr(item, name)) for name in HELD))
        for keymap in config.keymaps
        for item in keymap.keymap_items
        if item.idname.startswith("plumbline.")
    ]


def shipped(name):
    """{(key, held)} that a keymap which Blender ships takes, as its own file states it."""
    folder = Path(bpy.utils.preset_paths("keyconfig")[0]) / "keymap_data"
    spec = importlib.util.spec_from_file_location(name, folder / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    for keymap, _where, content in module.generate_keymaps(module.Params()):
        if not any(part in keymap for part in ELSEWHERE):
            for _operator, event, _told in content["items"]:
                yield from takes(event.get)


def takes(told):
    for held in product((False, True), repeat=len(HELD)):
        if told("any") or all(
            told(name) == -1 or bool(told(name)) == on for name, on in zip(HELD, held, strict=True)
        ):
            yield told("type"), held


@pytest.mark.parametrize("name", ["blender_default", "industry_compatible_data"])
def test_our_keys_are_free_in_the_keymaps_that_blender_ships(name):
    taken = set(shipped(name))
    assert ("A", (False,) * 4) in taken
    keys = {(key, held) for _keymap, _operator, key, held in ours()}
    assert keys
    assert not keys & taken


def test_our_keys_are_free_in_the_keymaps_of_this_blender():
    keys = {(key, held) for _keymap, _operator, key, held in ours()}
    for name in ("default", "user"):
        for keymap in getattr(bpy.context.window_manager.keyconfigs, name).keymaps:
            items = [i for i in keymap.keymap_items if not i.idname.startswith("plumbline.")]
            if not any(part in keymap.name for part in ELSEWHERE):
                for item in items:
                    assert not keys & set(takes(lambda told, of=item: getattr(of, told)))


def test_keys_are_there_for_what_is_registered_and_gone_with_it(ext):
    found = ours()
    for entry in ext.addon.ui.keys.ENTRIES:
        known = hasattr(bpy.types, "PLUMBLINE_OT_" + entry.operator.split(".")[1])
        made = {
            keymap
            for keymap, name, key, _held in found
            if (name, key) == (entry.operator, entry.key)
        }
        assert made == (set(entry.where) if known else set())
    extension.disable()
    assert ours() == []
    extension.enable()
    assert ours() == found
