# SPDX-License-Identifier: GPL-3.0-or-later
"""Whether a run of the bench is as good as `limits` say: sentences for what is not."""

from collections.abc import Sequence

from .intervals import binomial_at_most, poisson_at_least
from .limits import ALARMS, RECALL, SURPRISE
from .report import ALL, EVERY_SET, Rate, Recall


def failures(recalls: Sequence[Recall], rates: Sequence[Rate]) -> list[str]:
    """One sentence for each limit that the run falls short of; empty where it holds.

    Kinds and checks that were not run, or do not exist yet, are left out.
    """
    found = [_recall_failure(kind, share, recalls) for kind, share in RECALL.items()]
    found += [_alarm_failure(check, rate, rates) for check, rate in ALARMS.items()]
    return [each for each in found if each]


def _recall_failure(kind: str, share: float, rows: Sequence[Recall]) -> str:
    ours = [row for row in rows if row.kind == kind and row.promised and row.registered]
    cases, found = sum(row.cases for row in ours), sum(row.found for row in ours)
    if cases == 0 or binomial_at_most(found, cases, share) >= SURPRISE:
        return ""
    return (
        f"{kind}: {found} of {cases} planted faults were found, expected about {share:.0%}: "
        "see what was missed with --list."
    )


def _alarm_failure(check: str, rate: float, rows: Sequence[Rate]) -> str:
    ours = [row for row in rows if row.check == check and row.set != EVERY_SET]
    seconds, events = sum(row.seconds for row in ours), sum(row.events for row in ours)
    mean = rate * seconds / 10.0
    if seconds == 0.0 or poisson_at_least(events, mean) >= SURPRISE:
        return ""
    what = "findings" if check == ALL else f"findings of {check}"
    return (
        f"{events} {what} in {seconds:.0f} s of clean motion, expected about {mean:.0f}: "
        "see which with --list."
    )
