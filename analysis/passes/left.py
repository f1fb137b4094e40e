# SPDX-License-Identifier: GPL-3.0-or-later
"""What of the pass before is gone: mended, or not told by other choices alone."""

from dataclasses import dataclass, replace

from ..finding import Finding, Shot
from ..settings import Settings
from .identities import Known
from .kept import Kept, Pass
from .prints import Same
from .times import TimeMap

# Of what went away, and of what is not told, so many are remembered, the latest first.
MOST = 200


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
    """Two passes side by side: the shot now and its settings, the pass before, what is asked now
    (`asked_of`), where the frames of the pass before are, and where the motion is as it was."""

    shot: Shot
    settings: Settings
    before: Pass
    asked: str
    time: TimeMap
    same: Same

    @property
    def chosen(self) -> bool:
        """Whether other choices were made since the pass before; False where it does not tell."""
        return self.before.asked not in ("", self.asked)

    def is_told_now(self, finding: Finding) -> bool:
        """Whether one that the pass before has not is told by other choices, or by a longer range,
        and not because the motion is another one."""
        if self.before.asked and not self.same.saw(finding.peak_frame):
            return True
        return self.chosen and self.same.at(finding.frames, finding.part)

    def left(self, known: Known) -> Left:
        """Of the pass before what is fixed, and what could not be seen."""
        fixed: list[Kept] = []
        not_told: list[Kept] = []
        unseen: list[Kept] = []
        for each in self.before.findings:
            if each.id not in known.was:
                moved = moved_to(each, self.time)
                hidden = self._is_hidden(moved)
                hidden = hidden or (self.chosen and self.same.at(moved.frames, moved.part))
                marked = replace(moved, asked=self.before.asked)
                (not_told if hidden else fixed).append(marked if hidden else moved)
        for each in self.before.unseen:
            if each.id not in known.was:
                moved = moved_to(each, self.time)
                # Under choices that would not tell it anyway, silence says nothing.
                hidden = self._is_hidden(moved) or each.asked not in ("", self.asked)
                (unseen if hidden else fixed).append(moved if hidden else replace(moved, asked=""))
        return Left(tuple(fixed), (*not_told, *unseen)[:MOST], tuple(not_told))

    def _is_hidden(self, moved: Kept) -> bool:
        """Whether it is out of the range, not asked for, or within limits that are wider now."""
        unasked = {check for check, _why in self.shot.skipped}
        out = not self.shot.frames[0] <= moved.frame <= self.shot.frames[1]
        elsewhere = moved.check in unasked or moved.space != self.settings.space
        return out or elsewhere or self._is_let_through(moved)

    def _is_let_through(self, kept: Kept) -> bool:
        """Whether limits are so much wider now that it would be within them as it was."""
        factor = self.settings.factor(kept.check)
        wider = factor / self.before.factors.get(kept.check, factor)
        amount, limit = abs(kept.amount), abs(kept.limit)
        return wider > 1.0 and max(amount, limit) < wider * min(amount, limit)


def moved_to(kept: Kept, time: TimeMap) -> Kept:
    """A finding of the pass before at its place in this one."""
    frame = time.at(kept.frame)
    first, last = (frame + each - kept.frame for each in kept.frames)
    return replace(kept, frame=frame, frames=(first, last))
