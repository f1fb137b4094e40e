# SPDX-License-Identifier: GPL-3.0-or-later
"""`slide`: planted feet that slip, and many that do not."""

import numpy as np
import pytest
from figures import with_mover
from walker import STANCE, Walk, box, hop, moved, steer, turned, walk, with_supports

from analysis import Settings, check_clip
from analysis.basis.slip_ways import longest

PLAN = Walk(frames=96)
SLIDE = Settings(cycle="no", checks=("slide",))


def found(clip, settings=SLIDE):
    return check_clip(clip, settings).findings


def whole_plant(plan, side, number):
    return plan.plants(side)[number]


def test_a_clean_walk_does_not_slide():
    shot = check_clip(walk(PLAN), SLIDE)
    assert not shot.findings
    (good,) = shot.good
    # Eight whole ones, and two that the range cuts.
    assert good == "10 plants: every foot stands still."
    assert shot.measures["plants"] == 10
    assert shot.measures["plant_slip_median_m"] < 0.001
    assert shot.measures["foot_contacts_left"] + shot.measures["foot_contacts_right"] == 10
    # Low and slow begins a little before it stands: at most a tenth of a second at either end.
    stands_s = STANCE * PLAN.stride_s
    assert stands_s - 0.05 <= shot.measures["plant_median_s"] <= stands_s + 0.2


@pytest.mark.parametrize(("fps", "frames"), [(24.0, 96), (30.0, 120), (60.0, 240)])
@pytest.mark.parametrize("way", [(0.0, 0.05), (-0.05, 0.0)])
def test_a_slip_is_found_with_its_foot_frames_size_and_way(fps, frames, way):
    plan = Walk(fps=fps, frames=frames)
    first, last = whole_plant(plan, "L", 1)
    clip = walk(plan, slips=[("L", first, last, way)])
    (finding,) = found(clip)
    assert (finding.check, finding.part, finding.severity) == ("slide", "foot.L", "major")
    assert first + 1 <= finding.peak_frame <= last + 1
    assert finding.amount == pytest.approx(5.0, abs=0.3)
    # Told with the frames of the slip itself, the most of it.
    assert first + 1 <= finding.frames[0] < finding.frames[1] <= last + 1
    # The figure faces -Y: +Y is back, and -X is to its right.
    assert ("back" if way[1] else "to the right") in finding.says
    assert "stands on the floor" in finding.says
    back = finding.suggestion.offset
    assert np.dot(back[:2], way) < 0
    assert np.linalg.norm(back) * 100 == pytest.approx(finding.amount, abs=0.1)


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_the_same_walk_in_place_and_travelling_slides_alike(fps):
    findings = []
    for in_place in (False, True):
        plan = Walk(fps=fps, frames=round(4 * fps), in_place=in_place)
        (a, b), (c, d) = whole_plant(plan, "R", 1), whole_plant(plan, "L", 2)
        slips = [("R", a, b, (0.0, -0.06)), ("L", c, d, (0.04, 0.03))]
        findings.append(found(walk(plan, slips=slips)))
    assert [(f.part, f.frames, f.severity) for f in findings[0]] == [
        (f.part, f.frames, f.severity) for f in findings[1]
    ]
    assert [f.part for f in findings[0]] == ["foot.L", "foot.R"]
    for travelling, in_place in zip(*findings, strict=True):
        assert in_place.amount == pytest.approx(travelling.amount, abs=0.3)


def test_a_clean_walk_in_place_says_how_fast_its_ground_goes():
    shot = check_clip(walk(Walk(frames=96, in_place=True)), SLIDE)
    assert not shot.findings
    assert "over ground that moves at 1.2 m/s" in shot.good[0]
    assert shot.measures["ground_speed_m_s"] == pytest.approx(1.2, rel=0.01)


