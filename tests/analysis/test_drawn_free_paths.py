# SPDX-License-Identifier: GPL-3.0-or-later
"""Free paths against Newton's formulas: where a thrown body lands, and how a rod tips over."""

from dataclasses import replace

import numpy as np
import pytest
from drawn_flights import GRAVITY, STANDS, Thrown, figure_along
from figures import arrays, figure
from test_flights_blocking import blocked_hop
from toppling import HEIGHT_M, leans, toppled
from walker import box, with_supports

from analysis import Clip, Event, Settings
from analysis.drawn import free_paths
from analysis.pipeline import examine
from analysis.trails import COM, Spot

ASK = Settings(cycle="no", checks=("gravity", "carry"))
# The sample on which it leaves the ground; frames count from 1.
LEAVES = STANDS + 1


def of(clip, settings=ASK):
    return free_paths(examine(clip, settings))


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_thrown_body_lands_where_its_formula_has_it(fps):
    thrown = Thrown(flies=round(0.6 * fps), pace=1.5, air=1.5, fps=fps)
    found = examine(thrown.clip(), ASK)
    (path,) = free_paths(found)
    assert (path.kind, path.spot, path.says) == ("flight", Spot(COM), "as gravity has it")
    com = found.basis.com
    way = [0.0, -1.5 * thrown.seconds, 0.0]
    assert path.landing == pytest.approx([*(com[STANDS] + way)[:2], 0.0], abs=0.01)
    assert path.landing_frame == pytest.approx(LEAVES + thrown.flies, abs=0.05)
    assert path.frames[0] == LEAVES
    there = round(path.frames[-1])
    np.testing.assert_allclose(path.positions, com[STANDS:there], atol=0.01)


def test_a_body_that_floats_a_little_comes_down_sooner_by_its_own_take_off():
    """Six tenths of gravity, which nothing blames in one flight alone: from the same take-off
    gravity lands it after six tenths of the time."""
    thrown = Thrown(flies=20, gravity=0.6 * GRAVITY)
    found = examine(thrown.clip(), ASK)
    assert found.shot.findings == ()
    (path,) = free_paths(found)
    assert path.says == "as gravity has it"
    assert path.landing_frame == pytest.approx(LEAVES + 12.0, abs=0.1)
    start = found.basis.com[STANDS]
    assert path.landing[1] == pytest.approx(start[1] - 0.6 * thrown.seconds, abs=0.01)
    top = thrown.up**2 / (2.0 * GRAVITY)
    assert path.positions[:, 2].max() == pytest.approx(start[2] + top, abs=0.01)


@pytest.mark.parametrize(("flies", "times"), [(20, 0.5), (10, 2.5)])
def test_a_path_is_what_the_sentence_tells_first_another_height(flies, times):
    """From place to place in its own frames it rises g T2 / 8, as the advice says."""
    thrown = Thrown(flies=flies, pace=1.5, air=1.5, gravity=times * GRAVITY)
    found = examine(thrown.clip(), ASK)
    (told,) = found.shot.findings
    rises_m = GRAVITY * thrown.seconds**2 / 8.0
    height = f"{100.0 * rises_m:.1f} cm"
    assert told.suggestion.text.startswith(f"Let it rise {height} instead of ")
    (path,) = free_paths(found)
    first = round(LEAVES)
    assert path.says == f"as gravity has it, from {first} to {first + flies}"
    assert f"from frame {first}, where it leaves, to {first + flies}," in told.says
    start, end = found.basis.com[STANDS], found.basis.com[STANDS + flies]
    np.testing.assert_allclose(path.positions[[0, -1]], [start, end], atol=0.005)
    assert path.frames[[0, -1]] == pytest.approx([LEAVES, LEAVES + flies], abs=0.01)
    time = (path.frames - path.frames[0]) / thrown.fps
    own = start[2] + 0.5 * GRAVITY * time * (thrown.seconds - time)
    np.testing.assert_allclose(path.positions[:, 2], own, atol=0.005)


