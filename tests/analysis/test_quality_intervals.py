# SPDX-License-Identifier: GPL-3.0-or-later
"""The bench's exact intervals against scipy.stats."""

import pytest
from scipy import stats

from tests.quality.intervals import binomial_interval, poisson_upper


@pytest.mark.parametrize(
    ("found", "cases"), [(0, 8), (8, 8), (1, 30), (29, 30), (40, 40), (143, 150), (150, 150)]
)
def test_a_share_has_the_interval_of_clopper_and_pearson(found, cases):
    theirs = stats.binomtest(found, cases).proportion_ci(0.95, method="exact")
    assert binomial_interval(found, cases) == pytest.approx(tuple(theirs), abs=1e-9)


def test_nothing_is_known_of_no_cases():
    assert binomial_interval(0, 0) == (0.0, 1.0)


@pytest.mark.parametrize("events", [0, 1, 3, 17, 250])
def test_a_count_has_garwoods_upper_bound(events):
    assert poisson_upper(events) == pytest.approx(stats.chi2.ppf(0.95, 2 * events + 2) / 2)
