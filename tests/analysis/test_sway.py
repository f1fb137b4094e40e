# SPDX-License-Identifier: GPL-3.0-or-later
"""`sway`: a stride that goes further than the others is told, a walk that does so is a style."""

import re

import numpy as np
import pytest
from figures import figure
from swaying import in_stride, swaying
from walker import Walk, turned

from analysis import Clip, Event, Settings, check_clip

ASK = Settings(checks=("sway",), cycle="no")
PLAN = Walk(frames=170)  # 7 s: seven strides of .9 s


def found(clip, settings=ASK):
    return check_clip(clip, settings).findings


def frames_of(plan, number, count=1):
    """First and last frame number of strides of the left foot."""
    frames = 1 + np.flatnonzero((plan.phase("L") >= number) & (plan.phase("L") <= number + count))
    return frames[0], frames[-1]


def test_a_walk_whose_strides_are_alike_is_good():
    shot = check_clip(swaying(PLAN), ASK)
    assert shot.findings == shot.style == ()
    (good,) = shot.good
    assert good.startswith("14 steps at 133 a minute and 1.2 m/s, step width 20.0 cm within 0.2 cm")
    assert "the root sways 4.0 cm and rises and falls 3.0 cm" in good


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("axis", ["side", "up"])
@pytest.mark.parametrize("count", [1, 2])
def test_strides_that_go_further_are_told_once(fps, axis, count):
    plan = Walk(frames=round(7 * fps), fps=fps)
    clip = swaying(plan, **{axis: in_stride(plan, 2, 1.6, count=count)})
    (finding,) = found(clip)
    assert (finding.check, finding.part, finding.severity) == ("sway", "root", "minor")
    first, last = frames_of(plan, 2, count)
    quarter = 0.25 * plan.stride_s * fps  # the body is furthest out a quarter of a stride inside
    assert abs(finding.frames[0] - first) <= quarter + 1
    assert abs(finding.frames[1] - last) <= quarter + 1
    assert first - 1 <= finding.peak_frame <= last + 1
    wide = 6.4 if axis == "side" else 4.8
    assert finding.amount == pytest.approx(wide, rel=0.06)
    words = "from side to side" if axis == "side" else "in a stride"
    assert words in finding.says
    assert re.search(r"1\.[56] times as far as in the other strides", finding.says)


def test_the_suggestion_leads_back_to_the_others():
    clip = swaying(PLAN, side=in_stride(PLAN, 3, 1.6))
    (finding,) = found(clip)
    at = int(finding.peak_frame) - 1
    off = clip.positions[at, clip.joint("root"), 0]
    assert abs(off) == pytest.approx(0.032, rel=0.05)
    # From 3.2 cm off the middle to 2.0 cm.
    np.testing.assert_allclose(
        finding.suggestion.offset, [-np.sign(off) * 0.012, 0.0, 0.0], atol=0.001
    )
    assert "about 1.2 cm on either side" in finding.suggestion.text


def test_what_goes_too_low_is_to_be_raised():
    (finding,) = found(swaying(PLAN, up=in_stride(PLAN, 3, 1.6)))
    assert finding.suggestion.text == (
        "Raise it by 1.8 cm there, to where it is in the other strides."
    )
    np.testing.assert_allclose(finding.suggestion.offset, [0.0, 0.0, 0.018], atol=0.001)


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_what_goes_too_low_and_too_high_is_brought_back_both_ways(fps):
    """About its middle: .9 cm beyond the others at either end, whichever a frame shows more of."""
    plan = Walk(frames=round(7 * fps), fps=fps)
    (finding,) = found(swaying(plan, up=in_stride(plan, 3, 1.6), about_middle=True))
    text = finding.suggestion.text
    share, top, bottom = map(float, re.findall(r"\d+\.?\d*", text))
    assert text.endswith(f"cm lower at the top, {bottom:.1f} cm higher at the bottom.")
    assert share == pytest.approx(100.0 / 1.6, abs=3.0)
    assert (top, bottom) == (pytest.approx(0.9, abs=0.15), pytest.approx(0.9, abs=0.15))


def test_a_little_more_than_the_others_is_none():
    for axis in ("side", "up"):
        assert found(swaying(PLAN, **{axis: in_stride(PLAN, 3, 1.2)})) == ()


def test_strides_that_differ_all_along_widen_the_limit():
    """Every second stride goes 1.5 times as far: that is how it walks."""
    for axis in ("side", "up"):
        factor = np.where(np.floor(PLAN.phase("L")) % 2 == 0, 1.5, 1.0)
        smooth = np.convolve(np.pad(factor, 4, "edge"), np.full(9, 1 / 9), "valid")
        assert found(swaying(PLAN, **{axis: smooth})) == ()


def test_what_the_whole_walk_does_is_a_style_and_told_against_the_trend():
    shot = check_clip(swaying(PLAN, side=6.0), ASK)
    assert shot.findings == shot.good == ()
    (style,) = shot.style
    assert "from side to side, where walkers at this speed go about 5." in style
    assert "a style, or too much of it" in style


def test_it_is_never_major():
    for times in (2.0, 2.5):
        (finding,) = found(swaying(PLAN, side=in_stride(PLAN, 3, times)))
        assert finding.severity == "minor"


