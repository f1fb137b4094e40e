# SPDX-License-Identifier: GPL-3.0-or-later
"""What is told of a pass beside the one before, in words."""

import re
from collections.abc import Sequence

from .finding import Finding, Shot
from .passes import BACK, NEW, TOLD_NOW, Intended, Kept, Outcome
from .words import count_text, frame_text


def amount_text(amount: float, unit: str) -> str:
    """`4.3 cm`, `12 %`, `0.42 s`: as exact as it can be seen."""
    digits = ".0f" if amount >= 99.95 else ".1f" if amount >= 0.95 else ".2g"
    number = f"{amount:{digits}}".removesuffix(".0")
    return f"{number} {unit[:-1] if number == '1' and unit in _MANY else unit}"


def passes_text(outcome: Outcome, woken: int) -> str:
    """`Since the last pass: 6 fixed, 1 new, 1 back again.`, what is kept no longer, and what other
    choices than in that pass tell or leave out; a first pass tells at most what is kept no longer.

    woken   how many findings that were kept as intended are told again
    """
    loud = f"{woken} no longer kept: {'its' if woken == 1 else 'their'} motion has changed."
    if not (outcome.states or outcome.was or outcome.fixed or outcome.not_told):
        return loud if woken else ""
    states = list(outcome.states.values())
    counts = (
        (len(outcome.fixed), "fixed"),
        (states.count(NEW), "new"),
        (states.count(BACK), "back again"),
    )
    told = ", ".join(f"{count} {what}" for count, what in counts if count)
    choices = _by_choices(outcome, states.count(TOLD_NOW))
    since = [f"Since the last pass: {told}."] if told else []
    since += [loud] if woken else []
    return " ".join(since or [NOTHING_NEW]) + choices


def _by_choices(outcome: Outcome, told_now: int) -> str:
    not_told = len(outcome.not_told)
    told = [f"{not_told} {'is' if not_told == 1 else 'are'} not told now"] if not_told else []
    if told_now:
        told.append(f"{told_now} {'is' if told_now == 1 else 'are'} told only now")
    return f" {_otherwise(outcome.clock)}: {', '.join(told)}." if told else ""


def _otherwise(clock: str) -> str:
    """What was chosen otherwise, see `Outcome.clock`."""
    return f"Another {clock} than last time" if clock else OTHER_CHOICES


def since_text(
    finding: Finding,
    state: str,
    was: Kept | None,
    woken: Intended | None,
    *,
    clock: str = "",
    part_of: Kept | None = None,
) -> str:
    """What has changed of a finding since the pass before, a sentence; or empty.

    state   as in `Outcome.states`, empty in a first pass
    was     the finding in the pass before, where it was there
    woken   how it was kept on purpose, where its motion has changed since
    clock   as in `Outcome.clock`; part_of: as there, of this finding
    """
    told = [_STATES.get(state, "")]
    if state == TOLD_NOW:
        told = [f"{_otherwise(clock)}: it is told only now."]
    if part_of is not None:
        frame = frame_text(round(part_of.frame))
        told = [f"It was there in the last pass, told as part of {part_of.title}, frame {frame}."]
    if was is not None and was.unit == finding.unit and _is_what_is_said(finding):
        before, now = (amount_text(each, was.unit) for each in (was.amount, finding.amount))
        told.append(f"Was {before}, is {now}." if before != now else "")
    if woken is not None:
        told.append(f"{SINCE_KEPT} {woken.reason}")
    return " ".join(each for each in told if each)


def _is_what_is_said(finding: Finding) -> bool:
    """Whether the sentence of a finding tells its amount, or no size at all: where it tells
    another measure of the same thing, two sizes that differ would stand side by side."""
    told = [(found["digits"], found["unit"]) for found in _SIZE.finditer(finding.says)]
    return not told or any(_agrees(finding, digits, unit) for digits, unit in told)


def _agrees(finding: Finding, digits: str, unit: str) -> bool:
    """Whether a size in a sentence is the amount, to the digit that is told there."""
    size = abs(finding.amount) * _IN_CM.get(finding.unit, 1.0) / _IN_CM.get(unit, 1.0)
    lengths = {finding.unit, unit} <= set(_IN_CM)
    last = 0.5 * 10.0 ** -len(digits.partition(".")[2])
    alike = lengths or finding.unit == unit or finding.unit.startswith(f"{unit} ")
    return alike and abs(size - float(digits)) <= last + 1e-6


# Sizes as sentences tell them; `7.1 cm a frame` is a speed.
_SIZE = re.compile(
    r"(?P<digits>\d+(?:\.\d+)?) (?P<unit>(?:cm|m|mm) a frame|(?:cm|mm)/s|m/s2|m/s|cm|mm|m|%|s"
    r"|degrees|body weights)(?![\w/])"
)
# Units that are words of many.
_MANY = ("body weights", "degrees", "frames")
_IN_CM = {"mm": 0.1, "cm": 1.0, "m": 100.0}
# A reason follows.
SINCE_KEPT = "The motion has changed since it was kept:"
NOTHING_NEW = "Nothing new or fixed in this pass."
OTHER_CHOICES = "Other choices than last time"
_STATES = {
    NEW: "It is new since the last pass.",
    BACK: "It was fixed in an earlier pass, and is back.",
}


def fixed_text(kept: Kept) -> str:
    """`Left foot: slide, frame 34: was 4.3 cm.`"""
    was = amount_text(kept.amount, kept.unit)
    return f"{kept.title}, frame {frame_text(round(kept.frame))}: was {was}."


def counted_text(findings: Sequence[Finding]) -> str:
    """`1 major finding`, `5 major findings`, `5 findings, 2 major`, `2 minor findings`."""
    count = len(findings)
    major = sum(1 for finding in findings if finding.severity == "major")
    if major in (0, count):
        return count_text(count, f"{'major' if major else 'minor'} finding")
    return f"{count_text(count, 'finding')}, {major} major"


def verdict_text(shot: Shot) -> str:
    """What a check comes to, in a few words; silence is not called good."""
    counting = [finding for finding in shot.findings if finding.counts]
    kept = len(shot.findings) - len(counting)
    intended = f", {kept} kept as intended" if kept else ""
    if counting:
        return f"{counted_text(counting)}{intended}"
    if shot.is_unjudged:
        return "nothing could be judged"
    asked = f", {count_text(len(shot.skipped), 'check')} not judged" if shot.skipped else ""
    return f"nothing to mend{intended}{asked}"
