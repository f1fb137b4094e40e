# SPDX-License-Identifier: GPL-3.0-or-later
"""On the picture a jump of the camera moves the whole figure: that is the camera's event alone."""

from collections.abc import Iterable
from dataclasses import replace

from .finding import Finding, Measured
from .merged import PATHS, TOGETHER
from .parts import fix_rank

# Whose path on the picture a camera moves as it moves everything; a limb has reasons of its own.
WHOLE = (None, "mover", "root")


def with_the_camera(findings: Iterable[Finding], step: float) -> list[Finding]:
    """Findings with those folded into a camera's jump that only see it again on the picture.

    step   from one frame number to the next
    """
    found = list(findings)
    for jump in [each for each in found if each.check == "camera_jump"]:
        seen = [each for each in found if each is not jump and _sees(each, jump, step)]
        told = {pair for each in seen for pair in (*each.also, (each.check, each.part))}
        also = tuple(sorted({*jump.also, *told}, key=lambda pair: (pair[0], fix_rank(pair[1]))))
        besides = (*jump.besides, *(each for finding in seen for each in _measured(finding)))
        found = [
            replace(jump, also=also, besides=besides) if each is jump else each
            for each in found
            if each not in seen
        ]
    return found


def _measured(finding: Finding) -> tuple[Measured, ...]:
    """What a finding measured, by its own check and besides."""
    own = Measured(
        check=finding.check,
        body=finding.owner,
        frames=finding.frames,
        amount=finding.amount,
        unit=finding.unit,
    )
    return (own, *finding.besides)


def _sees(finding: Finding, jump: Finding, step: float) -> bool:
    if finding.space != "camera" or finding.check not in PATHS or finding.part not in WHOLE:
        return False
    reach = TOGETHER * step
    first, last = finding.frames
    return first <= jump.frames[1] + reach and last >= jump.frames[0] - reach
