# SPDX-License-Identifier: GPL-3.0-or-later
"""Swings that do not slow at their turns: against the formulas of even, sine and minimum-jerk
spacing, on figures with known swings, and where they must stay quiet."""

import re
from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES, arrays, figure, steered

from analysis import Clip, Event, Prop, Settings, check_clip
from analysis import quaternions as quat
from analysis.swing_shape import find_turns

ASKED = Settings(cycle="no", checks=("hang_time",), height_m=1.78)
ALL = Settings(cycle="no", height_m=1.78)


def even(u):
    return u


def sine(u):
    return 0.5 - 0.5 * np.cos(np.pi * u)


def minimum_jerk(u):
    """Flash & Hogan 1985, J Neurosci 5:1688-1703."""
    return u**3 * (10.0 - 15.0 * u + 6.0 * u**2)


def rock(spacing, *, frames=72, way=8, first=16, ways=4):
    """(T,) from 0 to 1 and back, `ways` times from sample `first` on; before and after it stands,
    eased into its first extreme and out of its last."""
    at = np.arange(frames, dtype=float)
    turn = (at - first) / way
    number = np.clip(np.floor(turn), 0, ways - 1)
    up = spacing(np.clip(turn - number, 0.0, 1.0))
    return np.where(number % 2 == 0, up, 1.0 - up)


def rocked(spacing, metres=0.25, **told):
    """A figure whose hips go to the side and back over feet that stay."""
    path = rock(spacing, **told)
    own = 0.02 * np.sin(
        2.0 * np.pi * np.arange(len(path)) / 24.0
    )  # what that figure sways by itself
    shift = (metres * (path - 0.5) - own)[:, None] * [1.0, 0.0, 0.0]
    return steered(frames=len(path), root_shift=shift)


def waved(spacing, degrees=40.0, fps=24.0, **told):
    """A figure that stands and swings its left arm from the shoulder."""
    path = rock(spacing, **told)
    turns = {"upper_arm.L": np.radians(degrees) * (path - 0.5)}
    return figure(frames=len(path), fps=fps, speed=0.0, period_s=1e6, turns=turns)


def with_stick(clip):
    """The figure with a stick in its left hand, half a metre long, square to it."""
    hand = NAMES.index("hand.L")
    side = np.array([np.sqrt(0.5), np.sqrt(0.5), 0.0, 0.0])
    turn = quat.multiply(clip.rotations[:, hand], np.broadcast_to(side, clip.rotations[:, 0].shape))
    return replace(
        clip,
        joints=(*clip.joints, "stick"),
        parents=np.append(clip.parents, hand),
        positions=np.concatenate((clip.positions, clip.positions[:, [hand]]), axis=1),
        rotations=np.concatenate((clip.rotations, turn[:, None]), axis=1),
        rest_positions=None,
        rest_rotations=None,
        lengths=np.append(clip.lengths, 0.5),
        meta=replace(clip.meta, props=(Prop(name="stick", joint="stick", held_by="hand.L"),)),
    )


def found(clip, settings=ASKED):
    return [(f.check, f.part) for f in check_clip(clip, settings).findings]


def exact_share(spacing):
    """The share of a way's time in its outer quarter, by bisection of the formula."""
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if spacing(np.array(middle)) < 0.75 else (low, middle)
    return 1.0 - low


@pytest.mark.parametrize(
    ("spacing", "share"), [(even, 0.25), (sine, 1.0 / 3.0), (minimum_jerk, 0.359)]
)
def test_the_share_of_a_swing_is_what_its_formula_gives(spacing, share):
    assert exact_share(spacing) == pytest.approx(share, abs=1e-3)
    path = rock(spacing, frames=5 * 48, way=48, first=24)
    turns = find_turns(path[:, None], 0.5 / 48, 0.1)
    assert [turn.at for turn in turns] == [72, 120, 168]
    for turn in turns:  # the last half per cent of a way counts as standing
        assert turn.share == pytest.approx(exact_share(spacing), abs=0.03)
        assert turn.metres == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize("way", [5, 6, 7, 8, 9.5, 12, 16])
def test_even_and_eased_swings_are_told_apart_on_few_frames(way):
    shares = [
        [t.share for t in find_turns(rock(each, frames=90, way=way)[:, None], 1 / 24, 0.1)]
        for each in (even, sine, minimum_jerk)
    ]
    assert shares[0] == pytest.approx([0.25] * 3, abs=0.01)
    assert min(shares[1] + shares[2]) > 0.29


