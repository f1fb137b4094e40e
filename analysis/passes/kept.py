# SPDX-License-Identifier: GPL-3.0-or-later
"""What is known of a shot from one pass to the next, as plain values."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from ..finding import Finding, Measured, Shot
from ..note import Note

Bytes = NDArray[np.int8]
Prints = NDArray[np.uint16]


@dataclass(frozen=True, kw_only=True)
class Kept:
    """A finding as it stood in a pass; fields are the finding's own, frames are frame numbers.

    body    title of the body whose motion the mark is, `-` for the whole figure
    fps     frames a second, and span: first and last frame of the range, where it was found;
            0 and None where that is not known
    asked   what the check was asked with that told it last, see `Pass.asked`; empty in the pass
            that told it, and where it is not known
    besides   what was measured and is told by its line too, in a `Pass` of findings that were made
              there; else empty
    """

    id: str
    mark: str
    check: str
    part: str | None
    point: str
    frames: tuple[float, float]
    frame: float
    severity: str
    amount: float
    limit: float
    unit: str
    title: str
    says: str
    body: str = ""
    space: str = "world"
    fps: float = 0.0
    span: tuple[float, float] | None = None
    asked: str = ""
    besides: tuple[Measured, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Intended:
    """A finding that is kept on purpose, and why."""

    finding: Kept
    reason: str


@dataclass(frozen=True, kw_only=True)
class Said:
    """What people declared of one shot.

    deleted   ids of notes that were deleted here
    unkept    ids of findings that were kept on purpose here, and are so no longer
    """

    intended: tuple[Intended, ...] = ()
    notes: tuple[Note, ...] = ()
    deleted: tuple[str, ...] = ()
    unkept: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Keyed:
    """What the keys of a shot say, in a few bytes a frame, see `keyed_of`.

    stretch   scene frames for one frame of animation, as time is remapped
    first     the first frame of animation; prints by limb (N,) numbers, one for each frame of it
    """

    stretch: float
    first: int
    prints: Mapping[str, Prints]


@dataclass(frozen=True, eq=False)
class Motion:
    """A shot's motion in a few bytes a frame, so that two passes can be laid side by side.

    step     frames from one sample to the next
    tracks   by the title of a body (T,3) steps, see `motion_of`
    prints   by limb (T,) numbers, see `prints_of`; empty in older records
    keyed    None in older records, and where nothing is keyed
    """

    step: float
    tracks: Mapping[str, Bytes]
    prints: Mapping[str, Prints] = field(default_factory=dict)
    keyed: Keyed | None = None


@dataclass(frozen=True, kw_only=True)
class Pass:
    """What was measured in a pass.

    frames       first and last frame number
    findings     as they stood
    fixed        those of earlier passes that went away, the latest first
    unseen       those that this pass could not see: out of its range, not asked for, within
                 limits that are wider now, or not told by other choices alone
    note_frames  frame of each note, by the note's id
    kept_frames  frame on which the mark of each intended finding belongs, by its id
    factors      what the limits of each check were multiplied by
    asked        what was asked, see `asked_of`, or `asked_in` for a report; empty where that is not
                 known
    motion       None where the pass is known by its report alone
    """

    rig: str
    frames: tuple[float, float]
    fps: float
    findings: tuple[Kept, ...] = ()
    fixed: tuple[Kept, ...] = ()
    unseen: tuple[Kept, ...] = ()
    note_frames: Mapping[str, float] = field(default_factory=dict)
    kept_frames: Mapping[str, float] = field(default_factory=dict)
    factors: Mapping[str, float] = field(default_factory=dict)
    asked: str = ""
    motion: Motion | None = None


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """A pass beside the one before.

    shot         with the ids of the pass before, and `Finding.intended` where one is kept so
    states       by id `new`, `back`, `unchanged`, or `told_now`: only by other choices, by another
                 clock or by a longer range; empty in a first pass
    was          by id the finding as it stood in the pass before
    fixed        those of the pass before that are gone
    not_told     those of the pass before that are not told by other choices, or by a shorter range
    rescaled     ids of those in `was` whose amount then and now tell no change of the motion
    clock        "frame rate", "time remapping" or both, where nothing else was chosen otherwise
    part_of      by id of those that are unchanged the line that told them in the pass before, as
                 a part of something else
    woken        kept on purpose, and told again: the motion there has changed
    note_frames  by the id of a note the frame where it is now
    record       this pass, to be kept for the next one
    """

    shot: Shot
    states: Mapping[str, str]
    was: Mapping[str, Kept]
    fixed: tuple[Kept, ...]
    woken: tuple[Intended, ...]
    note_frames: Mapping[str, float]
    record: Pass
    not_told: tuple[Kept, ...] = ()
    rescaled: frozenset[str] = frozenset()
    clock: str = ""
    part_of: Mapping[str, Kept] = field(default_factory=dict)


def kept_of(finding: Finding, shot: Shot | None = None) -> Kept:
    """A finding as it stands now; `shot` is the one that it was found in."""
    return Kept(
        id=finding.id,
        mark=finding.mark,
        check=finding.check,
        part=finding.part,
        point=finding.point,
        frames=finding.frames,
        frame=finding.peak_frame,
        severity=finding.severity,
        amount=round(finding.amount, 4),
        limit=round(finding.limit, 4),
        unit=finding.unit,
        title=finding.title,
        says=finding.says,
        body=finding.owner,
        space=finding.space,
        fps=0.0 if shot is None else shot.fps,
        span=None if shot is None else shot.frames,
    )


def anchor_of(note: Note, before: Pass | None) -> Kept:
    """A note's mark, to find its moment again."""
    frame = note.frame if before is None else before.note_frames.get(note.id, note.frame)
    return Kept(
        id=note.id,
        mark=note.mark,
        check="",
        part=note.part,
        point="",
        frames=(frame, frame),
        frame=frame,
        severity="minor",
        amount=0.0,
        limit=0.0,
        unit="",
        title="",
        says=note.text,
        fps=0.0 if before is None else before.fps,
        span=None if before is None else before.frames,
    )


def pass_of(shot: Shot, asked: str = "") -> Pass:
    """The pass of which only a report is known; asked: see `asked_in`."""
    return Pass(
        asked=asked,
        rig=shot.rig,
        frames=shot.frames,
        fps=shot.fps,
        findings=tuple(kept_of(each, shot) for each in shot.findings),
    )
