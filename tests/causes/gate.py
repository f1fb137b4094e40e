# SPDX-License-Identifier: GPL-3.0-or-later
"""Whether a run of the bench of causes is as good as `limits` say: sentences for what is not."""

from tests.quality.intervals import binomial_at_most

from .limits import SHARES, SURPRISE
from .report import Figures


def failures(figures: Figures) -> list[str]:
    """One sentence for each share that falls short; rows that were not run are left out."""
    found = []
    for of, limits in SHARES.items():
        row = figures.row(of)
        for name, value in limits.items() if row is not None else ():
            share = row.shares[name]
            if share.cases and binomial_at_most(share.right, share.cases, value) < SURPRISE:
                found.append(
                    f"{of}, {name}: {share.right} of {share.cases}, expected about {value:.0%}: "
                    "see what was missed with --list."
                )
    return found
