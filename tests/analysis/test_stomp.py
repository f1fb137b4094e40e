# SPDX-License-Identifier: GPL-3.0-or-later
"""`stomp`: a foot that slams down among others that do not."""

from dataclasses import replace

import numpy as np
import pytest
from stepping import AIR_S, HIGH_M, lands, stepping
from walker import ANKLE, box, hop, joined, moved, turned, with_supports

from analysis import Event, Settings, check_clip
from analysis.basis import build_basis
from analysis.basis.landings import find_landings
from analysis.checks import stomp
from analysis.free_fall import GRAVITY

STOMP = Settings(cycle="no", checks=("stomp",))


def found(clip, settings=STOMP):
    return check_clip(clip, settings).findings


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_steps_that_are_all_alike_are_clean_and_measured(fps):
    """A parabola of height h and time T comes down at 4 h / T: 1 m/s."""
    shot = check_clip(stepping(fps=fps), STOMP)
    assert not shot.findings
    assert shot.measures["touch_down_m_s"] == pytest.approx(1.0, rel=0.2)
    assert shot.good[0].startswith("9 landings, none slams")


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("side", ["L", "R"])
def test_a_foot_that_comes_down_twice_as_fast_slams(fps, side):
    (finding,) = found(stepping(fps=fps, slammed=[(side, 2)]))
    assert (finding.check, finding.part, finding.unit) == ("stomp", f"foot.{side}", "m/s")
    assert finding.peak_frame == pytest.approx(lands(fps, side, 2), abs=1.0)
    assert finding.frames[1] == finding.peak_frame
    assert finding.amount == pytest.approx(2.0, rel=0.05)
    assert "slams down at frame" in finding.says
    assert finding.suggestion.offset[2] < -0.01


@pytest.mark.parametrize("fps", [24.0, 25.0, 30.0, 60.0])
def test_where_the_touch_falls_between_two_frames_does_not_matter(fps):
    """Steps of 1.4 s touch at another place between frames each time (24 and 25 a second).

    A height of h sin^2(pi t / T) falls at h pi / T sin(2 pi t / T). It is within .5 cm at .036 s
    before its end, and .021 s before that at .416 m/s.
    """
    basis = build_basis(stepping(fps=fps, rounds=8, soft=True), STOMP)
    speeds = [each.speed for each in find_landings(basis)]
    assert len(speeds) >= 15
    assert speeds == pytest.approx([0.416] * len(speeds), rel=0.3)
    assert max(speeds) < 1.3 * min(speeds)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_fall_that_the_range_does_not_show_whole_is_left_out(fps):
    """Begun two samples before a foot touches, as it slows down into the floor."""
    clip = stepping(fps=fps, soft=True)
    at = find_landings(build_basis(clip, STOMP))[0].at
    for missing, count in ((3, 0), (2, 1)):
        cut = clip.cut(clip.frames[at - missing], clip.frames[-1])
        kept = [each.at for each in find_landings(build_basis(cut, STOMP))]
        assert (missing in kept) == (count == 0)
        assert not found(cut)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("high", [0.07, 0.1])
def test_it_asks_for_no_lower_a_foot_than_the_others_are(fps, high):
    """A foot is held up until .1 s before it lands; others are within .5 cm .036 s before that."""
    clip = stepping(fps=fps, soft=True, held=[("L", 2, high, 0.1)])
    (finding,) = found(clip)
    at = int(np.flatnonzero(clip.frames == finding.suggestion.frame)[0])
    after = clip.positions[at, clip.joint("foot.L"), 2] - ANKLE + finding.suggestion.offset[2]
    # They touch somewhere between two frames, the first on which they do and the one before.
    ago = finding.peak_frame - finding.suggestion.frame - np.array([1.0, 0.0])
    usual = HIGH_M * np.sin(np.pi * (ago / fps + 0.036) / AIR_S) ** 2
    assert usual[0] - 0.002 < after < usual[1] + 0.002


def test_a_shot_that_slams_every_foot_has_a_style():
    every = [(side, n) for side in "LR" for n in range(-1, 6)]
    shot = check_clip(stepping(slammed=every, fps=60.0), STOMP)
    assert not shot.findings
    assert shot.measures["touch_down_m_s"] > 1.6
    assert any("hard all through" in sentence for sentence in shot.style)


def test_size_heading_and_place_do_not_matter():
    clip = stepping(slammed=[("L", 2)])
    (plain,) = found(clip)
    (finding,) = found(moved(turned(clip, 70.0), np.tile([9.0, -3.0, 2.0], (len(clip.frames), 1))))
    assert finding.amount == pytest.approx(plain.amount)
    told = Settings(cycle="no", checks=("stomp",), height_m=1.78)
    (tall,) = found(stepping(slammed=[("L", 2)], scale=10.0), told)
    assert (tall.part, tall.frames, tall.severity) == (plain.part, plain.frames, plain.severity)


