# SPDX-License-Identifier: GPL-3.0-or-later
"""One event, one finding: events of one check at one moment, then events of several checks."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from .basis import Basis
from .evidence import Evidence, RawEvent
from .moment import Moment

# Events that lie this many samples apart, or nearer, are one moment.
TOGETHER = 1
# Two checks speak of one event when their samples are this near.
NEAR = 2


@dataclass(eq=False)
class Merged:
    """One event after merging: who is to mend it, the clearest view of it, and the rest."""

    owner: int | None
    lead: RawEvent
    members: list[RawEvent] = field(default_factory=list)


def merge(basis: Basis, evidence: Sequence[Evidence]) -> list[Merged]:
    """Merge the events of each check (see `moment`), then those that are one event."""
    merged: list[Merged] = []
    for found in evidence:
        for moment in _moments(found.events):
            for each in _merge_moment(basis, found, moment):
                if not _absorbed(basis, merged, each):
                    merged.append(each)
    return merged


def _moments(events: Sequence[RawEvent]) -> list[list[RawEvent]]:
    moments: list[list[RawEvent]] = []
    last = 0
    for event in sorted(events, key=lambda e: (e.first, e.last)):
        if moments and event.first <= last + TOGETHER:
            moments[-1].append(event)
            last = max(last, event.last)
        else:
            moments.append([event])
            last = event.last
    return moments


def _merge_moment(basis: Basis, found: Evidence, events: list[RawEvent]) -> list[Merged]:
    if found.own is None:
        return [Merged(event.body, event, [event]) for event in events]
    moment = Moment(basis, found.own, events)
    groups: dict[int | None, list[RawEvent]] = {}
    for event, owner in moment.owners().items():
        groups.setdefault(owner, []).append(event)
    return [Merged(owner, moment.lead(owner, group), group) for owner, group in groups.items()]


def _absorbed(basis: Basis, merged: list[Merged], new: Merged) -> bool:
    """Join an event that another check has already told: same moment, same or carried body."""
    if new.owner is None:
        return False
    family = {new.owner, *basis.ancestors(new.owner)}
    for old in merged:
        near = old.lead.first - NEAR <= new.lead.peak <= old.lead.last + NEAR
        if near and old.lead.check != new.lead.check and old.owner in family:
            old.members += new.members
            return True
    return False