@pytest.mark.parametrize(("part", "told"), [("root", 0), (None, 0), ("head", 1), ("hand.L", 1)])
def test_what_was_declared_from_outside_is_left_alone(part, told):
    """A hit on the head moves no stride."""
    first, last = (float(frame) for frame in frames_of(PLAN, 3))
    hit = Event(frames=(first, last), part=part, kind="hit")
    clip = swaying(PLAN, side=in_stride(PLAN, 3, 1.6), events=(hit,))
    assert len(found(clip)) == told


def test_size_and_heading_do_not_matter():
    factor = in_stride(PLAN, 3, 1.6)
    asked = Settings(checks=("sway",), cycle="no", height_m=1.78)
    (plain,) = found(swaying(PLAN, side=factor), asked)
    (large,) = found(swaying(PLAN, side=factor, scale=10.0), asked)
    (aside,) = found(turned(swaying(PLAN, side=factor), 37.0), asked)
    assert plain.says == large.says == aside.says
    assert plain.frames == large.frames == aside.frames


def test_a_walk_in_place_is_told_alike():
    factor = in_stride(PLAN, 3, 1.6)
    still = Walk(frames=170, in_place=True)
    (travels,), (stays,) = (found(swaying(plan, side=factor)) for plan in (PLAN, still))
    assert travels.says == stays.says


@pytest.mark.parametrize("number", [0, 2, 3, 4])
def test_a_loop_s_stride_is_told_wherever_it_lies(number):
    """Five strides of one second, the faulty one over the seam as well."""
    plan = Walk(frames=120, stride_s=1.0)
    factor = in_stride(plan, number, 1.6, ease_s=0.1)
    if number == 4:
        factor = np.roll(factor, 12)
    (finding,) = found(swaying(plan, side=factor), Settings(checks=("sway",), cycle="yes"))
    assert 1 <= finding.frames[0] < finding.frames[1] <= 120
    assert 1 <= finding.peak_frame <= 120
    assert re.search(r"1\.[56] times as far", finding.says)


def test_the_tolerance_moves_the_limit():
    clip = swaying(PLAN, side=in_stride(PLAN, 3, 1.45))
    for tolerance, count in (("strict", 1), ("normal", 1), ("loose", 0)):
        asked = Settings(checks=("sway",), cycle="no", tolerance=tolerance)
        assert len(found(clip, asked)) == count, tolerance


def test_other_speeds_are_not_compared():
    """Strides of half the pace sway as far as they like: a shot that slows down is no fault."""
    slow = Walk(frames=70, stride_s=1.3, speed=0.7)
    fast = swaying(Walk(frames=110))
    late = swaying(slow, side=1.8)
    places = late.positions - late.positions[0, 0] + fast.positions[-1, 0]
    both = Clip(
        **{
            **vars(fast),
            "frames": np.arange(1.0, 181.0),
            "positions": np.concatenate((fast.positions, places)),
            "rotations": np.concatenate((fast.rotations, late.rotations)),
        }
    )
    assert found(both) == ()


def test_a_stride_in_which_the_body_has_a_gap_is_not_judged():
    clip = swaying(PLAN, side=in_stride(PLAN, 3, 1.6))
    first, last = frames_of(PLAN, 3)
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[first + 5 : last - 5, clip.joint("root")] = False
    assert found(Clip(**{**vars(clip), "valid": valid})) == ()


def test_two_strides_are_too_few_to_compare():
    shot = check_clip(swaying(PLAN).cut(1, 46), ASK)
    assert dict(shot.skipped)["sway"] == (
        "2 strides, and with fewer than three nothing is compared"
    )
    assert shot.measures["strides"] == 2.0
    assert not shot.good


def test_gaps_and_short_clips_are_no_trouble():
    clip = swaying(PLAN, side=in_stride(PLAN, 3, 1.6))
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[60:90, clip.joint("foot.L")] = False
    for broken in (Clip(**{**vars(clip), "valid": valid}), clip.cut(1, 2), figure(frames=3)):
        shot = check_clip(broken, ASK)
        assert all(np.isfinite(f.amount) for f in shot.findings)
        numbers = [v for v in shot.measures.values() if isinstance(v, float)]
        assert np.isfinite(numbers).all()


def test_whatever_comes_is_answered_in_numbers():
    """Noise, leaps, figures that lie, and feet that are anywhere."""
    rng = np.random.default_rng(5)
    clip = swaying(PLAN)
    for case in range(12):
        places = clip.positions.copy()
        if case % 3 == 0:
            places += rng.normal(0.0, 10.0 ** rng.uniform(-3, 1), places.shape)
        if case % 3 == 1:
            places[rng.integers(170) :, :, rng.integers(3)] += rng.normal(0.0, 3.0)
        if case % 3 == 2:
            places = places[..., [0, 2, 1]] * rng.uniform(0.01, 100.0)
        valid = rng.random(places.shape[:2]) > 0.02 * case
        shot = check_clip(Clip(**{**vars(clip), "positions": places, "valid": valid}), ASK)
        assert np.isfinite([v for v in shot.measures.values() if isinstance(v, float)]).all()
        assert all(np.isfinite((f.amount, f.limit)).all() for f in shot.findings)
