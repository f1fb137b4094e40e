# SPDX-License-Identifier: GPL-3.0-or-later
"""Jumps that float for so long that they hardly fall, beside what hangs on something unseen.

Height and time in the air: h = g T^2 / 8 (Bosco, Luhtanen & Komi 1983).
"""

import re

import numpy as np
import pytest
from figures import NAMES
from walker import box, hop, joined, with_supports

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.free_fall import GRAVITY
from analysis.hang import hang_of, hang_of_a_side

ABOUT_FLIGHTS = ("hang_time", "gravity", "push", "carry")
ASK = Settings(cycle="no", checks=ABOUT_FLIGHTS)
FALL = Settings(cycle="no", checks=("gravity",))
# Where a standard hop stands before and after.
LONG = {"before": 20, "after": 20}


def slow(share, height=0.35, **plan):
    """A hop that falls by a share of gravity."""
    return hop(air_s=np.sqrt(8.0 * height / (share * GRAVITY)), gravity=share * GRAVITY, **plan)


def frames_told(text):
    """Frames that it needs, and that it has."""
    return tuple(int(n) for n in re.search(r"needs (\d+) frames .* it has (\d+):", text).groups())


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("share", [0.06, 0.1, 0.2, 0.24])
@pytest.mark.parametrize("plan", [{"distance": 0.0}, {"distance": 0.9}, {"scale": 10.0}])
def test_a_jump_that_floats_is_told_however_long_it_takes(share, fps, plan):
    clip = slow(share, fps=fps, **plan)
    (finding,) = check_clip(clip, Settings(cycle="no", checks=("gravity",), height_m=1.7)).findings
    assert (finding.check, finding.severity) == ("gravity", "major")
    needs, has = frames_told(finding.suggestion.text)
    assert needs / has == pytest.approx(np.sqrt(share), abs=0.6 / has + 0.02)
    assert f"take out {has - needs}" in finding.suggestion.text
    assert finding.suggestion.text.endswith(", or declare what bears it.")


def test_a_jump_that_falls_half_as_fast_is_not_said_to_be_borne():
    (finding,) = check_clip(slow(0.4), FALL).findings
    assert "declare" not in finding.suggestion.text


def lifted(u):
    """Gently up by 40 cm and gently down again."""
    return 0.4 * np.sin(np.pi * u) ** 2


def held_up(u):
    """Up, held there, down."""
    return 0.4 * np.minimum(1.0, 8.0 * np.minimum(u, 1.0 - u))


def steps_up(u):
    """A climber's step: 2 cm up and back, with the feet off the rungs."""
    return 0.08 * u * (1.0 - u)


@pytest.mark.parametrize("fps", [24.0, 60.0])
@pytest.mark.parametrize("shape", [lifted, held_up, steps_up])
def test_what_is_lifted_or_hangs_is_withheld(shape, fps):
    clip = hop(fps=fps, air_s=2.0, shape=shape, tuck=0.17)
    (flight,) = build_basis(clip, ASK).flights
    assert flight.held
    shot = check_clip(clip, FALL)
    assert not shot.findings
    assert "declare what bears it" in dict(shot.skipped)["gravity"]


def test_a_hand_that_stays_while_the_body_goes_on_bears_it():
    """An even arc as of a slow jump, but the left hand holds on to something in the middle."""
    clip = slow(0.15, fps=60.0, distance=1.2, tuck=0.0)
    (free,) = build_basis(clip, ASK).flights
    assert not free.held
    middle = (free.first + free.last) // 2
    place = np.array(clip.positions)
    hand = NAMES.index("hand.L")
    place[middle - 12 : middle + 12, hand] = place[middle, hand]
    (flight,) = build_basis(type(clip)(**{**vars(clip), "positions": place}), ASK).flights
    assert flight.held


def flat(u):
    """A top that is flat for half of the time, 40 cm up."""
    return 0.4 * (1.0 - np.abs(2.0 * u - 1.0) ** 6)


def test_a_flight_that_is_no_arc_is_named_beside_one_that_is_judged():
    plan = {"distance": 0.0, "tuck": 0.0, **LONG}
    first = hop(**plan)
    shot = check_clip(joined(first, hop(shape=flat, **plan)), ASK)
    why = dict(shot.skipped)["gravity"]
    begins = int(re.match(r"the flight of frames (\d+) to \d+ is no arc of one fall", why)[1])
    assert begins > len(first.frames)
    assert dict(shot.skipped)["carry"] == why
    assert [f.check for f in shot.findings] == ["hang_time"]
    right = check_clip(joined(first, first), ASK)
    assert not set(ABOUT_FLIGHTS) & set(dict(right.skipped))


