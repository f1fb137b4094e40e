# SPDX-License-Identifier: GPL-3.0-or-later
"""`hang_time` and `gravity`: flights whose shape and fall are known.

A free path is in the top quarter of its rise and of its fall for half of the time: time above
the share f of the apex is T sqrt(1-f), from h = g T^2 / 8 (Bosco, Luhtanen & Komi 1983, Eur J
Appl Physiol 50:273-282). Gravity is 9.80665 m/s2 (3rd CGPM 1901).
"""

import re
from dataclasses import replace

import numpy as np
import pytest
from walker import box, hop, joined, with_supports

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.free_fall import GRAVITY, fit_fall
from analysis.hang import hang_of
from analysis.meta import Event

HANG = Settings(cycle="no", checks=("hang_time",))
FALL = Settings(cycle="no", checks=("gravity",))


@pytest.mark.parametrize("count", [7, 9, 12, 25])
@pytest.mark.parametrize("lands", [-0.3, 0.0, 0.2])
def test_a_free_path_hangs_for_half_of_its_time(count, lands):
    time = np.linspace(0.0, 0.55, count)
    heights = 0.4 + (0.5 * GRAVITY * 0.55 + lands / 0.55) * time - 0.5 * GRAVITY * time**2
    found = hang_of(heights)
    assert found.share == pytest.approx(0.5, abs=0.01)
    apex_s = 0.5 * 0.55 + lands / 0.55 / GRAVITY
    assert found.apex * 0.55 / (count - 1) == pytest.approx(apex_s, abs=0.005)


def test_other_shapes_have_the_shares_that_their_formulas_give():
    u = np.linspace(0.0, 1.0, 41)
    # Half a sine is above three quarters of its top from asin(.75) on.
    assert hang_of(np.sin(np.pi * u)).share == pytest.approx(
        1.0 - 2.0 * np.arcsin(0.75) / np.pi, abs=0.005
    )
    # Straight up and straight down, one sample beside the middle: a quarter.
    assert hang_of(1.0 - np.abs(2.0 * u - 1.0)).share == pytest.approx(0.25, abs=0.02)
    # Eased in and out both ways, 3u^2 - 2u^3: a smooth step is above three quarters from the
    # root of 3u^2 - 2u^3 = .75 on.
    rise = np.min([r.real for r in np.roots([-2, 3, 0, -0.75]) if 0 < r.real < 1])
    v = 1.0 - np.abs(2.0 * u - 1.0)
    assert hang_of(3 * v**2 - 2 * v**3).share == pytest.approx(1.0 - rise, abs=0.01)


def test_what_does_not_rise_and_fall_has_no_hang():
    assert hang_of(np.linspace(0, 1, 12)) is None
    assert hang_of(np.linspace(1, 0, 12)) is None
    assert hang_of(np.array([0.0, 1.0, 0.0])) is None


def test_a_fall_is_fitted_exactly_and_knows_its_error():
    time = np.arange(20) / 60
    way = np.stack((1.4 * time, 0 * time, 1.0 + 2.0 * time - 0.5 * GRAVITY * time**2), axis=-1)
    exact = fit_fall(way, 1 / 60)
    assert exact.down == pytest.approx(GRAVITY)
    assert exact.acceleration[:2] == pytest.approx([0, 0], abs=1e-9)
    assert exact.samples == 16
    rng = np.random.default_rng(7)
    noisy = [fit_fall(way + rng.normal(0, 0.002, way.shape), 1 / 60) for _ in range(300)]
    spread = np.std([fall.down for fall in noisy])
    # Noise of neighbouring frames is taken to hang together: the error is larger than the spread
    # of such that does not, by the root of three.
    told = np.median([fall.error for fall in noisy])
    assert 1.2 * spread < told < 2.6 * spread
    assert fit_fall(way[:4], 1 / 60) is None


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_free_hop_is_clean(fps):
    shot = check_clip(hop(fps=fps, tuck=0.0), Settings(cycle="no", checks=("hang_time", "gravity")))
    assert not shot.findings
    assert shot.measures["fall_m_s2"] == pytest.approx(GRAVITY, rel=0.02)
    assert shot.measures["hang_share"] == pytest.approx(0.5, abs=0.02)
    assert len(shot.good) == 2
    assert "9.8 m/s2: gravity gives 9.8" in shot.good[1]


