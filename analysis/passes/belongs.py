# SPDX-License-Identifier: GPL-3.0-or-later
"""Whether a report is about the shot that is open, told by its motion first and by names last.

Files are renamed and saved under new numbers, and most scenes go by the name that new ones have:
names that differ say little, names that agree say something, motion says most.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ..basis import Basis
from ..finding import Shot
from ..note import Note
from ..words import frame_text
from .align import time_map
from .kept import Kept, Pass, Said, anchor_of, kept_of
from .marks import apart, size_of, steps_of, told_moments
from .motion import motion_of
from .quiet import SAME_SHARE, SAME_STEPS, Spot, off_mark

# Marks of what goes so few steps (1.5 cm at 1.7 m) fit anything that stands.
TELLING = 3.0
# A mark that is off by so many times what is noise was mended or bent, and is still the same place.
BENT = 4.0
# So many marks that tell something, none of which fits, are another shot's; of those of one shot
# some share at least fits, whatever was done since. Two walks look alike: where fewer than so many
# fit, and none within what is noise, that is no proof.
LEAST_MARKS, SHARE, SURE_SHARE = 2, 0.2, 0.5
# Ranges are as long as each other within so many seconds.
ONE_LENGTH_S = 0.02
_NEW_SCENE = re.compile(r"Scene(\.\d+)?")
# A number without a letter may be the shot's own, and stays.
_VERSION = re.compile(r"[ ._-]*(v|ver|version)[ ._-]*\d+$", re.I)
# Blender's Save Incremental counts any number at the end of a name up, and begins with 1.
_COUNTED = re.compile(r"(.*?\D)(?:[ ._-]+(?:take|tk|t))?[ ._-]*(\d+)")
# Shots are numbered in tens, so that others fit between them (common practice, no source).
SHOTS_APART = 10


@dataclass(frozen=True, kw_only=True)
class Here:
    """The shot that is open: its file and scene, its range in frames, frames a second; what was
    measured of it, or None."""

    file: str
    scene: str
    frames: tuple[float, float]
    fps: float
    basis: Basis | None = None
    before: Pass | None = None


def is_another(there: Shot, said: Said, here: Here) -> bool:
    """Whether a report's shot and what was said of it are clearly about another shot than the one
    that is open. Where nothing tells, they are not."""
    stem, ours = _stem(there.file), _stem(here.file)
    if stem and stem == ours:
        return False
    offs = _offs(there, said, here)
    fits = _fits(offs)
    if fits is not None:
        return not (fits and (_is_sure(offs) or _is_named_alike(there, here)))
    if there.frames[1] < here.frames[0] or here.frames[1] < there.frames[0]:
        return True
    named = not (_is_any(there.scene or "Scene") or _is_any(here.scene))
    if named and there.scene != here.scene:
        return True
    alike = named or (there.frames == here.frames and abs(there.fps - here.fps) < 1e-3)
    return bool(stem and ours) and not (alike and _is_saved_again(stem, ours))


def shot_words(file: str, scene: str | None, frames: tuple[float, float]) -> str:
    """`lobby.blend, scene 'night', frames 1 to 40`: what tells a shot from others."""
    named = [_name(file)] if file else []
    named += [f"scene {scene!r}"] if scene and not _is_any(scene) else []
    return ", ".join([*named, f"frames {frame_text(frames[0])} to {frame_text(frames[1])}"])


def _is_named_alike(there: Shot, here: Here) -> bool:
    """Whether the scenes share a name of their own, or the ranges are as long as each other."""
    first, last = here.frames
    lengths = (there.frames[1] - there.frames[0]) / there.fps, (last - first) / here.fps
    named = there.scene == here.scene and not _is_any(here.scene)
    return named or abs(lengths[0] - lengths[1]) < ONE_LENGTH_S


def _offs(there: Shot, said: Said, here: Here) -> list[float]:
    """How far marks of the report are off what was measured here, in what is noise; none where
    that cannot tell."""
    marked = [kept_of(each, there) for each in there.findings]
    marked += [_anchored(each, there) for each in said.notes if each.mark]
    marked = [each for each in marked if _tells(each)]
    if here.basis is not None:
        return _by_motion(here.basis, marked)
    return [] if here.before is None else _by_findings(here.before.findings, marked)


def _fits(offs: Sequence[float]) -> bool | None:
    """Whether marks of the report fit the motion that was measured here; None: that cannot tell."""
    fitting = sum(off <= BENT for off in offs)
    if len(offs) < LEAST_MARKS:
        return True if fitting else None
    return fitting >= SHARE * len(offs)


def _is_sure(offs: Sequence[float]) -> bool:
    """Whether marks that fit say so without names: one is untouched, or half of several fit."""
    fitting = sum(off <= BENT for off in offs)
    return min(offs) <= 1.0 or fitting >= max(SURE_SHARE * len(offs), LEAST_MARKS)


def _by_motion(basis: Basis, marked: Sequence[Kept]) -> list[float]:
    """How far off the motion each mark is, in what is noise."""
    if not marked:
        return []
    time = time_map(basis, motion_of(basis), None, marked, 0)
    found = []
    for each in marked:
        mark = steps_of(each.mark)
        if mark is None or each.space != basis.space:
            continue
        off = min(off_mark(basis, each, mark, Spot(at)) for at in (time.at(each.frame), each.frame))
        if np.isfinite(off):
            found.append(off / _noise(each))
    return found


def _by_findings(olds: Sequence[Kept], marked: Sequence[Kept]) -> list[float]:
    """How far findings that both have, of one check and part, are off each other, in what is noise;
    a pass that is known by its findings alone tells nothing of others."""
    found = []
    for each in marked:
        alike = [o for o in olds if (o.check, o.part) == (each.check, each.part) and _tells(o)]
        if alike:
            found.append(min(_apart(o, each) for o in alike) / _noise(each))
    return found


def _apart(one: Kept, other: Kept) -> float:
    mine, theirs = steps_of(one.mark), steps_of(other.mark)
    if mine is None or theirs is None:
        return np.inf
    told = told_moments(one) & told_moments(other)
    return float(apart(mine, theirs[None], told[None])[0])


def _noise(kept: Kept) -> float:
    mark = steps_of(kept.mark)
    return SAME_STEPS + SAME_SHARE * (0.0 if mark is None else size_of(mark))


def _tells(kept: Kept) -> bool:
    mark = steps_of(kept.mark)
    return mark is not None and size_of(mark) >= TELLING


def _anchored(note: Note, there: Shot) -> Kept:
    return replace(anchor_of(note, None), fps=there.fps, span=there.frames)


def _name(file: str) -> str:
    return re.split(r"[\\/]", file)[-1]


def _stem(file: str) -> str:
    """A file's name without its ending and without what tells one version from the next."""
    name = _name(file).rpartition(".")[0] or _name(file)
    return _VERSION.sub("", name).casefold() or name.casefold()


def _is_saved_again(one: str, other: str) -> bool:
    """Whether the names of two files differ only in what counts takes and saves."""
    counted = [_COUNTED.fullmatch(stem) for stem in (one, other)]
    if all(each and not int(each[2]) % SHOTS_APART for each in counted):
        return False
    heads = [each[1] if each else stem for each, stem in zip(counted, (one, other), strict=True)]
    return heads[0] == heads[1]


def _is_any(scene: str) -> bool:
    return _NEW_SCENE.fullmatch(scene) is not None
