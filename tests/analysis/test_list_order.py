# SPDX-License-Identifier: GPL-3.0-or-later
"""How findings are sorted by size and grouped by part."""

import pytest

from analysis.finding import Finding
from analysis.list_order import group_of, places_by_size, times_over


def found(part="head", *, amount=2.0, limit=1.0, severity="minor", place="head"):
    return Finding(
        id=f"pop:{place}:1", mark="", check="pop", part=part, point="", space="world",
        frames=(1.0, 1.0), peak_frame=1.0, severity=severity, amount=amount, limit=limit,
        unit="cm", says="",
    )  # fmt: skip


def test_the_biggest_are_those_furthest_over_their_limits_and_the_major_ones_before_all():
    findings = [
        found(amount=90.0, limit=45.0),
        found(amount=6.0, limit=5.0, severity="major"),
        found(amount=3.0, limit=1.0),
        found(amount=4.0, limit=2.0),
        found(amount=1.0, limit=0.0),
    ]
    assert [times_over(each) for each in findings] == [2.0, 1.2, 3.0, 2.0, float("inf")]
    assert places_by_size(findings) == [3, 0, 2, 4, 1]


@pytest.mark.parametrize(
    ("part", "place", "group"),
    [
        ("mover", "mover", "body"),
        ("spine.2", "spine.2", "body"),
        ("neck", "neck", "head"),
        ("toe.L", "toe.L", "legs"),
        ("shoulder.R", "shoulder.R", "arms"),
        ("prop.1", "prop.1", "rest"),
        ("camera", "camera", "rest"),
        ("chain.3", "chain.3", "rest"),
        (None, "-", "body"),
        (None, "ear", "rest"),
    ],
)
def test_parts_fall_into_five_groups(part, place, group):
    assert group_of(found(part, place=place)) == group
