# SPDX-License-Identifier: GPL-3.0-or-later
"""Sentences in feet and inches: nothing metric is left in them, nothing else of them is changed."""

import re
from types import SimpleNamespace

import bpy
import pytest
import rigs
from added import Paper
from drawn import fresh_session

from analysis.words import size_text, speed_text
from tests.harness import extension

TOLD = {
    "The head jumps 7.4 cm up at frame 8 and comes back at 9.": (
        'The head jumps 2.9" up at frame 8 and comes back at 9.'
    ),
    "4 plants: no foot slips more than 0.6 cm, half of them within 1 mm.": (
        '4 plants: no foot slips more than 0.24", half of them within 0.039".'
    ),
    "Its travel is 1.20 m over frames 31 to 34, at 4.4 m/s.": (
        "Its travel is 3.9 ft over frames 31 to 34, at 14.4 ft/s."
    ),
    "linear key: enters at 3.1 cm a frame, leaves at 0.4": (
        'linear key: enters at 1.2" a frame, leaves at 0.16'
    ),
    "the flight falls at 4.6 to 18.6 m/s2, and gravity gives 9.8": (
        "the flight falls at 15.1 to 61.0 ft/s2, and gravity gives 32.2"
    ),
    "'plank 2 m' (4 kg) on the rig's right, 0 mm off": (
        "'plank 2 m' (8.8 lb) on the rig's right, 0\" off"
    ),
    "Change body's location key on frame 31: x 0.005 to -0.02, by 40 % in 3 frames.": None,
    "180 m, expected metres, from 0.01 to 100": None,
    "2 flights at 9.8 m/s2 in scene metres; all of them fall alike.": None,
}
# Of the international foot and pound, exactly.
METRIC = {'"': 0.0254, "ft": 0.3048, "in/s": 0.0254, "ft/s": 0.3048}
ORIGINAL = {"mm": 0.001, "cm": 0.01, "m": 1.0, "mm/s": 0.001, "cm/s": 0.01, "m/s": 1.0}


@pytest.fixture
def preferences():
    held = bpy.context.preferences.addons[extension.PACKAGE].preferences
    yield held
    held.property_unset("units")


@pytest.mark.parametrize(("metric", "imperial"), TOLD.items())
def test_amounts_and_nothing_else_are_converted(ext, metric, imperial):
    assert ext.addon.ui.units.in_feet(metric) == (metric if imperial is None else imperial)


def test_a_name_that_reads_as_an_amount_stays(ext):
    in_feet = ext.addon.ui.units.in_feet
    told = "The left foot slips 5.0 cm on plank 2 m, by 2 m."
    assert in_feet(told, ["crate", "plank 2 m"]).endswith('slips 2.0" on plank 2 m, by 6.6 ft.')


@pytest.mark.parametrize("text_of", [size_text, speed_text])
def test_what_is_converted_is_the_same_within_what_is_told(ext, text_of):
    for power in range(-12, 9):
        told = text_of(1.7**power)
        shown = ext.addon.ui.units.in_feet(told)
        (number, unit), (was, of) = shown.replace('"', ' "').split(), told.split()
        step = 10.0 ** -len(number.partition(".")[2]) * METRIC[unit]
        assert abs(float(number) * METRIC[unit] - float(was) * ORIGINAL[of]) <= 0.5001 * step
        assert step <= 3.1 * max(10.0 ** -len(was.partition(".")[2]) * ORIGINAL[of], 1e-5)


def test_the_panel_tells_in_the_units_that_are_preferred_and_keeps_metric_ones(ext, preferences):
    session, ui = fresh_session(ext), ext.addon.ui
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    bpy.ops.plumbline.check()
    metric = session.findings[0].says
    assert re.search(r"\d cm\b", metric)
    button = SimpleNamespace(index=0)
    for units, system, expected in (
        ("scene", "METRIC", "cm"),
        ("scene", "NONE", "cm"),
        ("scene", "IMPERIAL", '"'),
        ("metric", "IMPERIAL", "cm"),
        ("imperial", "METRIC", '"'),
    ):
        preferences.units, bpy.context.scene.unit_settings.system = units, system
        tip = ui.go_to.PLUMBLINE_OT_go_to.description(bpy.context, button)
        for told in (drawn(ui, metric), tip):
            assert re.search(rf"\d ?{expected}(?!\w)", told), (units, system)
        assert drawn(ui, "Lower it by 3 cm.", own=True) == "Lower it by 3 cm."
    check = ui.last_check.last_check()
    assert session.findings[0].says == check.examination.shot.findings[0].says == metric


def drawn(ui, text, *, own=False):
    """A text as it stands in a sidebar with room for all of it on one line."""
    paper = Paper()
    context = SimpleNamespace(
        region=SimpleNamespace(width=300),
        preferences=bpy.context.preferences,
        scene=bpy.context.scene,
    )
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ui.wrapping, "_lines", lambda text, _room, _size: [text])
        ui.wrapping.draw_text(context, paper, text, own=own)
    return paper.lines[0][0]