def test_a_walk_that_skates_from_end_to_end_is_one_finding():
    """The body goes 15 cm/s faster than its feet say: plants that all slip one way excuse no
    other, and none of them is to blame."""
    clip = walk(PLAN)
    skating = moved(clip, np.outer(np.arange(96) / 24.0, [0.0, -0.15, 0.0]))
    (finding,) = found(skating)
    assert (finding.part, finding.severity) == ("root", "major")
    assert "plants slip forward" in finding.says
    assert "drifts over them at 15 cm/s" in finding.says
    assert "15 cm/s back" in finding.suggestion.text
    # Where a bone carries the travel, it is that one's.
    path = np.outer(np.arange(96) / 24.0, [0.0, -PLAN.speed - 0.15, 0.0])
    (finding,) = found(with_mover(skating, path))
    assert finding.part == "mover"
    assert "goes at 1.35 m/s, the planted feet say 1.20 m/s" in finding.says


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_foot_that_slips_too_fast_to_stand_still_slips(fps):
    """12 cm within a fifth of a second, half-way through a plant, while it bears the body alone:
    faster than a foot that stands (.4 m/s)."""
    plan = Walk(fps=fps, frames=round(4 * fps))
    first, last = whole_plant(plan, "R", 1)
    a = first + round(0.35 * (last - first))
    b = a + round(0.2 * fps)
    (finding,) = found(walk(plan, slips=[("R", a, b, (0.0, 0.12))]))
    assert finding.part == "foot.R"
    assert finding.frames[0] <= a + 1
    assert finding.frames[1] >= b + 1
    assert finding.amount == pytest.approx(12.0, abs=2.0)


def test_a_foot_that_steps_while_the_other_one_stands_does_not_slip():
    """Both feet stand; one shuffles 12 cm along the floor, which the other leaves it free to."""
    clip = hop(distance=0.0).cut(1, 12)
    count = 72
    root = np.tile(clip.positions[0, 0], (count, 1))
    still = {s: np.tile([x, 0.0, 0.08], (count, 1)) for s, x in (("L", 0.1), ("R", -0.1))}
    still["R"] += np.outer(np.clip((np.arange(count) - 34) / 4.0, 0.0, 1.0), [0.0, -0.12, 0.0])
    assert not found(steer(root, still, 24.0))


def test_size_and_place_do_not_matter():
    first, last = whole_plant(PLAN, "L", 1)
    clip = walk(PLAN, slips=[("L", first, last, (0.0, 0.05))])
    (plain,) = found(clip)
    away = moved(turned(clip, 60.0), np.tile([30.0, -8.0, 4.0], (96, 1)))
    (finding,) = found(away)
    assert finding.amount == pytest.approx(plain.amount, abs=0.05)
    tenth = type(clip)(
        **{
            **vars(clip),
            "positions": clip.positions / 10,
            "rest_positions": clip.rest_positions / 10,
            "lengths": clip.lengths / 10,
        }
    )
    told = Settings(cycle="no", checks=("slide",), height_m=1.78)
    (finding,) = found(tenth, told)
    assert finding.amount == pytest.approx(found(clip, told)[0].amount, abs=0.05)


def test_what_little_feet_slip_is_said():
    first, last = whole_plant(PLAN, "L", 1)
    shot = check_clip(walk(PLAN, slips=[("L", first, last, (0.0, 0.003))]), SLIDE)
    assert not shot.findings
    assert shot.good[0].startswith("10 plants: no foot slips more than")


def test_tolerance_widens_the_limit():
    first, last = whole_plant(PLAN, "L", 1)
    clip = walk(PLAN, slips=[("L", first, last, (0.0, 0.0045))])
    sizes = {
        tolerance: len(found(clip, Settings(cycle="no", checks=("slide",), tolerance=tolerance)))
        for tolerance in ("strict", "normal", "loose")
    }
    assert sizes["strict"] == 1
    assert sizes["loose"] == 0


