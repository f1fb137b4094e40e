# SPDX-License-Identifier: GPL-3.0-or-later
"""How likely each suspect made what is told at a place, by what goes with its repair."""

from collections.abc import Sequence

from ..pipeline import Examination
from .again import Outcome, share_gone
from .asking import Plan, Suspect
from .places import Place, explained

# What counts of a key that takes nothing of the finding when it is mended.
TAKES_NOTHING = 0.03
# What a check measures counts so much, the rest is how much of the part's jerk goes: a foot that is
# out of its leg's reach may move more smoothly, and is out of reach all the same.
MEASURED = 0.75
# What a suspect is believed that the rig was not asked about.
UNASKED = 0.3


def weighed(
    examination: Examination,
    plan: Plan,
    place: Place,
    suspects: Sequence[Suspect],
    outcomes: Sequence[Outcome | None],
) -> list[tuple[float, float]]:
    """For each suspect how much of the finding goes with its repair made, and how likely its key
    made it; of several repairs of one key the likeliest alone counts, and the others are 0."""
    judged = [_weigh(examination, plan, place, each, outcomes) for each in suspects]
    likeliest: dict[tuple[object, ...], int] = {}
    for n in sorted(range(len(judged)), key=lambda n: -judged[n][1]):
        likeliest.setdefault(suspects[n].candidate.repair.of_key, n)
    kept = set(likeliest.values())
    return [each if n in kept else (0.0, 0.0) for n, each in enumerate(judged)]


def _weigh(
    examination: Examination,
    plan: Plan,
    place: Place,
    suspect: Suspect,
    outcomes: Sequence[Outcome | None],
) -> tuple[float, float]:
    """How much of the finding goes with a repair made, and how likely its key made it."""
    outcome = None if suspect.trial is None else outcomes[suspect.trial]
    candidate = suspect.candidate
    if outcome is None:
        return min(UNASKED, candidate.foretold), candidate.weight
    basis = examination.basis
    around = place.around(len(basis.frames))
    before, after = (each.marks[around][:, :, :2] for each in (basis, outcome.basis))
    gone = explained(basis, place, before, after)
    drop = share_gone(place.finding, plan.found, outcome.findings)
    if drop is None:
        return gone, candidate.odd * (TAKES_NOTHING + gone)
    taken = MEASURED * drop + (1.0 - MEASURED) * gone
    return drop, candidate.odd * (TAKES_NOTHING + taken) ** 2
