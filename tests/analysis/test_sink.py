# SPDX-License-Identifier: GPL-3.0-or-later
"""`sink`: feet under the floor or inside of what they stand on, and floors that are off."""

import numpy as np
import pytest
from stepping import ROUND_S, lands, stepping
from walker import ANKLE, box, hop, moved, turned, with_supports

from analysis import Event, Settings, check_clip
from analysis.basis import build_basis

SINK = Settings(cycle="no", checks=("sink",))


def found(clip, settings=SINK):
    return check_clip(clip, settings).findings


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_foot_that_stands_under_the_floor_sinks(fps):
    (finding,) = found(stepping(fps=fps, sunk=[("R", 1, 0.03)], floor_z=0.0))
    assert (finding.check, finding.part, finding.severity) == ("sink", "foot.R", "major")
    assert finding.amount == pytest.approx(3.0, abs=0.1)
    # From where it comes down to where it lifts: .6 s, of which it is deep enough for the most.
    seconds = (finding.frames[1] - finding.frames[0]) / fps
    assert 0.5 < seconds < 0.8
    assert "goes 3.0 cm under the floor" in finding.says
    assert finding.suggestion.offset[2] == pytest.approx(0.03, abs=1e-3)


def test_the_floor_need_not_be_stated():
    assert [f.part for f in found(stepping(sunk=[("R", 1, 0.03)]))] == ["foot.R"]


def test_feet_on_the_floor_are_clean():
    shot = check_clip(stepping(floor_z=0.0), SINK)
    assert not shot.findings
    assert shot.good[0].endswith("no foot goes under what it stands on.")
    assert shot.measures["sink_usual_m"] == pytest.approx(0.0, abs=1e-6)


def test_little_is_not_seen_and_is_said():
    shot = check_clip(stepping(sunk=[("R", 1, 0.01)], floor_z=0.0), SINK)
    assert not shot.findings
    assert "no foot goes more than 1.0 cm under" in shot.good[0]


@pytest.mark.parametrize(("floor", "where"), [(0.03, "under"), (-0.03, "above")])
def test_a_floor_that_is_off_is_told_and_not_blamed(floor, where):
    shot = check_clip(stepping(floor_z=floor), SINK)
    assert not shot.findings
    assert shot.style[-1].startswith(f"All plants lie 3.0 cm {where} the floor alike: ")
    assert shot.measures["sink_usual_m"] == pytest.approx(floor, abs=1e-6)


def dipping(depths):
    """The left foot dips under the floor for a fifth of a second in the middle of its stands."""
    clip = stepping(floor_z=0.0)
    place = np.array(clip.positions)
    time = np.arange(len(place)) / 24.0
    for number, depth in enumerate(depths):
        near = np.clip(1.0 - np.abs(time - 0.05 - (number + 0.73) * ROUND_S) / 0.15, 0.0, 1.0)
        place[:, clip.joint("foot.L"), 2] -= depth * np.minimum(1.0, 2.0 * near)
    return type(clip)(**{**vars(clip), "positions": place})


def gone(way, begins=0.2, fps=24.0):
    """The left foot goes by `way`, metres, in .1 s of its third stand, until it has lifted."""
    clip = stepping(fps=fps, floor_z=0.0)
    place, time = np.array(clip.positions), np.arange(len(clip.positions)) / fps
    lands_s = (lands(fps, "L", 2) - 1.0) / fps
    there = np.clip((time - lands_s - begins) / 0.1, 0.0, 1.0)
    back = np.clip((time - lands_s - 0.8) / 0.3, 0.0, 1.0)
    place[:, clip.joint("foot.L")] += np.outer(there - back, way)
    return type(clip)(**{**vars(clip), "positions": place})


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize(
    ("way", "says"),
    [
        ((0.0, 0.04, -0.03), " and 4.0 cm back, frames "),
        ((-0.025, 0.0, -0.03), " and 2.5 cm to the right, frames "),
        ((0.0, 0.015, -0.03), "under the floor, frames "),
        ((0.0, 0.0, -0.03), "under the floor, frames "),
    ],
)
def test_a_foot_that_stands_and_goes_down_and_aside_tells_both(way, says, fps):
    (finding,) = found(gone(way, fps=fps))
    assert says in finding.says
    assert finding.amount == pytest.approx(3.0, abs=0.1)
    least = -np.array(way) if "and" in says else [0.0, 0.0, 0.03]
    assert finding.suggestion.offset == pytest.approx(least, abs=1e-3)


