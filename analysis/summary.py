# SPDX-License-Identifier: GPL-3.0-or-later
"""The report as text for a terminal: sentences in fixing order, no colour codes."""

import textwrap
from collections.abc import Sequence

from .cause_words import cause_text, clears_text, goes_with_text, told_causes
from .finding import Finding, Shot
from .plain_text import TIE, one_line, tied
from .words import count_text, frame_text

# Looks beyond these stand in the JSON: a list of places that may be right is soon no help.
MOST_LOOKS = 3
_HANGING = " " * 10
# Why a check is skipped that nobody wanted: it stands in the JSON and is no news on a screen.
_NOT_ASKED = "not asked for"


def shot_text(shot: Shot, *, width: int = 80) -> str:
    """One shot: a headline, findings, what is kept as intended, its style, what is good, what was
    asked but not judged."""
    skipped = [f"{', '.join(who)}: {why}" for why, who in shot.reasons.items() if why != _NOT_ASKED]
    lines = [headline(shot)]
    if shot.is_unjudged:
        why = f"could be judged ({'; '.join(skipped)})."
        return "\n".join([*lines, _wrapped("nothing", why, width)])
    told = [finding for finding in shot.findings if finding.counts]
    lines += [_finding_text(finding, shot.findings, width) for finding in told]
    lines += [_kept_text(finding, width) for finding in shot.findings if not finding.counts]
    lines += [_wrapped("look", look.says, width) for look in shot.looks[:MOST_LOOKS]]
    lines += [_wrapped("style", sentence, width) for sentence in shot.style]
    lines += [_wrapped("good", sentence, width) for sentence in shot.good_briefly]
    lines += [_wrapped("skipped", reason, width) for reason in skipped]
    return "\n".join(lines)


def headline(shot: Shot) -> str:
    """Which character, in which file, over which frames."""
    first, last = (frame_text(frame) for frame in shot.frames)
    loop = ", plays as a loop" if shot.cycle else ""
    names = ", ".join(name for name in (shot.file, shot.scene, shot.rig) if name)
    return one_line(f"{names}: frames {first} to {last} at {shot.fps:g} fps{loop}")


def total_text(shots: Sequence[Shot], failed: Sequence[tuple[str, str]]) -> str:
    """The last lines: inputs that could not be used, and the count of findings."""
    every = [finding for shot in shots for finding in shot.findings]
    findings = [finding for finding in every if finding.counts]
    major = sum(1 for finding in findings if finding.severity == "major")
    unjudged = sum(1 for shot in shots if shot.is_unjudged)
    lines = [one_line(f"not checked: {reason}") for _name, reason in failed]
    total = (
        f"{count_text(len(shots), 'shot')} checked, {count_text(len(findings), 'finding')} "
        f"({major} major)"
    )
    if len(every) > len(findings):
        total += f", {len(every) - len(findings)} kept as intended"
    if unjudged and unjudged == len(shots):
        total = f"{count_text(len(shots), 'shot')} read, nothing could be judged"
    elif unjudged:
        total += f"; in {unjudged} of them nothing could be judged"
    return "\n".join([*lines, f"{total}."])


def _finding_text(finding: Finding, findings: Sequence[Finding], width: int) -> str:
    checks = dict.fromkeys((finding.check, *(check for check, _part in finding.also)))
    text = _wrapped(finding.severity, f"{finding.says} [{', '.join(checks)}]", width)
    if finding.suggestion is not None:
        text += "\n" + _wrapped("", f"-> {finding.suggestion.text}", width)
    for cause in told_causes(finding.causes)[:1]:
        text += "\n" + _wrapped("cause", cause_text(cause), width)
    for told in (goes_with_text(finding, findings), clears_text(finding, findings)):
        if told:
            text += "\n" + _wrapped("", told, width)
    return text


def _kept_text(finding: Finding, width: int) -> str:
    """What is kept on purpose: the sentence and the reason, and no advice."""
    return _wrapped("kept", f"{finding.says} Intended: {finding.intended}", width)


def _wrapped(head: str, text: str, width: int) -> str:
    """Lines of a width; a number and its unit stay on one."""
    return textwrap.fill(
        tied(one_line(text)),
        width=max(width, 40),
        initial_indent=f"  {head:<8}",
        subsequent_indent=_HANGING,
        break_long_words=False,
        break_on_hyphens=False,
    ).replace(TIE, " ")
