# SPDX-License-Identifier: GPL-3.0-or-later
"""Which signals are shown, and that they follow the answers."""

from typing import Any

import bpy

from ...analysis.signals import Signal, signals_of
from ...analysis.trails import Spot
from ..overlay.choice import choice_of
from ..overlay.look import held_preferences
from ..overlay.render_data import chosen_spots
from ..sampling.scene_facts import time_stretch
from ..ui import last_check
from ..ui.last_check import LastCheck
from ..ui.preferences import is_imperial_in
from ..ui.units import curve_in, curve_unit
from .curves import write_signals
from .ours import holder_in, make_holder, remove_holders

# By the number of a rig, the points that were asked for: a finding that is mended would else take
# its curves along while one looks at them.
_asked: dict[int, tuple[Spot, ...]] = {}


def show_signals(
    session: Any, scene: bpy.types.Scene, check: LastCheck
) -> tuple[bpy.types.Object, int]:
    """Write the signals of the points that trails are drawn of, onto an empty that is made where
    there is none; returns it, and how many curves it has."""
    spots = tuple(chosen_spots(check.examination, choice_of(session, check)))
    _asked.clear()
    _asked[check.rig_uid] = spots
    rig = check.rig_in(scene)
    assert rig is not None
    item = holder_in(scene)
    if item is None:
        remove_holders()
        item = make_holder(scene, rig)
    return item, _write(scene, item, check, spots)


def follow_answers(session: Any, scene: bpy.types.Scene) -> None:
    """After a check of a scene: what stands there shows what is shown in the panel."""
    check, item = last_check.last_check(), holder_in(scene)
    if check is None or item is None or not check.is_of(scene):
        return
    spots = _asked.get(check.rig_uid)
    if spots is None:
        spots = tuple(chosen_spots(check.examination, choice_of(session, check)))
    _write(scene, item, check, spots)


def forget() -> None:
    """Forget what was asked for."""
    _asked.clear()


def _write(
    scene: bpy.types.Scene, item: bpy.types.Object, check: LastCheck, spots: tuple[Spot, ...]
) -> int:
    frames = check.examination.basis.frames / time_stretch(scene)
    unit = curve_unit(scene, imperial=is_imperial_in(scene, held_preferences(bpy.context)))
    told = signals_of(check.examination, spots)
    signals = [Signal(*curve_in(each.name, each.values, unit)) for each in told]
    return write_signals(item, frames, signals)