def test_a_foot_that_lands_too_deep_goes_nowhere_on_its_way_down():
    (finding,) = found(gone((0.0, 0.04, -0.03), begins=-0.1))
    assert "under the floor, frames " in finding.says


def test_feet_that_sink_in_every_step_have_a_style():
    shot = check_clip(dipping([0.03] * 5), SINK)
    assert not shot.findings
    assert shot.style[-1].startswith("Feet go under the floor 5 times, each time by about 3.0 cm")
    (finding,) = check_clip(dipping([0.03, 0.03, 0.03, 0.03, 0.06]), SINK).findings
    assert finding.amount == pytest.approx(6.0, abs=0.2)
    assert len(check_clip(dipping([0.03, 0.0, 0.03, 0.0, 0.0]), SINK).findings) == 2


def lifted(clip, up):
    """The right foot is so much (T,) higher than its leg takes it."""
    place = np.array(clip.positions)
    place[:, clip.joint("foot.R"), 2] += up
    return type(clip)(**{**vars(clip), "positions": place})


@pytest.mark.parametrize(("up", "often"), [(0.015, 1), (0.029, 2)])
def test_a_foot_that_hardly_comes_up_is_down_once(up, often):
    clip = stepping(sunk=[("R", 1, 0.03)], floor_z=0.0)
    rolls = np.zeros(len(clip.frames))
    middle = round(lands(24.0, "R", 1)) + 6
    rolls[middle : middle + 4] = up
    rolling = lifted(clip, rolls)
    assert len(found(rolling)) == often


def test_a_figure_that_is_too_low_for_two_steps_has_no_style():
    """All of it goes down, so that each foot does so as it stands, and is up in between."""
    clip = stepping(rounds=8, floor_z=0.0)
    time = np.arange(len(clip.frames)) / 24.0
    low = np.interp(time, [2.4, 2.65, 5.0, 5.25], [0.0, 1.0, 1.0, 0.0])
    (finding,) = found(moved(clip, -0.03 * low[:, None] * [0.0, 0.0, 1.0]))
    assert finding.part == "root"
    assert "Both feet go 3.0 cm under the floor" in finding.says
    assert finding.frames[0] < 1.0 + 24.0 * 2.9
    assert finding.frames[1] > 1.0 + 24.0 * 4.7


@pytest.mark.parametrize(("lower", "sinks"), [(0.08, True), (0.3, False)])
def test_a_foot_far_under_a_floor_that_nobody_stated_is_on_something(lower, sinks):
    """A step of stairs is 15 cm and more; what lies less deep than that is no step."""
    clip = stepping()
    start = round(lands(24.0, "R", 1))
    stands = (clip.frames > start - 2) & (clip.frames < start + 15)
    clip = lifted(clip, -lower * stands)
    shot = check_clip(clip, SINK)
    assert bool(shot.findings) == sinks
    assert sinks == ("sink" not in dict(shot.skipped))
    if not sinks:
        assert "the right foot stands 30.0 cm under where the floor" in dict(shot.skipped)["sink"]
    stated = type(clip)(**{**vars(clip), "meta": _floor(clip.meta)})
    (finding,) = found(stated)
    assert finding.part == "foot.R"


def test_a_foot_on_something_undeclared_is_named_beside_one_that_sinks():
    clip = stepping(sunk=[("R", 3, 0.03)])
    start = round(lands(24.0, "R", 1))
    shot = check_clip(lifted(clip, -0.3 * ((clip.frames > start - 2) & (clip.frames < start + 15))))
    (finding,) = (each for each in shot.findings if each.check == "sink")
    assert finding.part == "foot.R"
    assert finding.frames[0] > start + 24
    assert "the right foot stands 30.0 cm under where the floor" in dict(shot.skipped)["sink"]


def test_a_heel_through_a_step_names_the_step():
    clip = hop(rise=0.4, air_s=0.6, distance=0.9, after=30)
    count = len(clip.frames)
    crate = box((-0.5, -1.4, 0.0), (0.5, -0.5, 0.4), count)
    given = type(clip)(**{**vars(clip), "meta": _floor(clip.meta)})
    assert not found(with_supports(given, crate))
    low = np.zeros((count, 3))
    low[-8:, 2] = -0.04
    (sunk,) = found(with_supports(moved(given, low), crate))
    assert sunk.part == "root"
    assert "Both feet go 4.0 cm under support 1" in sunk.says


