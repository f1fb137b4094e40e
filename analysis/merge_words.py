# SPDX-License-Identifier: GPL-3.0-or-later
"""What a report that was opened has brought, in words."""

from .passes import Said, left_out, merge_said, not_kept
from .words import count_text


def taken_text(ours: Said, theirs: Said) -> str:
    """`2 notes, 1 finding kept as intended; 1 note that was deleted here was left out`: of theirs
    what was not said here already."""
    both = merge_said(ours, theirs)
    notes = sum(1 for each in both.notes if each not in ours.notes)
    kept = sum(1 for each in both.intended if each not in ours.intended)
    told = [count_text(notes, "note")] if notes else []
    told += [f"{count_text(kept, 'finding')} kept as intended"] if kept else []
    brought = ", ".join(told) or "nothing new in it"
    return "; ".join(each for each in (brought, *_left_out(ours, theirs)) if each)


def _left_out(ours: Said, theirs: Said) -> tuple[str, str]:
    out, loud = len(left_out(ours, theirs)), len(not_kept(ours, theirs))
    told = f"{count_text(out, 'note')} that {_was(out)} deleted here {_was(out)} left out"
    again = f"{count_text(loud, 'finding')} that {'is' if loud == 1 else 'are'} not intended here "
    again += f"{'stays' if loud == 1 else 'stay'} so"
    return told if out else "", again if loud else ""


def _was(count: int) -> str:
    return "was" if count == 1 else "were"
