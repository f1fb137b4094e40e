# SPDX-License-Identifier: GPL-3.0-or-later
"""The trials that are asked for a shot's findings, within a budget of frames."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ..basis import Basis
from ..clip import Clip
from ..finding import Finding
from ..pipeline import Examination
from ..trials import Trial
from .again import still_found
from .candidates import Candidate, candidates
from .groups import groups_of
from .places import OF_NO_KEY, Place, place_of
from .pose_keys import PoseKeys

# So many keys are asked about for each finding, of different groups or frames; of each at most when
# it comes, and what it is.
ASKED, OF_A_KEY = 3, 2
# Of all frames that may be posed for a shot's findings: times the shot's own, less what a copy of
# the rig is begun with (each time that a search goes on).
BUDGET, BEGUN = 2.0, 16
# What is so much less likely than the likeliest is not asked about.
LEAST_LIKELY = 0.02


@dataclass(frozen=True, eq=False)
class Suspect:
    """A candidate for a finding; `trial` is the index of the trial that asks about it, or None
    where the budget did not reach."""

    candidate: Candidate
    trial: int | None


@dataclass(frozen=True, eq=False)
class Plan:
    """What is asked: each finding's place with its suspects, and all trials.

    found   what the checks of the shot's findings find without any repair, see `again`
    """

    places: tuple[tuple[Place, tuple[Suspect, ...]], ...]
    trials: tuple[Trial, ...]
    found: tuple[Finding, ...]

    @property
    def frames(self) -> int:
        """How many frames are posed for it."""
        return sum(len(trial.samples) for trial in self.trials)


def plan_trials(examination: Examination) -> Plan:
    """Ask about the likeliest keys of each finding: first one repair for each, then the next.

    What several findings suspect is asked once.
    """
    for plan in planning(examination):
        if plan is not None:
            return plan
    raise AssertionError("planning ends with a plan")


def planning(examination: Examination) -> Iterator[Plan | None]:
    """`plan_trials` in steps: None after each finding that was looked at, the plan at last."""
    basis, shot = examination.basis, examination.shot
    groups = groups_of(basis.clip)
    poses = PoseKeys(groups)
    ranked = []
    for finding in shot.findings:
        place = place_of(basis, finding)
        of_keys = finding.check not in OF_NO_KEY
        ranked.append((place, candidates(basis, groups, poses, place) if of_keys else []))
        yield None
    found = still_found(examination)
    yield None
    yield planned(basis, ranked, found)


def planned(
    basis: Basis, ranked: Sequence[tuple[Place, list[Candidate]]], found: tuple[Finding, ...]
) -> Plan:
    """The trials about places and what is suspected at each, within the budget."""
    budget = BUDGET * len(basis.frames) - BEGUN
    asked: dict[tuple[object, ...], int] = {}
    trials: list[Trial] = []
    for rank in range(ASKED * OF_A_KEY):
        for _place, likely in ranked:
            chosen = _worth_asking(likely)
            if rank >= len(chosen) or chosen[rank].repair.key in asked:
                continue
            each = chosen[rank]
            if sum(len(t.samples) for t in trials) + len(each.samples) > budget:
                continue
            asked[each.repair.key] = len(trials)
            trials.append(_trial(basis.clip, each))
    places = tuple(
        (
            place,
            tuple(Suspect(each, asked.get(each.repair.key)) for each in _worth_asking(likely)),
        )
        for place, likely in ranked
    )
    return Plan(places, tuple(trials), found)


def _worth_asking(found: Sequence[Candidate]) -> list[Candidate]:
    """The likeliest, and what is not out of the question beside it."""
    if not found or found[0].weight <= 0.0:
        return []
    likely = [each for each in found if each.weight >= LEAST_LIKELY * found[0].weight]
    keys = list(dict.fromkeys(each.repair.of_key for each in likely))[:ASKED]
    return [each for each in likely if each.repair.of_key in keys]


def _trial(clip: Clip, each: Candidate) -> Trial:
    group = each.repair.group
    assert clip.channel_values is not None
    now = clip.channel_values[np.ix_(each.samples, np.asarray(group.columns))]
    names = tuple(clip.channels[column] for column in group.columns)
    return Trial(each.samples, names, now + each.change, each.repair.mended.curves)