def test_an_arc_is_as_even_as_its_angle():
    """Seen along its chord an even arc would look eased; along the path it is not."""
    angle = 2.0 * rock(even)
    (first, *_others) = find_turns(np.stack((np.cos(angle), np.sin(angle)), axis=1), 1 / 24, 0.1)
    assert first.share == pytest.approx(0.25, abs=0.01)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_an_arm_that_turns_without_slowing_is_found_at_any_rate(fps):
    told = {"frames": round(3.0 * fps), "way": round(fps / 3.0), "first": round(fps / 2.0)}
    shot = check_clip(waved(even, fps=fps, **told), ASKED)
    (finding,) = shot.findings
    assert (finding.check, finding.part, finding.severity) == ("hang_time", "hand.L", "major")
    assert finding.amount == pytest.approx(100.0 * (1.0 / 3.0 - 0.25), abs=0.5)
    assert "does not slow at its turns on frames" in finding.says
    assert shot.measures["swing_share"] == pytest.approx(0.25, abs=0.01)
    assert found(waved(sine, fps=fps, **told)) == []
    assert found(waved(minimum_jerk, fps=fps, **told)) == []


def test_the_sentences_name_frames_and_what_to_do():
    (finding,) = check_clip(waved(even, way=8, first=16), ASKED).findings
    assert "frames 25, 33 and 41" in finding.says
    assert "25 % of the time" in finding.says
    assert finding.frames == (17.0, 49.0)
    # A way of 40 degrees about the shoulder, .56 m long: evenly an eighth of it, eased 3.8 %.
    way = np.radians(40.0) * 56.0
    told = [float(each) for each in re.findall(r"([\d.]+) cm", finding.suggestion.text)]
    for frames, eased, evenly in ((1, *told[:2]), (3, *told[2:])):  # 3: a third of the way's time
        assert eased == pytest.approx(way * (0.5 - 0.5 * np.cos(frames * np.pi / 8.0)), abs=0.11)
        assert evenly == pytest.approx(frames * way / 8.0, abs=0.2)


@pytest.mark.parametrize("fps", [30.0, 60.0])
def test_a_tremble_hides_few_even_swings_and_makes_none(fps):
    """A millimetre of noise on every joint, as captures have, in eight draws."""
    told = {"frames": round(3.0 * fps), "way": round(fps / 3.0), "first": round(fps / 2.0)}
    counts = []
    for spacing in (even, sine):
        clip = waved(spacing, fps=fps, **told)
        shakes = [np.random.default_rng(n).normal(size=clip.positions.shape) for n in range(8)]
        trembling = [replace(clip, positions=clip.positions + 0.001 * each) for each in shakes]
        counts.append(sum(found(each) == [("hang_time", "hand.L")] for each in trembling))
    assert counts[0] >= 7
    assert counts[1] == 0


def test_an_eased_swing_is_said_to_be_good():
    shot = check_clip(waved(minimum_jerk), ASKED)
    assert any("turns of swings are slow" in each for each in shot.good)


def test_a_body_that_rocks_evenly_is_told_what_a_foot_can_push():
    (finding,) = check_clip(rocked(even), ASKED).findings
    assert (finding.check, finding.part) == ("hang_time", "root")
    # .25 m in 8 frames at 24 a second, turned within a frame: 2 v / dt = 1.5 m/s times 24.
    needed = 2.0 * 0.25 / (8.0 / 24.0) * 24.0 / 9.80665
    assert f"must be pushed sideways with {needed:.1f} times its weight" in finding.says
    # .046 m / .97 m
    assert "a foot that stands 4.6 cm outside of it can give 0.05 times." in finding.says
    assert "leg must first stop the body" in finding.suggestion.text
    assert found(rocked(sine)) == []
    assert found(rocked(minimum_jerk)) == []


def test_what_a_foot_can_push_is_quiet():
    """8 cm in 1.2 s turn at .3 g: feet half a metre out push that, feet a tenth out do not."""
    slow = rocked(even, metres=0.08, frames=200, way=29)
    assert found(slow) == [("hang_time", "root")]
    places = np.array(slow.positions)
    for joint, name in enumerate(NAMES):
        if name.startswith(("thigh", "shin", "foot")):
            places[:, joint, 0] += 0.4 if name.endswith("L") else -0.4
    assert found(replace(slow, positions=places)) == []
    unknown = replace(ASKED, height_m=None)
    tiny = replace(slow, positions=0.1 * places, rest_positions=0.1 * slow.rest_positions)
    tiny = replace(tiny, lengths=0.1 * slow.lengths)
    assert found(tiny, unknown) == [("hang_time", "root")]  # of unknown size: nothing is known