@pytest.mark.parametrize(("inside", "sinks"), [(0.01, False), (0.04, True)])
def test_a_foot_on_the_edge_of_a_support_is_not_in_it(inside, sinks):
    """A slab of 5 cm reaches so far under the right foot's toes as they come down."""
    clip = stepping(floor_z=0.0)
    count, foot = len(clip.frames), clip.joint("foot.R")
    (sole,) = (each for each in build_basis(clip, SINK).soles if each.sole.side == "R")
    toes = float(sole.sole.points[-1, :, 1].min())
    x = float(clip.positions[-1, foot, 0])
    slab = box((x - 0.3, toes - 0.5, 0.0), (x + 0.09, toes + inside, 0.05), count)
    there = lands(24.0, "R", 3)
    slab[(clip.frames < there - 2) | (clip.frames > there + 20), 0, 3] = 50.0  # one stand alone
    assert any(f.part == "foot.R" for f in found(with_supports(clip, slab))) == sinks


@pytest.mark.parametrize(("depth", "sinks"), [(0.03, False), (0.06, True)])
def test_a_foot_that_passes_through_the_floor_must_be_deeper(depth, sinks):
    clip = stepping(floor_z=0.0)
    place = np.array(clip.positions)
    foot = clip.joint("foot.L")
    time = np.arange(len(place)) / 24.0 - (0.05 + ROUND_S + 0.25)
    passes = (time >= 0.0) & (time <= 0.15)  # in the middle of a swing
    place[passes, foot, 1] += 1.5 * time[passes]
    place[passes, foot, 2] = ANKLE - depth
    passing = type(clip)(**{**vars(clip), "positions": place})
    assert bool(found(passing)) == sinks


def _floor(meta):
    return type(meta)(**{**vars(meta), "floor_z": 0.0})


def test_size_heading_and_place_do_not_matter():
    clip = stepping(sunk=[("R", 1, 0.03)])
    (plain,) = found(clip)
    (finding,) = found(moved(turned(clip, 70.0), np.tile([9.0, -3.0, 2.0], (len(clip.frames), 1))))
    assert finding.amount == pytest.approx(plain.amount, abs=0.02)
    told = Settings(cycle="no", checks=("sink",), height_m=1.78)
    (tall,) = found(stepping(sunk=[("R", 1, 0.03)], scale=10.0), told)
    assert (tall.part, tall.frames, tall.severity) == (plain.part, plain.frames, plain.severity)


def test_inside_a_declared_event_it_is_no_finding():
    clip = stepping(sunk=[("R", 1, 0.03)])
    (finding,) = found(clip)
    hit = Event(frames=finding.frames, part="foot.R", direction=None, kind="hit")
    meta = type(clip.meta)(**{**vars(clip.meta), "events": (hit,)})
    assert not found(type(clip)(**{**vars(clip), "meta": meta}))


def test_what_cannot_be_asked_says_why():
    clip = stepping()
    bust = type(clip.meta)(name="bust", roles={"root": ("root",), "head": ("head",)})
    shot = check_clip(type(clip)(**{**vars(clip), "meta": bust}), SINK)
    assert dict(shot.skipped)["sink"] == "no foot is known, and only feet can sink"
    high = check_clip(stepping(floor_z=-1.0), SINK)
    assert "no foot is ever planted" in dict(high.skipped)["sink"]


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("millimetres", [1.0, 2.0])
def test_a_foot_that_sinks_is_told_among_feet_that_tremble(fps, millimetres):
    for seed in range(3):
        rng = np.random.default_rng(seed)
        clips = [stepping(fps=fps, sunk=sunk, floor_z=0.0) for sunk in ([("R", 1, 0.032)], ())]
        noise = 1e-3 * millimetres * rng.normal(size=clips[0].positions.shape)
        sunk, clean = (
            found(type(clip)(**{**vars(clip), "positions": clip.positions + noise}))
            for clip in clips
        )
        assert [each.part for each in sunk] == ["foot.R"]
        assert sunk[0].amount == pytest.approx(3.2, abs=0.5)
        assert not clean