@pytest.mark.parametrize(("flies", "times", "pace"), [(10, 2.5, 0.0), (26, 0.45, 1.5)])
def test_a_path_is_what_the_sentence_tells_first_another_time(flies, times, pace):
    """Its rise h takes sqrt(8 h / g); it leaves at its pace, and lands as far on as that goes."""
    thrown = Thrown(flies=flies, pace=pace, air=pace, gravity=times * GRAVITY)
    found = examine(thrown.clip(), ASK)
    (told,) = found.shot.findings
    rises_m = thrown.up**2 / (2.0 * times * GRAVITY)
    needs_s = np.sqrt(8.0 * rises_m / GRAVITY)
    frames = round(needs_s * thrown.fps)
    assert f" needs {frames} frames in the air" in told.suggestion.text
    (path,) = free_paths(found)
    assert path.says == "as gravity has it, at its height"
    assert path.landing_frame == pytest.approx(LEAVES + needs_s * thrown.fps, abs=0.02)
    start = found.basis.com[STANDS]
    assert path.positions[:, 2].max() == pytest.approx(start[2] + rises_m, abs=0.01)
    # The place is that of whole frames, as the sentence has it.
    lands = start[1] - pace * frames / thrown.fps
    assert path.landing[1] == pytest.approx(lands, abs=0.01)
    less = f"land {100.0 * pace * (flies - frames) / thrown.fps:.0f}"
    assert (less in told.suggestion.text) == (pace > 0.0)


def test_a_body_that_flies_faster_than_it_was_pushed_off_lands_where_its_pace_has_it():
    thrown = Thrown(pace=1.0, air=1.8)
    found = examine(thrown.clip(), ASK)
    assert [each.check for each in found.shot.findings] == ["carry"]
    (path,) = free_paths(found)
    assert path.landing[1] == pytest.approx(found.basis.com[STANDS, 1] - thrown.seconds, abs=0.01)


def test_a_flight_that_is_played_too_slowly_lands_at_its_place_but_sooner():
    """Pace and flight of one jump, the flight at two thirds of its speed."""
    slow = Thrown(flies=18, pace=1.5, air=1.0, gravity=GRAVITY / 1.5**2)
    found = examine(slow.clip(), ASK)
    (path,) = free_paths(found)
    lands = STANDS + slow.flies
    assert path.landing[:2] == pytest.approx(found.basis.com[lands, :2], abs=0.01)
    assert path.landing_frame == pytest.approx(LEAVES + 12.0, abs=0.1)


def test_a_body_that_is_pushed_in_the_air_goes_on_as_it_left():
    thrown = Thrown(flies=18, kick=3.0)
    found = examine(thrown.clip(), ASK)
    (path,) = free_paths(found)
    assert found.basis.com[-1, 0] > 1.0
    assert path.landing[0] == pytest.approx(0.0, abs=0.05)


def test_a_jump_down_lands_on_the_ground_that_it_lands_on():
    thrown = Thrown(lower=0.5)
    clip = thrown.clip(floor_z=-0.5)
    high = box((-1.0, -0.85, -0.5), (1.0, 1.0, 0.0), len(clip.frames))
    found = examine(with_supports(clip, high), ASK)
    (path,) = free_paths(found)
    assert path.landing[2] == pytest.approx(-0.5, abs=1e-6)
    assert path.landing_frame == pytest.approx(LEAVES + thrown.flies, abs=0.05)


def test_a_scene_ten_times_as_large_has_a_path_ten_times_as_large():
    asked = replace(ASK, height_m=1.78)
    one, ten = (of(Thrown(flies=20, gravity=6.0).clip(scale=s), asked)[0] for s in (1.0, 10.0))
    np.testing.assert_allclose(ten.positions, 10.0 * one.positions, atol=1e-6)
    assert ten.landing_frame == pytest.approx(one.landing_frame)


def test_where_the_size_is_unknown_the_other_flights_tell_how_it_falls():
    """Three flights at nine times gravity, and one at half of that."""
    own = 9.0 * GRAVITY
    odd = [Thrown(gravity=each) for each in (own, own, 0.5 * own, own)]
    roots, at = [], 0.0
    for each in odd:
        root = each.root() + [0.0, at, 0.0]
        roots, at = [*roots, root], root[-1, 1]
    paths = of(figure_along(np.concatenate(roots), 24.0, scale=10.0))
    others = "as the other flights fall"
    assert [each.says for each in paths] == [others, others, f"{others}, at its height", others]
    lasts = [each.landing_frame - each.frames[0] for each in paths]
    # The odd one has half of their fall: its height takes them sqrt(1/2) of its time.
    assert lasts == pytest.approx([15.0, 15.0, 15.0 * np.sqrt(0.5), 15.0], abs=0.1)