def test_feet_on_a_moving_box_stand_still_on_it():
    """Both feet ride on a cart from the first frame to the last."""
    clip = hop(air_s=0.5, distance=0.0)
    count = len(clip.frames)
    still = type(clip)(**{**vars(clip), "positions": clip.positions[[0] * count]})
    way = np.outer(np.sin(np.linspace(0, 3, count)), [0.5, 0.2, 0.0])
    cart = box((-1, -1, -0.5), (1, 1, 0.0), count)
    cart[:, :3, 3] += way
    riding = with_supports(moved(still, way), cart)
    shot = check_clip(riding, SLIDE)
    assert not shot.findings
    assert shot.good
    drift = np.outer(np.linspace(0, 1, count), [0.0, 0.1, 0.0])
    slipping = with_supports(moved(still, way + drift), cart)
    (finding,) = found(slipping)
    assert finding.part == "root"
    assert "stand on support 1" in finding.says


def test_what_cannot_be_asked_says_why():
    clip = walk(PLAN)
    high = type(clip)(**{**vars(clip), "meta": _floor(clip.meta, -1.0)})
    shot = check_clip(high, SLIDE)
    assert dict(shot.skipped)["slide"] == "no foot is ever planted (low, and slow for a while)"
    roles = {"root": ("root",), "head": ("head",)}
    headless = type(clip)(**{**vars(clip), "meta": type(clip.meta)(name="bust", roles=roles)})
    shot = check_clip(headless, SLIDE)
    assert dict(shot.skipped)["slide"] == "no foot is known, and only feet can slide"


def _floor(meta, z):
    return type(meta)(**{**vars(meta), "floor_z": z})


def leaning(share, *, tremble=0.0):
    """A figure stands with its hips at a share of the way to its left foot, which drifts by
    5 cm ahead in between; both feet tremble by so many metres."""
    count = 48
    rng = np.random.default_rng(5)
    root = np.tile([0.2 * share - 0.1, 0.0, 0.80], (count, 1))
    drift = np.clip((np.arange(count) - 12) / 24, 0.0, 1.0)
    ankles = {
        side: np.tile([x, 0.0, 0.08], (count, 1)) + rng.normal(0.0, tremble, (count, 3)) * [1, 1, 0]
        for side, x in (("L", 0.1), ("R", -0.1))
    }
    ankles["L"] = ankles["L"] - np.outer(drift, [0.0, 0.05, 0.0])
    return steer(root, ankles, 24.0)


@pytest.mark.parametrize(
    ("share", "seen"), [(0.5, True), (0.25, True), (-0.5, True), (-1.0, False)]
)
def test_a_held_foot_slides_unless_it_bears_nothing(share, seen):
    assert [f.part for f in found(leaning(share))] == (["foot.L"] if seen else [])


@pytest.mark.parametrize("tremble", [0.0001, 0.0005])
@pytest.mark.parametrize(("share", "seen"), [(0.5, True), (0.25, False)])
def test_a_foot_that_is_not_held_may_be_dragged_while_it_bears_little(share, seen, tremble):
    """Those of a good capture tremble by a tenth of a millimetre: 3 mm/s, and are not held."""
    parts = [f.part for f in found(leaning(share, tremble=tremble))]
    assert parts == (["foot.L"] if seen else [])


def test_a_foot_that_comes_back_while_it_bears_nothing_has_not_slipped_twice():
    """It goes 3 cm, is carried back unseen, and goes 3 cm again: one way of 3 cm, not of 6."""
    ways = np.repeat([0.01, -0.01, 0.01], 3)
    counts = np.repeat([True, False, True], 3)
    steps = np.outer(ways, [1.0, 0.0, 0.0])
    path, whole = (
        np.concatenate((np.zeros((1, 3)), np.cumsum(each, axis=0)))
        for each in (steps * counts[:, None], steps)
    )
    assert np.linalg.norm(longest(path, path, 0.3, 1e-4, [20])[0][0]) == pytest.approx(0.06)
    way, at = longest(path, whole, 0.3, 1e-4, [20])[0]
    assert way == pytest.approx([0.03, 0.0, 0.0])
    assert at in {(0, 3), (6, 9)}
