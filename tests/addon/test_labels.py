# SPDX-License-Identifier: GPL-3.0-or-later
"""Everything that can be pressed or set has a name and a tooltip, and can be translated."""

import ast
from pathlib import Path

import bpy
import pytest

FOLDERS = ("ui", "sphere", "overlay", "strip", "signals", "watch")
# Layout calls whose text Blender looks up in its catalogues unless it is told not to.
TEXTS = {"label", "operator", "operator_menu_enum", "prop", "prop_menu_enum", "menu"}


@pytest.fixture
def classes(ext):
    return ext.addon.ui.registration.CLASSES


def sources(ext):
    folder = Path(ext.addon.__file__).parent
    for name in FOLDERS:
        yield from sorted((folder / name).glob("*.py"))


def calls(ext):
    """(file, call) of every call of a method in the files that draw."""
    for path in sources(ext):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
                yield path.name, node


def rna(cls):
    """What Blender knows of a class; of an operator it stands with what is called."""
    if issubclass(cls, bpy.types.Operator):
        module, name = cls.bl_idname.split(".")
        return getattr(getattr(bpy.ops, module), name).get_rna_type()
    return cls.bl_rna


def properties(cls):
    """Its own properties that a user may see."""
    inherited = {"rna_type", "name", "bl_idname"}
    found = rna(cls).properties
    return [p for p in found if p.identifier not in inherited and not p.is_hidden]


def is_told(text):
    return bool(text) and text == text.strip() and not text.endswith(".")


def test_operators_and_panels_have_a_label_and_operators_a_tooltip(classes):
    operators = [cls for cls in classes if issubclass(cls, bpy.types.Operator)]
    assert operators
    for cls in classes:
        if issubclass(cls, (bpy.types.Operator, bpy.types.Panel)):
            assert is_told(cls.bl_label.removesuffix("...")), cls  # a dialog follows
    for cls in operators:
        assert is_told(rna(cls).description), cls


def test_what_can_be_set_has_a_name_and_a_tooltip(classes):
    for cls in classes:
        if not issubclass(cls, (bpy.types.Panel, bpy.types.UIList, bpy.types.PropertyGroup)):
            for prop in properties(cls):
                assert is_told(prop.name), (cls, prop.identifier)
                assert is_told(prop.description), (cls, prop.identifier)
        shown = () if issubclass(cls, (bpy.types.Panel, bpy.types.UIList)) else properties(cls)
        for prop in shown:
            for item in prop.enum_items_static if prop.type == "ENUM" else ():
                assert not item.description.endswith("."), (cls, item.identifier)


def test_what_is_drawn_of_a_session_has_a_tooltip(ext, classes):
    groups = [cls for cls in classes if issubclass(cls, bpy.types.PropertyGroup)]
    named = [p for cls in groups for p in properties(cls) if p.name != p.identifier and p.name]
    for prop in named:
        assert is_told(prop.description), prop.identifier
    told = {p.identifier for p in named}
    told |= {p.identifier for cls in classes if cls not in groups for p in properties(cls)}
    drawn = {
        call.args[1].value
        for _file, call in calls(ext)
        if call.func.attr == "prop"
        and len(call.args) > 1
        and isinstance(call.args[1], ast.Constant)
    }
    assert {"rig", "stage"} <= drawn
    assert drawn <= told


def test_text_that_is_put_together_is_not_looked_up_in_a_catalogue(ext):
    found = 0
    for file, call in calls(ext):
        given = {keyword.arg: keyword.value for keyword in call.keywords}
        if call.func.attr in TEXTS and isinstance(given.get("text"), ast.JoinedStr):
            found += 1
            told = given.get("translate")
            assert isinstance(told, ast.Constant), (file, call.lineno)
            assert told.value is False, (file, call.lineno)
    assert found