def test_a_lone_flight_of_unknown_size_is_one_even_arc():
    (path,) = of(Thrown(gravity=50.0).clip(scale=10.0))
    assert path.says == "one even arc"
    assert path.landing_frame == pytest.approx(LEAVES + 15.0, abs=0.1)


def test_a_pose_in_the_air_lands_at_its_place_when_its_height_has_it():
    """Held poses 55 cm up, ten frames apart: h = g T2 / 8, 16 frames and a little."""
    found = examine(blocked_hop(0.55, 10), replace(ASK, stage="blocking"))
    (path,) = free_paths(found)
    needs = np.sqrt(8.0 * 0.55 / GRAVITY) * 24.0
    assert path.landing_frame - path.frames[0] == pytest.approx(needs, abs=0.01)
    lands = round(path.frames[0]) - 1 + 10
    assert path.landing[:2] == pytest.approx(found.basis.com[lands, :2], abs=1e-6)


def test_nothing_is_told_of_a_gap_of_what_is_declared_and_of_a_plain_object():
    clip = Thrown().clip()
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[STANDS + 6, clip.joint("thigh.L")] = False
    assert of(Clip(**{**vars(clip), "valid": valid})) == ()
    assert of(Thrown().clip(events=(Event(frames=(16, 20), kind="hit"),))) == ()
    assert of(figure()) == ()
    assert of(Clip(**arrays())) == ()


@pytest.mark.parametrize("backward", [False, True])
def test_a_stiff_body_that_tips_over_is_beside_a_rod(backward):
    """A lean that gains speed as a rod's does follows its arc; one at half of its rate is late."""
    rod = 1.5 * GRAVITY / HEIGHT_M
    right = examine(toppled(leans(3.0, rod, 24.0), backward=backward), ASK)
    (path,) = free_paths(right)
    assert (path.kind, path.landing, path.says) == ("pivot", None, "as a rod falls")
    first, last = (round(each) for each in path.frames[[0, -1]])
    count = last - first
    there = right.basis.com[first - 1 : last - 1]
    np.testing.assert_allclose(path.positions[:count], there[:count], atol=0.02)
    slow = examine(toppled(leans(3.0, rod / 2.0, 24.0), backward=backward), ASK)
    (path,) = free_paths(slow)
    (told,) = slow.shot.findings
    needs = (told.frames[1] - told.frames[0]) / np.sqrt(2.0)
    assert path.landing_frame - path.frames[0] == pytest.approx(needs, abs=1.5)


def test_a_body_that_bends_on_its_way_is_beside_a_rod_up_to_there():
    lean = leans(3.0, 1.5 * GRAVITY / HEIGHT_M, 24.0)
    fold = np.radians(80.0) * np.clip((np.degrees(lean) - 35.0) / 35.0, 0.0, 1.0)
    found = examine(toppled(lean, fold=fold), ASK)
    (path,) = free_paths(found)
    first, last = (round(each) for each in path.frames[[0, -1]])
    there = found.basis.com[first - 1 : last - 1]
    np.testing.assert_allclose(path.positions[: len(there)], there, atol=0.05)
    assert np.degrees(lean[last - 1]) < 55.0  # beyond that its centre of mass comes nearer
    crouched = np.full(len(lean), np.radians(70.0))
    assert of(toppled(lean, fold=crouched)) == ()


def test_a_path_in_a_loop_is_what_the_sentence_tells_first():
    thrown = Thrown(flies=10, pace=0.0, air=0.0, gravity=2.5 * GRAVITY)
    found = examine(thrown.clip(), replace(ASK, cycle="yes"))
    assert [each.check for each in found.shot.findings] == ["gravity"]
    (path,) = free_paths(found)
    needs = 10.0 * np.sqrt(2.5)
    assert path.says == "as gravity has it, at its height"
    assert path.landing_frame == pytest.approx(LEAVES + needs, abs=0.02)
