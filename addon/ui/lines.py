# SPDX-License-Identifier: GPL-3.0-or-later
"""One line of the panel's lists: findings, which may fold, and sentences."""

from typing import Any

import bpy

from .listed import note_listed


def _folded(self: Any, context: bpy.types.Context) -> None:
    """Where the line that is read folds away, the one that it folds under is read."""
    session: Any = context.window_manager.plumbline
    at = session.active
    if not self.open and 0 <= at < len(session.findings):
        leader = session.findings[at].leader
        if leader >= 0 and session.findings[leader] == self:
            session.active = leader


class PlumblineFinding(bpy.types.PropertyGroup):
    """One line of the list: a title that fits, and the sentences that are read below it.

    finding  the id of the finding, the same from pass to pass
    group    where it is, see `list_order.GROUPS`
    place    its place when the biggest is first
    state    since the pass before: `new`, `back`, `unchanged`; empty in a first pass
    since    what has changed since, in sentences; or empty
    woken    whether it was kept as intended, and its motion has changed since
    past     whether `mend` is of before the last edits, and looked for again
    reason   why it is kept as intended; empty where it is not
    tip      what is read where the mouse rests on the line
    leader   number of the line that it folds under, -1 where it stands alone
    folds    how many lines fold under it
    """

    title: bpy.props.StringProperty()
    says: bpy.props.StringProperty()
    tip: bpy.props.StringProperty()
    mend: bpy.props.StringProperty()
    past: bpy.props.BoolProperty()
    frame: bpy.props.FloatProperty()
    frame_text: bpy.props.StringProperty()
    major: bpy.props.BoolProperty()
    finding: bpy.props.StringProperty()
    group: bpy.props.StringProperty()
    place: bpy.props.IntProperty()
    state: bpy.props.StringProperty()
    since: bpy.props.StringProperty()
    woken: bpy.props.BoolProperty()
    reason: bpy.props.StringProperty(update=lambda _self, _context: note_listed())
    leader: bpy.props.IntProperty(default=-1)
    folds: bpy.props.IntProperty()
    open: bpy.props.BoolProperty(
        name="Unfold", description="Show the lines that go once this one is mended", update=_folded
    )


class PlumblineIntended(bpy.types.PropertyGroup):
    """What is kept as intended.

    state   `quiet`, `woken` where the motion has changed since, `gone` where it is not found
    """

    finding: bpy.props.StringProperty()
    title: bpy.props.StringProperty()
    reason: bpy.props.StringProperty()
    frame: bpy.props.FloatProperty()
    state: bpy.props.StringProperty()


class PlumblineNote(bpy.types.PropertyGroup):
    """A sentence: the shot's style, what is worth a look, what is good or was not judged."""

    says: bpy.props.StringProperty()