def flat_top(u):
    """Rises, floats and falls: half of its way up in an eighth of the time."""
    return 0.4 * (1.0 - np.abs(2.0 * u - 1.0) ** 6)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_hang_at_the_top_is_found(fps):
    (finding,) = check_clip(hop(fps=fps, shape=flat_top, tuck=0.0), HANG).findings
    assert (finding.check, finding.part, finding.severity) == ("hang_time", "root", "major")
    # Above three quarters from 1 - .25^(1/6) of each side on: 79 % of the time.
    assert finding.amount == pytest.approx(100 * (0.25 ** (1 / 6) - 0.5), abs=4.0)
    assert "hangs" in finding.says
    assert finding.peak_frame == pytest.approx(14 + 0.25 * fps, abs=1)


def test_a_sharp_turn_at_the_top_is_found():
    def peaked(u):
        return 0.5 * (1.0 - np.abs(2.0 * u - 1.0))

    (finding,) = check_clip(hop(fps=30, shape=peaked, tuck=0.0), HANG).findings
    assert "turns sharply" in finding.says


def test_short_flights_are_not_judged_by_their_shape():
    shot = check_clip(hop(fps=24, air_s=0.25, tuck=0.2), HANG)
    assert "too short to have a shape" in dict(shot.skipped)["hang_time"]
    shot = check_clip(hop(fps=24, air_s=0.25, tuck=0.2), FALL)
    assert "under .25 s" in dict(shot.skipped)["gravity"]


@pytest.mark.parametrize("fps", [24.0, 30.0])
@pytest.mark.parametrize("factor", [0.6, 1.7])
def test_the_flight_that_breaks_the_shot_s_gravity_is_found(fps, factor):
    odd = hop(fps=fps, gravity=factor * GRAVITY, tuck=0.0)
    clip = joined(hop(fps=fps, tuck=0.0), odd, hop(fps=fps, tuck=0.0))
    (finding,) = check_clip(clip, FALL).findings
    assert (finding.check, finding.part, finding.severity) == ("gravity", "root", "major")
    flight = len(odd.frames) + 14 + 0.25 * fps
    assert finding.peak_frame == pytest.approx(flight, abs=2)
    assert finding.amount == pytest.approx(abs(factor - 1.0) * GRAVITY, rel=0.1)
    assert f"{factor:.1f}" in finding.says


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize(("factor", "air_s"), [(2.2, 0.5), (0.42, 0.6), (3.0, 0.4)])
def test_either_advice_gives_gravity_back(fps, factor, air_s):
    """The same arc over the frames that are advised, and the arc that is advised over the same
    frames: both are put into practice here, and fall as they should."""
    frames = round(air_s * fps)
    height = factor * GRAVITY * (frames / fps) ** 2 / 8.0
    plan = {"fps": fps, "distance": 0.0, "tuck": 0.0, "before": 40, "after": 40}
    (finding,) = check_clip(hop(air_s=air_s, gravity=factor * GRAVITY, **plan), FALL).findings
    found = re.fullmatch(
        r"A rise of ([\d.]+) (m|cm) needs (\d+) frames in the air at (\d+) fps, it has (\d+): "
        r"(add|take out) (\d+), or let it rise ([\d.]+) (m|cm)\.",
        finding.suggestion.text,
    )
    told = float(found[1]) * (1.0 if found[2] == "m" else 0.01)
    needs, has, change = int(found[3]), int(found[5]), int(found[7])
    # From the last frame that stands to the first that stands again, as the hop was built.
    assert (told, int(found[4]), has) == (pytest.approx(height, rel=0.02), fps, frames)
    assert needs == pytest.approx(np.sqrt(8.0 * height / GRAVITY) * fps, abs=0.55)
    assert needs - has == (change if found[6] == "add" else -change)

    def arc(top):
        return lambda u: top * 4.0 * u * (1.0 - u)

    longer = check_clip(hop(air_s=needs / fps, shape=arc(height), **plan), FALL)
    half_a_frame = 1.0 / needs
    assert longer.measures["fall_m_s2"] == pytest.approx(GRAVITY, rel=half_a_frame + 0.01)
    rise = float(found[8]) * (1.0 if found[9] == "m" else 0.01)
    mended = check_clip(hop(air_s=air_s, shape=arc(rise), **plan), FALL)
    assert mended.measures["fall_m_s2"] == pytest.approx(GRAVITY, rel=0.02)


