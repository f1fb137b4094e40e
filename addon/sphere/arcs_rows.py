# SPDX-License-Identifier: GPL-3.0-or-later
"""The arcs of a ball that was checked, as rows of a table that lead to their tops."""

import math
from typing import Any

import bpy

from ...analysis.ball.arc import BallArc
from ...analysis.ball.arc_details import details_text
from ...analysis.ball.arcs import ball_arcs
from ...analysis.words import frame_text
from ..ui import last_check
from ..ui.last_check import LastCheck
from ..ui.redraw import redraw_viewports

AXES = (
    ("up", "Up", "How it rises and falls"),
    ("side", "Side", "How it turns from side to side"),
    ("ahead", "Ahead", "How it turns from front to back"),
)
# The check that was asked last, and its arcs.
_known: list[tuple[int, tuple[BallArc, ...]]] = []


class PlumblineArc(bpy.types.PropertyGroup):
    """A row: frames, time near the top, how it falls or who pushes it back, where it lands."""

    frame: bpy.props.FloatProperty()
    frames: bpy.props.StringProperty()
    share: bpy.props.StringProperty()
    force: bpy.props.StringProperty()
    lands: bpy.props.StringProperty()
    says: bpy.props.StringProperty()
    details: bpy.props.StringProperty()


def _fill_again(self: Any, context: bpy.types.Context) -> None:
    fill(self, last_check.last_check())
    redraw_viewports(context)


def _go(self: Any, context: bpy.types.Context) -> None:
    """To the top of the arc that was picked; a pose without keys is lost, as with any such move."""
    if 0 <= self.active < len(self.rows):
        frame = self.rows[self.active].frame
        context.scene.frame_set(math.floor(frame + 0.5))


class PlumblineArcs(bpy.types.PropertyGroup):
    """The table, and which arcs are in it."""

    axis: bpy.props.EnumProperty(
        name="Arcs",
        description="Which arcs are listed",
        items=AXES,
        update=_fill_again,
    )
    rows: bpy.props.CollectionProperty(type=PlumblineArc)
    active: bpy.props.IntProperty(
        name="Arc",
        description="The arc that is read; a click leads to its top",
        options={"SKIP_SAVE"},
        update=_go,
    )


def arcs_of(check: LastCheck) -> tuple[BallArc, ...]:
    """The arcs of a check, asked once; none where no ball was checked."""
    if not check.keys.ball:
        return ()
    if not _known or _known[0][0] != check.serial:
        _known[:] = [(check.serial, ball_arcs(check.examination))]
    return _known[0][1]


def fill(arcs: Any, check: LastCheck | None) -> None:
    """Fill the table with what a check says."""
    arcs.rows.clear()
    for arc in () if check is None else arcs_of(check):
        if arc.axis == arcs.axis:
            _fill(arcs.rows.add(), arc, check)


def _fill(row: Any, arc: BallArc, check: Any) -> None:
    row.frame, row.says, row.details = arc.apex_frame, arc.says, details_text(arc)
    row.frames = "-".join(frame_text(round(frame)) for frame in arc.frames)
    row.share = "" if arc.share is None else f"{100.0 * arc.share:.0f} %"
    if arc.axis != "up":
        row.force = arc.pushes_back.partition(" ")[0].capitalize()
    elif arc.free and arc.fall_g is not None:
        row.force = f"{arc.fall_g:.2f} g"
    if arc.landing_off_m is not None:
        row.lands = check.examination.basis.size_text(arc.landing_off_m)
