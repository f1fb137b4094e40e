# SPDX-License-Identifier: GPL-3.0-or-later
"""What of the pass before is gone: mended, or not told by other choices alone."""

from dataclasses import dataclass, replace

import numpy as np

from ..basis import Basis
from ..finding import Finding, Shot
from ..pipeline import choose_checks
from ..settings import Settings
from .besides import Besides
from .choices import asked_of, is_asked, is_other_rate, is_other_scale
from .identities import Known
from .kept import Kept, Keyed, Pass
from .marks import size_of, steps_of
from .quiet import SAME_SHARE, SAME_STEPS, Spot, off_mark
from .same import BESIDE_S, Same
from .times import TimeMap

# Of what went away, and of what is not told, so many are remembered, the latest first.
MOST = 200
# Frames within which two findings of one check and part are the same one.
ONE_MOMENT = 1.0
# Checks of a loop's ends; one of its last frames alone, whose range is none a frame off.
OF_THE_LAST = "double_frame"
OF_THE_ENDS = (OF_THE_LAST, "loop_seam")
# Ranges that share less than so many frames around a finding share nothing that tells of it.
LEAST_SHARED = 1.0
# Ranges are one where their ends are within so many frames.
ONE_RANGE = 0.5


@dataclass(frozen=True, eq=False)
class Left:
    """fixed     of the pass before, and gone
    unseen    what this pass could not see, of all passes; not_told: of the pass before
    """

    fixed: tuple[Kept, ...]
    unseen: tuple[Kept, ...]
    not_told: tuple[Kept, ...]