def test_tolerance_widens_the_limit():
    clip = stepping(slammed=[("L", 2)])
    limits = [
        found(clip, Settings(cycle="no", checks=("stomp",), tolerance=tolerance))[0].limit
        for tolerance in ("strict", "normal")
    ]
    assert limits[0] == pytest.approx(0.75 * limits[1], rel=0.05)
    assert not found(clip, Settings(cycle="no", checks=("stomp",), tolerance="loose"))


def test_a_jump_among_steps_lands_as_hard_as_the_body_falls():
    """From .3 m it comes down at sqrt(2 g h) = 2.4 m/s, steps at 1: the body falls as fast."""
    steps = stepping(rounds=4)
    jump = hop(air_s=0.5, distance=0.0, tuck=0.0)
    shot = check_clip(joined(steps, jump), STOMP)
    assert len(shot.findings) == 0
    speeds = check_clip(joined(steps, jump), STOMP).good
    assert "at most" in speeds[0]


HOPS_S = (0.4, 0.44, 0.42, 0.4, 0.56)


def hops(fps):
    """Five hops, so long in the air: the last is the highest."""
    return joined(*(hop(fps=fps, air_s=air, distance=0.0, tuck=0.0) for air in HOPS_S))


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_the_highest_of_several_hops_lands_as_hard_as_it_falls(fps):
    """After t s in the air a body falls at g t / 2: 2 to 2.7 m/s. Feet come down no faster."""
    basis = build_basis(hops(fps), STOMP)
    landings = [each for each in find_landings(basis) if each.plant.side == "L"]
    fell = [each.flown * basis.height.to_story for each in landings]
    assert fell == pytest.approx([0.5 * GRAVITY * air for air in HOPS_S], abs=0.5 * GRAVITY / fps)
    assert not found(hops(fps))


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_foot_that_is_stamped_out_of_a_hop_slams(fps):
    """It hangs back by up to 12 cm and makes up for it in .08 s: 1.5 m/s more than it fell at."""
    clip = hops(fps)
    landing = [each for each in find_landings(build_basis(clip, STOMP)) if each.plant.side == "L"]
    left_s = (landing[2].at - np.arange(len(clip.frames))) / fps
    hangs = np.clip(left_s / 0.08, 0.0, 1.0) * np.clip((0.2 - left_s) / 0.12, 0.0, 1.0)
    places = np.array(clip.positions)
    places[:, clip.joint("foot.L"), 2] += 0.12 * hangs
    (finding,) = found(replace(clip, positions=places))
    assert finding.part == "foot.L"
    assert finding.peak_frame == pytest.approx(clip.frames[landing[2].at], abs=1.0)


def rolling(clip, fps, metres=0.008):
    """The clip with soles that hang over the floor for .06 s as a foot lands, and sink onto it
    within .08 s more: as a heel does that is guessed too far back."""
    places = np.array(clip.positions)
    for side in ("L", "R"):
        since = (clip.frames[:, None] - [lands(fps, side, n) for n in range(-1, 6)]) / fps
        hangs = np.clip((0.14 - since) / 0.08, 0.0, 1.0) * np.clip((since + 0.6) / 0.3, 0.0, 1.0)
        places[:, clip.joint(f"foot.{side}"), 2] += metres * hangs.max(axis=1)
    return replace(clip, positions=places)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_sole_that_rolls_over_the_floor_has_landed(fps):
    clip = rolling(stepping(fps=fps, slammed=[("L", 2)]), fps)
    (finding,) = found(clip)
    assert finding.part == "foot.L"
    assert finding.peak_frame == pytest.approx(lands(fps, "L", 2), abs=1.0)
    assert finding.amount == pytest.approx(2.0, rel=0.1)
    assert not found(rolling(stepping(fps=fps), fps))


def lowered(clip, fps, metres, number=2):
    """The clip with the left foot put down under the floor, in .06 s as it comes down."""
    places = np.array(clip.positions)
    since = (clip.frames - lands(fps, "L", number)) / fps
    goes = np.clip((since + 0.08) / 0.06, 0.0, 1.0) * np.clip((0.6 - since) / 0.2, 0.0, 1.0)
    places[:, clip.joint("foot.L"), 2] -= metres * goes
    return replace(clip, positions=places)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_foot_that_is_put_down_under_the_floor_is_not_asked_to_be_lower(fps, monkeypatch):
    """It goes 2 cm further in .06 s, and so is faster than the others: that is no slam."""
    clip = lowered(stepping(fps=fps, soft=True), fps, 0.02)
    assert not found(clip)
    monkeypatch.setattr(stomp, "UNDER_S", np.inf)
    assert [each.part for each in found(clip)] == ["foot.L"]


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_foot_that_slams_under_the_floor_slams(fps):
    clip = stepping(fps=fps, slammed=[("L", 2)])
    assert [each.part for each in found(lowered(clip, fps, 0.01))] == ["foot.L"]