def test_a_flight_that_the_range_cuts_is_advised_in_shares():
    """How many frames it has in all is not seen."""
    clip = hop(gravity=2.4 * GRAVITY, tuck=0.0)
    (finding,) = check_clip(clip.cut(clip.frames[17], clip.frames[-1]), FALL).findings
    assert (
        finding.suggestion.text == "Give this flight 1.55 times its frames, or 0.42 of its height."
    )


def test_flights_that_fall_alike_are_a_style():
    moon = [hop(gravity=0.6 * GRAVITY, tuck=0.0) for _ in range(2)]
    shot = check_clip(joined(*moon), FALL)
    assert not shot.findings
    assert shot.good == ()
    said = "2 flights at 5.9 m/s2, 0.6 times gravity, all alike: a style, not a fault."
    assert said in shot.style
    asked = Settings(cycle="no", checks=("gravity",), height_m=1.78)
    assert len(check_clip(joined(*moon), asked).findings) == 2


def test_one_flight_alone_is_blamed_beyond_twice_only():
    quick = check_clip(hop(gravity=1.6 * GRAVITY, tuck=0.0), FALL)
    assert not quick.findings
    assert not quick.good
    assert dict(quick.skipped)["gravity"].endswith(
        "1.6 times gravity; one flight alone may be meant so"
    )
    (finding,) = check_clip(hop(gravity=2.4 * GRAVITY, tuck=0.0), FALL).findings
    assert "2.4 times as fast as gravity" in finding.says


def test_without_a_known_size_flights_are_compared_with_each_other():
    """A figure ten metres high may be a giant, or one drawn in another unit."""
    odd = hop(gravity=1.7 * GRAVITY, scale=6.0, tuck=0.0)
    clip = joined(hop(scale=6.0, tuck=0.0), odd, hop(scale=6.0, tuck=0.0))
    shot = check_clip(clip, FALL)
    assert shot.height_m is None
    (finding,) = shot.findings
    assert "the shot's other flights" in finding.says
    alone = check_clip(hop(scale=6.0, tuck=0.0), FALL)
    assert not alone.findings
    assert (
        "height is not known, and one flight alone tells nothing" in dict(alone.skipped)["gravity"]
    )


@pytest.mark.parametrize("factor", [0.5, 2.0])
def test_of_two_flights_of_unknown_size_the_second_is_compared_with_the_first(factor):
    odd = hop(gravity=factor * GRAVITY, scale=6.0, tuck=0.0)
    (finding,) = check_clip(joined(hop(scale=6.0, tuck=0.0), odd), FALL).findings
    assert finding.frames[0] > 39
    assert f"falls {factor:.{1 if factor > 1 else 2}f} times as fast as" in finding.says
    assert "the shot's other flight (" in finding.says


@pytest.mark.parametrize("scale", [0.01, 0.1, 10.0, 100.0])
def test_figures_of_any_size_fall(scale):
    """A small one falls by few metres a second: it is not held."""
    (flight,) = build_basis(hop(scale=scale, tuck=0.0), FALL).flights
    assert not flight.held
    odd = hop(gravity=1.7 * GRAVITY, scale=scale, tuck=0.0)
    shot = check_clip(joined(hop(scale=scale, tuck=0.0), odd, hop(scale=scale, tuck=0.0)), FALL)
    assert len(shot.findings) == 1


def test_a_fall_without_a_rise_has_no_shape_to_judge():
    clip = hop(rise=-1.5, air_s=0.6, shape=lambda u: -1.5 * u**2, tuck=0.0)
    ledge = box((-1.0, -0.3, -1.0), (1.0, 1.0, 0.0), len(clip.frames))
    shot = check_clip(with_supports(clip, ledge), HANG)
    assert dict(shot.skipped)["hang_time"] == "1 flight, but none that rises and falls"


def test_a_figure_that_hangs_on_nothing_is_told_and_not_judged():
    held = hop(air_s=1.0, shape=lambda u: 0.4 * np.minimum(1.0, 8 * np.minimum(u, 1 - u)))
    shot = check_clip(held, Settings(cycle="no", checks=("hang_time", "gravity")))
    assert not shot.findings
    assert "declare what bears it" in dict(shot.skipped)["gravity"]