@dataclass(frozen=True, eq=False)
class Between:
    """Two passes side by side: the shot now and its basis, the pass before, what is asked now
    (`asked_of`), where the frames of the pass before are, and where the motion is as it was."""

    shot: Shot
    basis: Basis
    before: Pass
    asked: str
    time: TimeMap
    same: Same

    @property
    def settings(self) -> Settings:
        """What is asked now."""
        return self.basis.settings

    @property
    def chosen(self) -> bool:
        """Whether other choices were made since the pass before, another range and another clock
        among them; False where it does not tell."""
        asked = self.before.asked
        other = not is_asked(asked, self.asked, self.settings) or self._is_other_rate
        return bool(asked) and (other or not self._is_range(self.before.frames))

    @property
    def clock(self) -> str:
        """The frame rate, the remapping of time, or both, in words, where nothing else was chosen
        otherwise than in the pass before; else empty."""
        asked, keyed = self.before.asked, self._keyed_before
        stretch = None if keyed is None else keyed.stretch
        alone = asked_of(self.basis, stretch=stretch)
        if self.shot.frames != self.before.frames or not is_asked(asked, alone, self.settings):
            return ""
        told = ["frame rate"] if self._is_other_rate else []
        told += ["time remapping"] if asked and alone != self.asked else []
        return " and ".join(told)

    @property
    def _range_before(self) -> tuple[float, float]:
        """The range of the pass before, in frames of this one."""
        first, last = self.before.frames
        return self.time.straight(first), self.time.straight(last)

    @property
    def _keyed_before(self) -> Keyed | None:
        return None if self.before.motion is None else self.before.motion.keyed

    @property
    def _is_other_rate(self) -> bool:
        return is_other_rate(self.before.fps, self.shot.fps)

    def is_told_now(self, finding: Finding) -> bool:
        """Whether one that the pass before has not is told by other choices, or by a longer range,
        and not because the motion is another one."""
        if self.before.asked and not self._was_seen(finding.peak_frame):
            return True
        if self.before.asked and self._is_apart(finding.frames, finding.check):
            return True
        # A report tells nothing of the motion where it has no finding.
        known = self.before.motion is not None
        return self.chosen and (self._untouched(finding) is True or not known)

    def is_rescaled(self, finding: Finding) -> bool:
        """Whether its amount differs from that of the pass before by other choices alone, or cannot
        be compared."""
        other = is_other_scale(self.before.asked, self.asked)
        return self.chosen and (other or self._untouched(finding) is True)

    def left(self, known: Known, besides: Besides) -> Left:
        """Of the pass before what is fixed, and what could not be seen."""
        fixed: list[Kept] = []
        not_told: list[Kept] = []
        unseen: list[Kept] = []
        for each in self.before.findings:
            moved = moved_to(each, self.time)
            if each.id in known.was or self._is_here(moved):
                continue
            if self._is_hidden(moved) or (self.chosen and self._untouched(moved) is True):
                not_told.append(replace(moved, asked=self.before.asked))
            else:
                (unseen if besides.is_part_now(moved, since=True) else fixed).append(moved)
        for each in self.before.unseen:
            moved = moved_to(each, self.time)
            if each.id not in known.was and not self._is_here(moved):
                hidden = self._is_still_hidden(moved) or besides.is_part_now(moved, since=False)
                (unseen if hidden else fixed).append(moved if hidden else replace(moved, asked=""))
        return Left(tuple(fixed), (*not_told, *unseen)[:MOST], tuple(not_told))

    def _is_here(self, moved: Kept) -> bool:
        """Whether it is told under another id: in loops a range may be any round of another one."""
        return any(
            (each.check, each.part, each.space) == (moved.check, moved.part, moved.space)
            and abs(self.time.apart(moved.frame, each.peak_frame)) <= ONE_MOMENT
            for each in self.shot.findings
        )

    def _is_hidden(self, moved: Kept) -> bool:
        """Whether it is out of the range, or of what both looked at, not asked for, not judged
        though nothing was touched, or within limits that are wider now."""
        touched = self._untouched(moved) is False
        if self._is_beyond(moved) or self._is_apart(moved.frames, moved.check):
            return True
        if moved.check in {check for check, _why in self.shot.skipped}:
            # Where it was mended there may be nothing left to judge, or the range tells too little.
            return not touched or not self._is_range(self.before.frames)
        return not touched and self._is_let_through(moved)

    def _is_beyond(self, moved: Kept) -> bool:
        unasked = {check for check, _why in choose_checks(self.settings)[1]}
        out = not self.shot.frames[0] <= moved.frame <= self.shot.frames[1]
        return out or moved.check in unasked or moved.space != self.settings.space

    def _is_still_hidden(self, moved: Kept) -> bool:
        """Whether silence about one that was not told before says nothing: under other choices than
        those that told it."""
        if not moved.asked:
            return self._is_hidden(moved)
        there = moved.span is None or self._is_range(moved.span, moved=True)
        asked = is_asked(moved.asked, self.asked, self.settings)
        asked = asked and not is_other_rate(moved.fps, self.shot.fps)
        apart = self._is_beyond(moved) or self._is_apart(moved.frames, moved.check)
        return apart or not there or not asked

    def _is_range(self, frames: tuple[float, float], *, moved: bool = False) -> bool:
        """Whether frames of the pass before, or such as were moved to this one, are the range."""
        if frames == self.shot.frames:
            return True
        first, last = frames if moved else (self.time.straight(each) for each in frames)
        off = max(abs(first - self.shot.frames[0]), abs(last - self.shot.frames[1]))
        return off <= ONE_RANGE

    def _was_seen(self, frame: float) -> bool:
        """Whether a frame was in the range of the pass before; all of a loop that goes on is."""
        first, last = self._range_before
        return self.time.loop is not None or first - ONE_RANGE <= frame <= last + ONE_RANGE

    def _is_apart(self, frames: tuple[float, float], check: str) -> bool:
        """Whether the two ranges have nothing in common that could tell of a finding on frames of
        this pass: they are two loops, of which each has its own ends, or but touch there."""
        ranges = self._range_before, self.shot.frames
        if self.time.loop is not None or self._is_range(self.before.frames):
            return False
        beside = BESIDE_S * self.shot.fps
        if check in OF_THE_ENDS:
            off = max(abs(was - now) for was, now in zip(*ranges, strict=True))
            return off > (ONE_RANGE if check == OF_THE_LAST else beside)
        first = max(frames[0] - beside, *(each[0] for each in ranges))
        last = min(frames[1] + beside, *(each[1] for each in ranges))
        return last - first < LEAST_SHARED

    def _untouched(self, found: Finding | Kept) -> bool | None:
        """Whether nothing was touched there; of a pass that a report tells, its marks do."""
        if self.before.motion is not None or isinstance(found, Finding):
            return self.same.at(found.frames, found.part, found.check)
        mark = steps_of(found.mark)
        if mark is None:
            return None
        off = off_mark(self.basis, found, mark, Spot(found.frame))
        return off <= SAME_STEPS + SAME_SHARE * size_of(mark) if np.isfinite(off) else None

    def _is_let_through(self, kept: Kept) -> bool:
        """Whether limits are so much wider now that it would be within them as it was."""
        factor = self.settings.factor(kept.check)
        wider = factor / self.before.factors.get(kept.check, factor)
        amount, limit = abs(kept.amount), abs(kept.limit)
        return wider > 1.0 and max(amount, limit) < wider * min(amount, limit)


def moved_to(kept: Kept, time: TimeMap) -> Kept:
    """A finding of the pass before at its place in this one."""
    frame = time.at(kept.frame)
    off = frame - kept.frame
    first, last = (each + off for each in kept.frames)
    span = None if kept.span is None else (kept.span[0] + off, kept.span[1] + off)
    return replace(kept, frame=frame, frames=(first, last), span=span, besides=())
