# SPDX-License-Identifier: GPL-3.0-or-later
"""Inside Blender: one copy of the analysis, an empty file for each test, leftovers noticed."""

import importlib
import sys

import bpy
import pytest

from tests.harness.extension import PACKAGE, is_enabled
from tests.harness.leftovers import Ledger


def test_analysis_is_the_extensions_own(ext, analysis):
    top = importlib.import_module("analysis")
    clip = importlib.import_module("analysis.clip")
    assert top is analysis is ext.analysis is sys.modules[f"{PACKAGE}.analysis"]
    assert clip.Clip is sys.modules[f"{PACKAGE}.analysis.clip"].Clip


def test_the_add_on_has_one_name_only():
    with pytest.raises(ModuleNotFoundError, match="second copy"):
        importlib.import_module("addon.sampling")


@pytest.mark.parametrize("turn", [1, 2])
def test_every_test_begins_in_an_empty_file(turn):
    assert is_enabled()
    assert len(bpy.data.objects) == 0
    bpy.data.objects.new(f"left by turn {turn}", None)


@pytest.fixture(scope="module")
def made_between():
    """Made after the test before has left an empty file, and before the next one begins."""
    bpy.data.objects.new("left by a fixture", None)


def test_what_lasts_longer_than_a_test_leaves_an_empty_file_too(made_between):
    assert len(bpy.data.objects) == 0


def handler(*_):
    return None


handler.__module__ = f"{PACKAGE}.addon.made_up"


def test_what_is_left_registered_is_noticed():
    ledger = Ledger()
    before = set(ledger.leftovers())
    bpy.app.handlers.load_post.append(handler)
    bpy.app.timers.register(handler, first_interval=1000)
    drawn = bpy.types.SpaceView3D.draw_handler_add(handler, (), "WINDOW", "POST_VIEW")
    assert set(ledger.leftovers()) - before == {
        "handler load_post addon.made_up.handler",
        "timer addon.made_up.handler",
        "SpaceView3D draw handler addon.made_up.handler",
    }
    bpy.types.SpaceView3D.draw_handler_remove(drawn, "WINDOW")
    bpy.app.timers.unregister(handler)
    bpy.app.handlers.load_post.remove(handler)
    assert set(ledger.leftovers()) == before
