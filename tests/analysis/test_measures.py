# SPDX-License-Identifier: GPL-3.0-or-later
"""Every measure is listed with its unit and its definition, and what is listed is measured."""

import re
from pathlib import Path

import pytest
from figures import figure
from filmed import filmed
from walker import Walk, hop, walk

import analysis
from analysis import check_clip
from analysis.measure_list import POINT_MEASURES, SHOT_MEASURES, measures_text

SOURCE = "\n".join(
    path.read_text("utf-8")
    for path in Path(analysis.__file__).parent.rglob("*.py")
    if path.name != "measure_list.py"
)
# Names that are put together: f"{check}_share".
PATTERNS = [
    re.compile(re.sub(r"\\{.*?\\}", "[a-z_]+", re.escape(text)))
    for text in re.findall(r'f"((?:[a-z_.]|\{[a-z_.]+\})+)"', SOURCE)
    if len(re.sub(r"\{.*?\}", "", text)) > 4
]
CLIPS = {
    "figure": figure,
    "walk": walk,
    "in place": lambda: walk(Walk(in_place=True)),
    "hop": hop,
    "filmed": lambda: filmed(figure()),
}


@pytest.mark.parametrize("make", CLIPS.values(), ids=CLIPS)
def test_every_measure_of_a_shot_is_listed(make):
    found = check_clip(make()).measures
    assert len(found) > 10
    assert set(found) <= set(SHOT_MEASURES)
    for point in found["points"].values():
        assert set(point) <= set(POINT_MEASURES)


@pytest.mark.parametrize("name", [*SHOT_MEASURES, *POINT_MEASURES])
def test_what_is_listed_is_measured_somewhere(name):
    assert f'"{name}"' in SOURCE or any(pattern.fullmatch(name) for pattern in PATTERNS)


def test_the_listing_names_every_measure_with_its_unit_within_its_width():
    text = measures_text(width=72)
    for name, info in (SHOT_MEASURES | POINT_MEASURES).items():
        assert f"\n  {name}\n" in text.replace(f"  {name} [{info.unit}]\n", f"  {name}\n")
        assert info.definition and not info.definition.endswith(".")
    assert max(map(len, text.splitlines())) <= 72
