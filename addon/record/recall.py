# SPDX-License-Identifier: GPL-3.0-or-later
"""A check beside what the file remembers: the same wherever it runs."""

from collections.abc import Callable
from dataclasses import replace

import bpy

from ...analysis import PlumblineError, Shot
from ...analysis.passes import Intended, Outcome, Said, next_pass
from ...analysis.pipeline import Examination
from .shots import pass_before, said_of, unread_of


def beside_the_last(
    scene: bpy.types.Scene,
    rig: bpy.types.Object,
    examination: Examination,
    tell: Callable[[str], None],
) -> Outcome:
    """An examination beside the rig's last pass and what was said; changes nothing.

    tell   hears why the record cannot be read: then it is a first pass
    """
    before, said = None, Said()
    try:
        said = said_of(scene, rig)
        if unread := unread_of(scene, rig):
            tell(unread)
        before = pass_before(scene, rig)  # where it cannot be read, what was said still counts
    except PlumblineError as error:
        tell(str(error))
    return next_pass(examination, before, said)


def quieted(shot: Shot, said: Said, woken: tuple[Intended, ...]) -> Shot:
    """A shot after its pass, by what is said now: what was kept since is quiet, what is kept no
    longer is loud, and what woke stays so until it is kept anew. Notes stay where the pass has
    them."""
    reasons = {each.finding.id: each.reason for each in said.intended if each not in woken}
    findings = tuple(
        replace(finding, intended=reasons.get(finding.id)) for finding in shot.findings
    )
    frames = {note.id: note.frame for note in shot.notes}
    notes = tuple(replace(note, frame=frames.get(note.id, note.frame)) for note in said.notes)
    return replace(shot, findings=findings, notes=notes)