def test_no_flight_no_question():
    clip = hop(air_s=0.5).cut(1, 12)
    skipped = dict(check_clip(clip, Settings(cycle="no")).skipped)
    assert skipped["gravity"] == "nothing leaves the ground in this range"
    assert skipped["hang_time"].startswith("nothing leaves the ground and lands")


@pytest.mark.parametrize("bend", [0.4, 1.2])
def test_what_gains_speed_upwards_in_the_air_is_no_fall(bend):
    """As stepped poses of a jump can look: no square root of such a fall is taken."""
    rising = hop(air_s=0.6, rise=0.5, shape=lambda u: 0.5 * u + bend * (u**2 - u), tuck=0.0)
    clip = joined(hop(tuck=0.0), rising, hop(tuck=0.0))
    shot = check_clip(clip, FALL)
    assert all("-" not in finding.says for finding in shot.findings)
    assert shot.measures["fall_m_s2"] > 0.0


@pytest.mark.parametrize("fps", [24.0, 60.0])
def test_what_is_pulled_in_the_air_is_judged_from_there_on_only(fps):
    """Declared, the first half of the flight is somebody else's: what follows falls freely."""
    clip = hop(fps=fps, air_s=0.8, gravity=GRAVITY, tuck=0.0, distance=0.0)
    count = round(0.8 * fps)
    leaves, half = 13, 13 + count // 2
    place = np.array(clip.positions)
    time = np.arange(count // 2 + 1) / fps
    lifted = np.zeros(len(place))
    # Pulled up by 1.5 g for as long, and then left alone: a jump of speed that is declared.
    lifted[leaves : half + 1] = 0.5 * 1.5 * GRAVITY * time * (time - time[-1])
    pulled = replace(clip, positions=place - lifted[:, None, None] * [0.0, 0.0, 1.0])
    event = Event(frames=(float(clip.frames[leaves]), float(clip.frames[half])), kind="pull")
    declared = replace(pulled, meta=replace(pulled.meta, events=(event,)))
    asked = replace(FALL, height_m=1.78)
    assert check_clip(pulled, asked).measures.get("fall_m_s2") != pytest.approx(GRAVITY, rel=0.1)
    shot = check_clip(declared, asked)
    assert not shot.findings
    assert shot.measures["fall_m_s2"] == pytest.approx(GRAVITY, rel=0.03)


@pytest.mark.parametrize("habit", [0.85, 1.0, 1.17, 1.3, 1.6])
@pytest.mark.parametrize("longer", [1.2, 0.8])
def test_a_flight_that_is_retimed_is_found_whatever_the_shot_s_habit(habit, longer):
    """A rig may be taller than its rest pose tells, or its flights a style: what is played s times
    as long falls by 1 / s^2 as much as the others."""
    usual = hop(fps=30.0, gravity=habit * GRAVITY, tuck=0.0)
    odd = hop(fps=30.0, gravity=habit / longer**2 * GRAVITY, air_s=0.5 * longer, tuck=0.0)
    (finding,) = check_clip(joined(usual, odd, usual, usual), FALL).findings
    first = len(usual.frames)
    assert first < finding.frames[0] < finding.frames[1] < first + len(odd.frames)
    assert not check_clip(joined(usual, usual, usual), FALL).findings


@pytest.mark.parametrize("factors", [(1.0, 0.9, 1.1), (1.1, 0.95, 1.0, 1.1), (0.92, 1.1)])
def test_flights_that_differ_a_little_are_clean(factors):
    hops = [hop(fps=30.0, gravity=factor * GRAVITY, tuck=0.0) for factor in factors]
    shot = check_clip(joined(*hops), FALL)
    assert not shot.findings
    assert "gravity gives 9.8" in shot.good[0]


def test_a_shot_that_disagrees_with_itself_is_compared_with_gravity():
    factors = (1.0, 1.6, 0.55)
    hops = [hop(fps=30.0, gravity=factor * GRAVITY, tuck=0.0) for factor in factors]
    findings = check_clip(joined(*hops), FALL).findings
    assert len(findings) == 2
    assert all("as fast as gravity has it" in finding.says for finding in findings)
