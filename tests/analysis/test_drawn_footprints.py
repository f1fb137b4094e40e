# SPDX-License-Identifier: GPL-3.0-or-later
"""Footprints: where planted feet stand, and how far they slip, against walks that are known."""

from dataclasses import replace

import numpy as np
import pytest
from figures import arrays
from walker import Walk, box, hop, moved, turned, walk, with_supports

from analysis import Clip, Settings
from analysis.drawn import footprints
from analysis.finding import Measured
from analysis.pipeline import examine

SLIDE = Settings(cycle="no", checks=("slide",))
PLAN = Walk(frames=60)


def of(clip, settings=SLIDE):
    return footprints(examine(clip, settings))


def slipped(way):
    """A walk whose left foot slips a way (2,) in its second plant, and that plant's samples."""
    first, last = PLAN.plants("L")[0]
    return walk(PLAN, slips=[("L", first, last, way)]), first, last


def test_each_plant_has_a_sole_on_the_ground_where_the_foot_stands():
    found = examine(walk(PLAN), SLIDE)
    prints = footprints(found)
    assert len(prints) == len(found.basis.plants)
    assert [each.frames for each in prints] == sorted(each.frames for each in prints)
    for each in prints:
        assert each.part in ("foot.L", "foot.R")
        assert (each.outline[0] == each.outline[-1]).all()
        assert each.outline[:, 2] == pytest.approx(0.0, abs=1e-6)
        at = int(sum(each.frames)) // 2 - 1
        ankle = found.basis.positions[at, found.basis.body(each.part)]
        # The heel a third of what the ball is before the ankle (.16 m) behind it; facing -Y.
        ends = each.outline[:, 1].min(), each.outline[:, 1].max()
        assert ends == pytest.approx((ankle[1] - 0.16, ankle[1] + 0.16 / 3.0), abs=0.01)
        assert each.outline[:, 0].mean() == pytest.approx(ankle[0], abs=0.01)
        assert 0.3 < np.ptp(each.outline[:, 0]) / np.ptp(each.outline[:, 1]) < 0.45
        assert (each.slip_m, each.says) == (pytest.approx(0.0, abs=0.002), "")


@pytest.mark.parametrize("degrees", [0.0, 70.0])
def test_a_slip_is_drawn_as_far_and_the_way_that_it_goes(degrees):
    clip, first, last = slipped((0.03, 0.04))
    half = np.radians(degrees)
    way = np.array(
        [0.03 * np.cos(half) - 0.04 * np.sin(half), 0.03 * np.sin(half) + 0.04 * np.cos(half)]
    )
    prints = of(turned(clip, degrees))
    (told,) = [each for each in prints if each.says]
    assert told.part == "foot.L"
    assert told.frames[0] <= first + 1 < last + 1 <= told.frames[1] + 1
    assert told.slip_m == pytest.approx(0.05, abs=0.002)
    assert told.says == f"{100.0 * told.slip_m:.1f} cm"
    assert told.slip[-1, :2] - told.slip[0, :2] == pytest.approx(way, abs=0.004)
    assert np.linalg.norm(told.slip - told.outline.mean(axis=0), axis=1).max() < 0.06
    others = [each for each in prints if not each.says]
    assert max(np.linalg.norm(each.slip[-1] - each.slip[0]) for each in others) < 0.01


@pytest.mark.parametrize("asked", [None, 1.2])
@pytest.mark.parametrize("frames", [6, 8])
def test_a_slip_is_drawn_as_long_as_it_is_told(frames, asked):
    """It eases in and out, half a cosine, and creeps on its first and its last frames."""
    share = np.clip((np.arange(39) - 28) / frames, 0.0, 1.0)
    shift = np.outer(0.5 - 0.5 * np.cos(np.pi * share), [0.03, 0.06, 0.0])
    found = examine(moved(hop(), shift), replace(SLIDE, height_m=asked))
    to_story = found.basis.height.to_story
    (finding,) = found.shot.findings
    told = [each for each in footprints(found) if each.says]
    assert len(told) == 2
    for each in told:
        drawn = np.linalg.norm(each.slip[-1] - each.slip[0]) * to_story
        assert drawn == pytest.approx(each.slip_m, abs=1e-9)
        assert drawn == pytest.approx(finding.amount / 100.0, abs=5e-4)
        assert f" slip {each.says} " in finding.says


def test_a_slip_that_is_not_asked_for_is_drawn_and_not_told():
    clip, _first, _last = slipped((0.0, 0.05))
    prints = of(clip, Settings(cycle="no", checks=("pop",)))
    assert not any(each.says for each in prints)
    assert max(each.slip_m for each in prints) == pytest.approx(0.05, abs=0.002)


def test_a_slip_that_another_line_tells_is_told_with_its_plant():
    """The foot goes under the floor while it slips: one finding, of which the slip is a part."""
    clip, first, last = slipped((0.0, 0.06))
    found = examine(clip, SLIDE)
    (finding,) = found.shot.findings
    frames = (float(first + 1), float(last + 1))
    slip = Measured(check="slide", body="foot.L", frames=frames, amount=6.0, unit="cm")
    sink = replace(finding, check="sink", also=(("slide", "foot.L"),), besides=(slip,))
    prints = footprints(replace(found, shot=replace(found.shot, findings=(sink,))))
    (told,) = [each for each in prints if each.says]
    assert (told.part, told.says) == ("foot.L", "6.0 cm")
    assert told.frames[0] <= frames[0] < frames[1] <= told.frames[1] + 1


def test_both_feet_that_slip_together_are_both_told():
    shift = np.outer(np.clip((np.arange(39) - 28) / 6.0, 0.0, 1.0), [0.0, 0.08, 0.0])
    prints = of(moved(hop(), shift))
    assert sorted((each.part, each.says) for each in prints if each.says) == [
        ("foot.L", "8.0 cm"),
        ("foot.R", "8.0 cm"),
    ]


def test_sizes_are_those_of_the_story_and_prints_lie_on_what_bears_them():
    asked = Settings(cycle="no", checks=("slide",), height_m=1.78)
    first, last = PLAN.plants("L")[0]
    clip = walk(PLAN, slips=[("L", first, last, (0.0, 0.05))])
    large = Clip(
        **{
            **vars(clip),
            "positions": 10.0 * clip.positions,
            "rest_positions": 10.0 * clip.rest_positions,
            "lengths": 10.0 * clip.lengths,
        }
    )
    (one,), (ten,) = ([p for p in of(each, asked) if p.says] for each in (clip, large))
    assert ten.slip_m == pytest.approx(one.slip_m, abs=1e-4)
    np.testing.assert_allclose(ten.outline, 10.0 * one.outline, atol=1e-6)
    lifted = moved(clip, np.tile([0.0, 0.0, 1.0], (len(clip.frames), 1)))
    stage = box((-2.0, -9.0, 0.0), (2.0, 2.0, 1.0), len(clip.frames))
    for each in of(with_supports(lifted, stage)):
        assert each.outline[:, 2] == pytest.approx(1.0, abs=1e-6)


def test_a_plain_object_leaves_none():
    assert of(Clip(**arrays())) == ()
