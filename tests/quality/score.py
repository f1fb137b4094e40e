# SPDX-License-Identifier: GPL-3.0-or-later
"""What the checks find of a planted fault, and what they find on clean motion."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from analysis import Clip, Finding, Settings, check_clip
from analysis.between import compare_shots
from analysis.pipeline import findings_of

from .case import Case
from .planted import Planted

# A finding names a fault when it names frames this near to it.
NEAR_FRAMES = 3
# Where a finding must say an amount, it may differ by this.
SAME_AMOUNT = 0.5
# A clip is judged this far around the fault: nothing that the checks look at reaches further.
AROUND_FRAMES = 60


@dataclass(frozen=True)
class Outcome:
    """How one planted fault fared.

    found         a finding of the check names frames near it
    right_part    ... and the part that shows it, or what carries it
    frame_error   samples from the finding's peak to the fault; None where it was not found
    already       whether the clean clip has such a finding there; None where it runs otherwise
    told          one line for a list: what was planted, and what was said instead
    aside_deg     how far the finding's direction is off that of a planted push; None without one
    """

    found: bool
    right_part: bool
    frame_error: float | None
    size: float
    already: bool | None
    told: str
    aside_deg: float | None = None


@dataclass(frozen=True)
class Alarm:
    """A finding on clean motion."""

    case: str
    set: str
    half: str
    check: str
    severity: str
    told: str


def score(case: Case, planted: Planted, *, cycle: bool) -> Outcome:
    """Ask the one check that is to find a fault, near it; a loop is asked as a whole."""
    clip = planted.clip if cycle or planted.whole else around(planted.clip, planted.frames)
    settings = Settings(checks=(planted.check,), cycle="auto" if cycle else "no")
    findings = _findings(clip, planted.beside, settings)
    step = float(clip.frames[1] - clip.frames[0])
    near = [f for f in findings if names(f, planted, step)]
    already = None
    if len(planted.clip.frames) == len(case.clip.frames):
        before = _clean_findings(case, planted.check, settings.cycle)
        already = any(names(finding, planted, step) for finding in before)
    right = [f for f in near if right_part(f, planted)]
    best = (right or near or [None])[0]
    error = None if best is None else _distance(best.peak_frame, planted.frames) / step
    return Outcome(
        found=bool(near),
        right_part=bool(right),
        frame_error=error,
        size=planted.size,
        already=already,
        told=_told(case, planted, list(findings)),
        aside_deg=aside_deg(best, planted),
    )


def _findings(clip: Clip, beside: Clip | None, settings: Settings) -> tuple[Finding, ...]:
    """What is found of a clip, by itself or checked in one go with another shot of its figure."""
    if beside is None:
        return findings_of(clip, settings)
    return compare_shots([check_clip(clip, settings), check_clip(beside, settings)])[0].findings


def alarms(case: Case, settings: Settings) -> list[Alarm]:
    """Every finding on a clean clip, as a user sees it: all checks together, merged.

    What checks find that the clip is known to be no clean motion for is left out.
    """
    return [
        Alarm(case.name, case.set, case.half, f.check, f.severity, f.says)
        for f in findings_of(case.clip, settings)
        if f.check not in case.faulty
    ]


@lru_cache(maxsize=4096)
def _clean_findings(case: Case, check: str, cycle: str) -> tuple[Finding, ...]:
    """What the same check says of the clean clip."""
    return findings_of(case.clip, Settings(checks=(check,), cycle=cycle))


def around(clip: Clip, frames: tuple[float, float]) -> Clip:
    """The clip cut to what lies around a fault."""
    step = float(clip.frames[1] - clip.frames[0])
    first = max(frames[0] - AROUND_FRAMES * step, clip.frames[0])
    last = min(frames[1] + AROUND_FRAMES * step, clip.frames[-1])
    return clip.cut(first, last)


def names(finding: Finding, planted: Planted, step: float) -> bool:
    """Whether a finding of the check, or one that tells it too, names frames near a fault."""
    asked = finding.check == planted.check or any(c == planted.check for c, _ in finding.also)
    near = NEAR_FRAMES * step
    first, last = planted.frames
    return asked and finding.frames[0] <= last + near and finding.frames[1] >= first - near


def right_part(finding: Finding, planted: Planted) -> bool:
    """Whether it names the part that shows the fault, or what carries it, and the amount."""
    if planted.amount is not None and abs(finding.amount - planted.amount) > SAME_AMOUNT:
        return False
    named = {finding.part, *(part for check, part in finding.also if check == planted.check)}
    return any(part in planted.carriers for part in named)


def aside_deg(finding: Finding | None, planted: Planted) -> float | None:
    """Degrees, seen from above, from the way a body is said to be pushed to the planted one.

    A suggestion leads back, against the push. What pushes up or down may be the ground as well.
    """
    suggestion = None if finding is None else finding.suggestion
    if planted.direction is None or suggestion is None or suggestion.offset is None:
        return None
    said, true = -np.asarray(suggestion.offset)[:2], np.asarray(planted.direction)[:2]
    length = float(np.linalg.norm(said) * np.linalg.norm(true))
    if length == 0.0:
        return None
    return float(np.degrees(np.arccos(np.clip(said @ true / length, -1.0, 1.0))))


def _distance(frame: float, frames: tuple[float, float]) -> float:
    return max(frames[0] - frame, frame - frames[1], 0.0)


def _told(case: Case, planted: Planted, findings: list[Finding]) -> str:
    first, last = planted.frames
    said = "; ".join(f.says for f in findings) or "nothing"
    return (
        f"{case.name}: {planted.part or 'whole body'} frames {first:g}-{last:g}, "
        f"{planted.size:.2f} ({planted.where}); said: {said}"
    )
