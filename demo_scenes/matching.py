# SPDX-License-Identifier: GPL-3.0-or-later
"""Which findings name which planted faults; standard library only."""

from collections.abc import Mapping, Sequence
from typing import Any

# A finding counts as the planted one when it is this many frames away or nearer.
NEAR_FRAMES = 2


def match(
    faults: Sequence[Mapping[str, Any]], findings: Sequence[Mapping[str, Any]]
) -> list[Mapping[str, Any] | None]:
    """For each true fault the finding of its check and part within two frames, or None."""
    return [next((f for f in findings if names(f, fault)), None) for fault in faults]


def names(finding: Mapping[str, Any], fault: Mapping[str, Any]) -> bool:
    """Whether a finding of the check JSON names a fault of a scene's truth."""
    first, last = fault["frames"]
    near = first - NEAR_FRAMES <= finding["peak_frame"] <= last + NEAR_FRAMES
    return bool(near and (finding["check"], finding["part"]) == (fault["check"], fault["part"]))