def on_a_crate(**made):
    """The right foot's third stand is .4 m up, on a crate that is elsewhere at other times."""
    clip = stepping(sunk=[("R", 2, -0.4)], floor_z=0.0, **made)
    crate = box((-0.3, -0.4, 0.0), (0.0, 0.4, 0.4), len(clip.frames))
    there = (clip.frames > lands(24.0, "R", 2) - 9) & (clip.frames < lands(24.0, "R", 3) - 9)
    crate[~there, 0, 3] = 50.0
    return with_supports(clip, crate)


def test_a_step_up_is_compared_with_steps_up_alone():
    """Of nine landings one goes up and one comes down: seven are left to compare."""
    shot = check_clip(on_a_crate(slammed=[("R", 2)]), STOMP)
    assert not shot.findings
    assert shot.good[0].startswith("9 landings (7 of them compared), none slams")
    (finding,) = found(on_a_crate(slammed=[("L", 2)]))
    assert finding.part == "foot.L"


def test_where_no_landings_are_alike_it_says_so():
    shot = check_clip(on_a_crate(rounds=4), STOMP)
    why = "7 landings, too few that step up or down alike to tell how hard is usual"
    assert dict(shot.skipped)["stomp"] == why


def test_inside_a_declared_event_it_is_no_finding():
    clip = stepping(slammed=[("L", 2)])
    (finding,) = found(clip)
    hit = Event(frames=finding.frames, part="foot.L", direction=None, kind="hit")
    meta = type(clip.meta)(**{**vars(clip.meta), "events": (hit,)})
    assert not found(type(clip)(**{**vars(clip), "meta": meta}))


def test_what_cannot_be_asked_says_why():
    shot = check_clip(stepping(rounds=2, slammed=[("L", 1)]), STOMP)
    assert not shot.findings
    assert dict(shot.skipped)["stomp"] == "3 landings, too few to tell how hard is usual"
    still = stepping().cut(1, 2)
    assert dict(check_clip(still, STOMP).skipped)["stomp"] == "no foot lands in this range"
    clip = stepping()
    bust = type(clip.meta)(name="bust", roles={"root": ("root",), "head": ("head",)})
    shot = check_clip(type(clip)(**{**vars(clip), "meta": bust}), STOMP)
    assert dict(shot.skipped)["stomp"] == "no foot is known, and only feet can stomp"


def test_gaps_at_a_landing_say_nothing():
    clip = stepping(slammed=[("L", 2)])
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    at = int(lands(24.0, "L", 2))
    valid[at - 4 : at + 3, clip.joint("foot.L")] = False
    assert not found(type(clip)(**{**vars(clip), "valid": valid}))


def trembling(clip, millimetres, seed):
    """The clip with independent noise on every joint and frame."""
    noise = np.random.default_rng(seed).normal(size=clip.positions.shape)
    return replace(clip, positions=clip.positions + 1e-3 * millimetres * noise)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("millimetres", [1.0, 2.0, 3.0])
def test_feet_that_tremble_do_not_slam(fps, millimetres):
    """Two neighbouring samples would tell a speed that is off by .25 m/s (3 mm, 60 a second)."""
    for seed in range(4):
        assert not found(trembling(stepping(fps=fps, soft=True), millimetres, seed))


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_slam_is_told_among_feet_that_tremble(fps):
    for seed in range(4):
        (finding,) = found(trembling(stepping(fps=fps, slammed=[("L", 2)]), 2.0, seed))
        assert finding.part == "foot.L"
        assert finding.peak_frame == pytest.approx(lands(fps, "L", 2), abs=3.0)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_how_much_feet_tremble_is_measured(fps):
    """Of noise that is known; landings and steps are none."""
    assert build_basis(stepping(fps=fps), STOMP).tremble == pytest.approx(0.0, abs=1e-9)
    for millimetres in (1.0, 3.0):
        basis = build_basis(trembling(stepping(fps=fps, rounds=8), millimetres, 1), STOMP)
        assert 1e3 * basis.tremble == pytest.approx(millimetres, rel=0.35)
