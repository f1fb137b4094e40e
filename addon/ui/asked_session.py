# SPDX-License-Identifier: GPL-3.0-or-later
"""The answer to the last question, until the next question or check."""

from dataclasses import dataclass

import bpy

from ...analysis.cause import Cause
from . import last_check
from .session import is_here, session_of


@dataclass(frozen=True)
class Asked:
    """title   what was asked about: `left hand, frame 34`
    serial  of the check that it was asked after, and rig_uid of its rig
    """

    title: str
    causes: tuple[Cause, ...]
    serial: int
    rig_uid: int


_stored: list[Asked] = []


def remember(asked: Asked) -> None:
    """Keep an answer, instead of the one before."""
    _stored[:] = [asked]


def forget() -> None:
    """Another question begins."""
    _stored.clear()


def asked_here(context: bpy.types.Context) -> Asked | None:
    """The last answer, where it is about the last check and that about this scene."""
    check = last_check.last_check()
    if check is None or not _stored or _stored[0].serial != check.serial or not is_here(context):
        return None
    return _stored[0]


def asked_before(context: bpy.types.Context) -> Asked | None:
    """The last answer, where only updates have come between it and what is shown."""
    check = last_check.last_check()
    if check is None or not _stored or not session_of(context).watch or not is_here(context):
        return None
    is_before = _stored[0].rig_uid == check.rig_uid and _stored[0].serial < check.serial
    return _stored[0] if is_before else None