def heights(power, apex=1.5, count=11, drop=0.5):
    """Heights whose apex is so many samples from the start; gravity's power is two."""
    way = (np.arange(count) - apex) / (count - 1 - apex)
    rise = -0.1 * (np.minimum(np.arange(count) - apex, 0.0) / apex) ** 2
    return np.where(way > 0.0, -drop * np.abs(way) ** power, rise)


@pytest.mark.parametrize("apex", [1.2, 1.35, 1.5])
@pytest.mark.parametrize("power", [2.0, 3.0, 4.0])
def test_a_fall_alone_has_a_shape(apex, power):
    """Of a fall by the power p the top quarter takes .25^(1/p) of its time."""
    path = heights(power, apex)
    assert hang_of(path) is None
    fall, rise = hang_of_a_side(path), hang_of_a_side(path[::-1])
    assert fall.share == pytest.approx(0.25 ** (1.0 / power), abs=0.03)
    assert (fall.part, rise.part) == ("fall", "rise")
    assert rise.share == pytest.approx(fall.share, abs=0.01)
    assert fall.samples(11) == pytest.approx(10.0 - apex, abs=0.4)


def test_without_a_top_inside_there_is_no_shape():
    assert hang_of_a_side(-(np.linspace(0.2, 1.0, 12) ** 2)) is None
    assert hang_of_a_side(np.array([0.0, 1.0, 0.9, 0.5])) is None


def hop_down(shape, fps=24.0, air_s=0.5, distance=0.6):
    """A hop down from a ledge; shape: heights above it, from 0 to -.5."""
    clip = hop(fps=fps, air_s=air_s, rise=-0.5, shape=shape, distance=distance, tuck=0.0, **LONG)
    ledge = box((-1.0, -0.3, -1.0), (1.0, 1.0, 0.0), len(clip.frames))
    return with_supports(clip, ledge)


@pytest.mark.parametrize(("power", "hangs"), [(2.0, False), (4.0, True)])
def test_a_hang_in_a_hop_down_is_found(power, hangs):
    """Its top is a frame and a half after the first frame in the air: the fall alone tells it."""

    def shape(u):
        way = (u - 0.2) / 0.8
        return np.where(way > 0.0, 0.1 - 0.6 * np.abs(way) ** power, 0.1 - 0.1 * (way * 4) ** 2)

    shot = check_clip(hop_down(shape), Settings(cycle="no", checks=("hang_time",)))
    assert [f.check for f in shot.findings] == ["hang_time"] * hangs
    if hangs:
        assert "of the time of its fall near the top" in shot.findings[0].says


def test_time_alone_helps_where_even_a_drop_without_a_rise_takes_longer():
    """12 cm up and 62 down in .3 s take .51 s; .5 m down without a rise still take .32 s."""

    def shape(u):
        return 0.5 * 2.9 * GRAVITY * 0.3**2 * u * (1.0 - u) - 0.5 * u

    clip = hop_down(shape, fps=60.0, air_s=0.3, distance=2.0)
    (finding,) = check_clip(clip, FALL).findings
    needs, has = frames_told(finding.suggestion.text)
    assert (needs, has) == (31, 18)
    assert finding.suggestion.text.endswith("it has 18: add 13.")


@pytest.mark.parametrize("fps", [24.0, 30.0])
@pytest.mark.parametrize("factor", [0.15, 0.4, 2.4])
def test_the_frames_that_are_named_are_those_that_are_counted(fps, factor):
    (finding,) = check_clip(slow(factor, fps=fps, height=0.45), FALL).findings
    leaves, lands = re.search(
        r"from frame (\d+), where it leaves, to (\d+), where it lands", finding.says
    ).groups()
    assert int(lands) - int(leaves) == frames_told(finding.suggestion.text)[1]


def test_what_nothing_bears_is_told_once_for_all_checks():
    held = hop(air_s=1.2, shape=held_up, distance=0.0, **LONG)
    shot = check_clip(joined(hop(tuck=0.0, **LONG), held), ASK)
    (told,) = [checks for why, checks in shot.reasons.items() if "declare what bears it" in why]
    assert sorted(told) == sorted(ABOUT_FLIGHTS)
    frames = re.search(r"from frame (\d+) to (\d+)", dict(shot.skipped)["push"]).groups()
    (good,) = [each for each in shot.good if "no push" in each]
    assert good.startswith(f"Apart from frames {frames[0]} to {frames[1]}, what touches")
