# SPDX-License-Identifier: GPL-3.0-or-later
"""What a line tells besides itself, from pass to pass: once its fault is mended, a smaller one at
the same place may stand in a line of its own, and was there before."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ..finding import Finding, Measured
from ..parts import is_part, limb_of
from .identities import Known
from .kept import Kept, Pass
from .times import TimeMap, unmoved

# Frames beside what was measured that are the same moment; it is no larger up to this factor.
BESIDE, NO_LARGER = 1.0, 1.02


@dataclass(frozen=True, eq=False)
class Place:
    """A check, the title of a body, and a frame of this pass."""

    check: str
    body: str
    frame: float


class Besides:
    """The lines of two passes, and what they tell besides."""

    def __init__(self, before: Pass, known: Known, time: TimeMap) -> None:
        self._before, self._known, self._time = before, known, time
        self._now: Mapping[str, Finding] = {each.id: each for each in known.findings}

    def was_part_of(self, finding: Finding) -> Kept | None:
        """The line of the pass before that told, as a part of it, what stands now in a line of its
        own and is no larger; None where there is none, or where that line still tells it."""
        place = Place(finding.check, finding.owner, finding.peak_frame)
        for old in self._before.findings:
            told = [each for each in old.besides if _is_at(each, place, self._time)]
            most = max((each.amount for each in told if each.unit == finding.unit), default=0.0)
            if old.space != finding.space or finding.amount > NO_LARGER * most:
                continue
            now = self._now.get(old.id)
            if now is None or not _tell(now.besides, place, unmoved()):
                return old
        return None

    def is_part_now(self, moved: Kept, *, since: bool) -> bool:
        """Whether one of the pass before, at its place in this one, is told as a part of another
        line now; since: and was none before."""
        place = Place(moved.check, moved.body or moved.part or "", moved.frame)
        for line in self._now.values():
            if line.space != moved.space or not _tell(line.besides, place, unmoved()):
                continue
            old = self._known.was.get(line.id)
            if not since or old is None or not _tell(old.besides, place, self._time):
                return True
        return False


def _tell(besides: Iterable[Measured], place: Place, time: TimeMap) -> bool:
    return any(_is_at(each, place, time) for each in besides)


def _is_at(each: Measured, place: Place, time: TimeMap) -> bool:
    """Whether it was measured there: by the check, at the moment, on the body or its limb."""
    if each.check != place.check:
        return False
    if each.body != place.body and each.body not in _limb(place.body):
        return False
    first, last = each.frames
    off = time.apart(place.frame, time.at(first))
    return -BESIDE <= off <= last - first + BESIDE


def _limb(body: str) -> tuple[str, ...]:
    return limb_of(body) if is_part(body) else ()
