# SPDX-License-Identifier: GPL-3.0-or-later
"""What a check told of a planted fault, and whether its causes are right; plain JSON values in.

A finding is a dictionary as in the check JSON.
"""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from .truth import Truth

NEAR = 3.0  # frames by which a finding may miss those that differ
SAME_AMOUNT = 0.9  # a finding that the clean shot has too, with this share of the amount
FRAME = 1e-3

Finding = Mapping[str, Any]


@dataclass(frozen=True)
class Answer:
    """What was right of one fault.

    told        whether any finding that the clean shot has not lies where it shows
    finding     the id of the one that tells it best, its check, part and whether it is major
    rank        place of the right control and channel group among its causes, from 1; None: absent
    on_key, near_key   whether that cause names the right key frame; or one beside it
    named       whether any finding that lies there names control and channel first
    share       of that cause; `shares` the sum over all causes of that finding
    """

    told: bool
    finding: str | None = None
    check: str | None = None
    part: str | None = None
    major: bool = False
    rank: int | None = None
    on_key: bool = False
    near_key: bool = False
    named: bool = False
    share: float | None = None
    shares: float | None = None

    def to_json(self) -> dict[str, Any]:
        """As JSON values."""
        return asdict(self)


def new_findings(found: Sequence[Finding], clean: Sequence[Finding]) -> list[Finding]:
    """Findings that the clean shot has not, or has much smaller."""
    return [each for each in found if not any(_same(each, other) for other in clean)]


def _same(one: Finding, other: Finding) -> bool:
    alike = one["check"] == other["check"] and one["part"] == other["part"]
    overlap = one["frames"][0] <= other["frames"][1] and other["frames"][0] <= one["frames"][1]
    return alike and overlap and other["amount"] >= SAME_AMOUNT * one["amount"]


def tells(finding: Finding, truth: Truth) -> bool:
    """Whether a finding's frames are within NEAR of those that differ."""
    first, last = finding["frames"]
    return any(first - NEAR <= frame <= last + NEAR for frame in truth.frames)


def best(findings: Sequence[Finding], truth: Truth) -> Finding | None:
    """The finding that tells a fault best: of its parts, major, then the furthest over its limit.

    A finding on a part that the fault does not move far is another one's, where there are others.
    """
    told = [each for each in findings if tells(each, truth)]
    return max(told, key=lambda each: _fit(each, truth), default=None)


def _fit(finding: Finding, truth: Truth) -> tuple[bool, bool, float]:
    shown = _is_shown(finding, truth)
    over = finding["amount"] / finding["limit"] if finding["limit"] > 0.0 else 1e3
    return shown, finding["severity"] == "major", over


def _is_shown(finding: Finding, truth: Truth) -> bool:
    parts = {finding["part"], *(each["part"] for each in finding["also"])}
    return bool(parts & set(truth.shows))


def answer(findings: Sequence[Finding], truth: Truth, *, alone: bool = True) -> Answer:
    """What was right of a fault, of findings that the clean shot has not.

    Of several faults at once each is told by findings on its own parts alone.
    """
    if not alone:
        findings = [each for each in findings if _is_shown(each, truth)]
    finding = best(findings, truth)
    if finding is None:
        return Answer(told=False)
    causes = finding["causes"]
    named = any(
        each["causes"] and blames(each["causes"][0], truth)
        for each in findings
        if tells(each, truth)
    )
    return Answer(
        told=True,
        finding=finding["id"],
        check=finding["check"],
        part=finding["part"],
        major=finding["severity"] == "major",
        named=named,
        shares=sum(each["share"] for each in causes) if causes else None,
        **ranked(causes, truth),
    )


def ranked(causes: Sequence[Mapping[str, Any]], truth: Truth) -> dict[str, Any]:
    """The first cause that is right by control and channel group: `rank`, whether it has the right
    key (`on_key`) or one beside it (`near_key`), and its share."""
    right = [n for n, each in enumerate(causes) if blames(each, truth)]
    frame = causes[right[0]]["frame"] if right else None
    return {
        "rank": right[0] + 1 if right else None,
        "on_key": frame is not None and abs(frame - truth.frame) < FRAME,
        "near_key": frame is not None and abs(frame - truth.frame) < 1.0 + FRAME,
        "share": causes[right[0]]["share"] if right else None,
    }


def blames(cause: Mapping[str, Any], truth: Truth) -> bool:
    """Whether a cause names the control and the channel group, or one channel of the group."""
    if cause["control"] != truth.control or cause["channel"] is None:
        return False
    channel = str(cause["channel"])
    return channel == truth.channel or channel.rpartition(".")[0] == truth.channel