def test_long_stays_and_small_swings_are_quiet():
    path = rock(even, frames=90)
    held = np.repeat(path[16:49], np.where((np.arange(33) % 8 == 0), 5, 1))
    turns = {"upper_arm.L": np.radians(40.0) * (held - 0.5)}
    assert found(figure(frames=len(held), speed=0.0, period_s=1e6, turns=turns)) == []
    assert found(waved(even, degrees=7.0)) == []


def test_a_prop_is_told_unless_its_arm_tells_it():
    assert found(with_stick(waved(even))) == [("hang_time", "hand.L")]
    turns = {"hand.L": np.radians(50.0) * (rock(even) - 0.5)}
    wagged = with_stick(figure(frames=72, speed=0.0, period_s=1e6, turns=turns))
    assert found(wagged) == [("hang_time", "prop.1")]


def test_declared_events_and_hits_are_quiet():
    clip = waved(even, ways=2)
    hit = Event(frames=(25.0, 25.0), part="hand.L", direction=None, kind="hit")
    assert found(clip) == [("hang_time", "hand.L")]
    assert found(replace(clip, meta=replace(clip.meta, events=(hit,)))) == []
    # A box where the hand turns, and the same box out of its way.
    at = clip.positions[24, NAMES.index("hand.L")]
    ahead = at - clip.positions[22, NAMES.index("hand.L")]
    for away, expected in ((0.11, []), (1.5, [("hang_time", "hand.L")])):
        box = np.diag([0.2, 0.2, 0.2, 1.0])
        box[:3, 3] = at + away * ahead / np.linalg.norm(ahead)
        boxes = np.broadcast_to(box, (1, len(clip.frames), 4, 4))
        assert found(replace(clip, supports=boxes)) == expected


def test_parts_on_twos_are_quiet():
    path = np.repeat(rock(even)[::2], 2)
    turns = {"upper_arm.L": np.radians(40.0) * (path - 0.5)}
    assert found(figure(frames=72, speed=0.0, period_s=1e6, turns=turns)) == []


def test_what_the_whole_shot_does_alike_is_its_style():
    path = np.radians(40.0) * (rock(even, frames=96, ways=9) - 0.5)
    turns = {"upper_arm.L": path, "upper_arm.R": -path}
    shot = check_clip(figure(frames=96, speed=0.0, period_s=1e6, turns=turns), ASKED)
    assert shot.findings == ()
    assert any("16 of 16 turns of swings do not slow" in each for each in shot.style)
    turns["upper_arm.R"] = -np.radians(40.0) * (rock(sine, frames=96, ways=9) - 0.5)
    assert found(figure(frames=96, speed=0.0, period_s=1e6, turns=turns)) == [
        ("hang_time", "hand.L")
    ]


def test_a_loop_is_judged_over_its_seam():
    path = np.abs((np.arange(32) / 8.0 + 0.5) % 2.0 - 1.0)  # extremes at 4, 12, 20, 28
    turns = {"upper_arm.L": np.radians(40.0) * (np.roll(path, 4) - 0.5)}  # one on the first frame
    clip = figure(frames=32, speed=0.0, period_s=1e6, turns=turns)
    (finding,) = check_clip(clip, replace(ASKED, cycle="yes")).findings
    assert finding.part == "hand.L"
    assert finding.frames == (1.0, 32.0)


@pytest.mark.parametrize(
    ("clip", "part"),
    [(waved(even), "hand.L"), (rocked(even), "root"), (with_stick(waved(even)), "hand.L")],
    ids=["arm", "body", "prop"],
)
def test_all_checks_together_give_one_finding(clip, part):
    told = [f for f in check_clip(clip, ALL).findings if f.check != "stop_together"]
    assert [(f.check, f.part) for f in told if f.check in ("hang_time", "straight_run")] == [
        ("hang_time", part)
    ]


def test_gaps_hide_a_turn_and_hostile_clips_give_no_error():
    clip = waved(even, ways=2)
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[22:27, NAMES.index("hand.L")] = False
    assert found(replace(clip, valid=valid)) == []
    assert found(clip.cut(1, 2)) == []
    assert found(clip.cut(20, 26)) == []
    assert found(Clip(**arrays())) == []
    still = replace(clip, positions=np.repeat(clip.positions[:1], 72, axis=0))
    assert found(replace(still, rotations=np.repeat(clip.rotations[:1], 72, axis=0))) == []
