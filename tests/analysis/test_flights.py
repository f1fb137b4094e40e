# SPDX-License-Identifier: GPL-3.0-or-later
"""`hang_time` and `gravity`: flights whose shape and fall are known.

A free path is in the top quarter of its rise and of its fall for half of the time: time above
the share f of the apex is T sqrt(1-f), from h = g T^2 / 8 (Bosco, Luhtanen & Komi 1983, Eur J
Appl Physiol 50:273-282). Gravity is 9.80665 m/s2 (3rd CGPM 1901).
"""

import re

import numpy as np
import pytest
from walker import box, hop, joined, with_supports

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.free_fall import GRAVITY, fit_fall
from analysis.hang import hang_of

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


def test_flights_that_all_hang_alike_are_a_style():
    hangs = hop(fps=30.0, shape=flat_top, tuck=0.0)
    shot = check_clip(joined(hangs, hangs, hangs), HANG)
    assert not shot.findings
    assert any("hang at the top, all alike" in said for said in shot.style)
    assert shot.measures["hang_share"] > 0.7
    free = hop(fps=30.0, tuck=0.0)
    assert len(check_clip(joined(free, hangs, free, hangs), HANG).findings) == 2


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


def test_no_rise_is_advised_that_is_higher_than_the_figure():
    """To fill two seconds in the air a body would have to rise by nearly 5 m."""
    plan = {"fps": 24.0, "distance": 0.0, "tuck": 0.0, "before": 40, "after": 40}
    clip = hop(air_s=2.0, shape=lambda u: 1.2 * u * (1.0 - u) * 4.0, **plan)
    (finding,) = check_clip(clip, FALL).findings
    assert re.search(r"it has 48: take out 2\d\b", finding.suggestion.text)
    assert "let it rise" not in finding.suggestion.text


def test_a_flight_that_the_range_cuts_is_advised_in_shares():
    """How many frames it has in all is not seen."""
    clip = hop(gravity=2.4 * GRAVITY, tuck=0.0)
    (finding,) = check_clip(clip.cut(clip.frames[17], clip.frames[-1]), FALL).findings
    assert (
        finding.suggestion.text == "Give this flight 1.55 times its frames, or 0.42 of its height."
    )


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
