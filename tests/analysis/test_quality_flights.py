# SPDX-License-Identifier: GPL-3.0-or-later
"""The corpus's hops fall freely in the air, and what is planted there is as large as it says."""

import os

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.flown import find_flown
from tests.quality.cells import Cell, planted_cases
from tests.quality.hop_path import Hop
from tests.quality.plant import KINDS
from tests.quality.sets import clean_cases
from tests.quality.work import cases_of

# All of it is about the corpus, and makes whole sets of it.
pytestmark = pytest.mark.corpus
SETS = ("hops_24", "hops_30")
# Standard gravity, m/s2: 3rd CGPM 1901.
GRAVITY = 9.80665


def flown(clip):
    """The fall of each flight, and its middle frame."""
    basis = build_basis(clip, Settings(cycle="no"))
    found = find_flown(basis, basis.flights, rough=False)
    return [(f.fall, clip.frames[(f.flight.first + f.flight.last) // 2]) for f in found]


def falls(clip):
    return [fall for fall, _middle in flown(clip)]


@pytest.mark.parametrize("which", SETS)
def test_every_flight_is_a_free_one(which):
    cases = clean_cases([which])
    assert {case.clip.fps for case in cases} == {float(which[-2:])}
    for half in "AB":
        ours = [fall for case in cases if case.half == half for fall in falls(case.clip)]
        # Poses fall exactly; captured flights are off by what is known of them: jump by 1 %,
        # spinkick by 6.
        assert len(ours) > 60
        assert np.median(ours) == pytest.approx(GRAVITY, rel=0.01)
        assert np.quantile(np.abs(np.array(ours) / GRAVITY - 1.0), 0.9) < 0.08
    assert all(len(falls(case.clip)) >= 1 for case in cases)


def test_a_hop_s_path_leaves_and_lands_as_fast_as_its_flight_needs():
    hop = Hop(
        air_s=0.5,
        travel_m=(0.5, -0.1),
        crouch_m=0.2,
        catch_m=0.15,
        stand_s=0.2,
        down_s=0.4,
        up_s=0.5,
        lift_m=0.05,
        tuck_m=0.1,
    )
    time = np.arange(0.0, hop.seconds, 1e-4)
    path = hop.path(time)
    speed = np.gradient(path, 1e-4, axis=0)
    # No step, no jump of speed: what bears it changes, and not how it moves.
    assert np.abs(np.diff(path, axis=0)).max() < 4e-4
    assert np.abs(np.diff(speed, axis=0)).max() < 0.02
    air = (time > hop.times[2] + 1e-3) & (time < hop.times[3] - 1e-3)
    acceleration = np.gradient(speed, 1e-4, axis=0)[air]
    assert acceleration[:, 2] == pytest.approx(-GRAVITY, rel=1e-3)
    assert speed[air][:, 0] == pytest.approx(0.5 / 0.5, rel=1e-3)
    # h = g T^2 / 8.
    top = path[:, 2].max() - hop.lift_m
    assert top == pytest.approx(GRAVITY * 0.5**2 / 8.0, rel=1e-3)
    assert path[-1] == pytest.approx([*hop.whole_m, 0.0], abs=1e-3)


@pytest.mark.parametrize("which", SETS)
@pytest.mark.parametrize("size", [10.0, 20.0, 30.0])
def test_a_flight_s_time_is_longer_or_shorter_by_what_it_says(which, size):
    """A flight played s times as long falls by 1 / s^2 as much, and the others as before."""
    for case, fault in planted_cases(
        Cell("flight_time", "root", size, which, "A"), cases_of(which), range(8)
    ):
        before = falls(case.clip)
        after, middles = (np.array(each) for each in zip(*flown(fault.clip), strict=True))
        assert len(after) == pytest.approx(len(before), abs=1)
        sign = 1.0 if fault.where == "longer" else -1.0
        wanted = 1.0 / (1.0 + sign * size / 100.0) ** 2
        ratio = after / np.median(before)
        (odd,) = np.flatnonzero((middles > fault.frames[0]) & (middles < fault.frames[1]))
        assert ratio[odd] == pytest.approx(wanted, rel=0.06)
        assert np.delete(ratio, odd) == pytest.approx(1.0, abs=0.12)


@pytest.mark.parametrize("which", SETS)
def test_a_hang_has_its_share_and_only_the_flight_is_moved(which):
    for case, fault in planted_cases(
        Cell("flight_hang", "root", 20.0, which, "A"), cases_of(which), range(8)
    ):
        assert fault.size == pytest.approx(20.0, abs=3.0)
        moved = np.abs(fault.clip.positions - case.clip.positions).max(axis=(1, 2))
        frames = case.clip.frames
        inside = (frames >= fault.frames[0]) & (frames <= fault.frames[1])
        assert moved[~inside].max() == 0.0
        assert moved[inside].max() > 0.01


@pytest.mark.parametrize("kind", ["flight_time", "flight_hang", "flight_travel"])
def test_one_fault_is_one_finding(kind):
    """With all checks together, on clips that have no finding without it."""
    seen, sizes = 0, KINDS[kind].sizes["root"]
    for case, fault in planted_cases(
        Cell(kind, "root", sizes[-1], "hops_24", "A"), cases_of("hops_24"), range(12)
    ):
        if case.source != "hops" or check_clip(case.clip).findings or seen > 4:
            continue
        first, last = fault.frames
        found = [
            f
            for f in check_clip(fault.clip).findings
            if f.part in ("root", None) and f.frames[0] <= last + 3 and f.frames[1] >= first - 3
        ]
        assert [f.check for f in found] == [fault.check]
        seen += 1
    assert seen > 2


@pytest.mark.parametrize("which", SETS)
def test_a_flight_s_travel_is_moved_by_what_it_says_and_by_nothing_on_the_ground(which):
    for case, fault in planted_cases(
        Cell("flight_travel", "root", 25.0, which, "A"), cases_of(which), range(8)
    ):
        moved = fault.clip.positions - case.clip.positions
        assert np.ptp(moved, axis=1).max() < 1e-9  # all of the figure alike
        basis = build_basis(case.clip, Settings(cycle="no"))
        size = np.linalg.norm(moved[-1, 0]) / basis.height.scene_m * 170.0
        assert size == pytest.approx(25.0, rel=0.02)
        frames = case.clip.frames
        assert np.abs(moved[frames <= fault.frames[0]]).max() < 1e-12
        assert np.ptp(moved[frames >= fault.frames[1]], axis=0).max() < 1e-9
        assert np.abs(moved[:, :, 2]).max() < 1e-12


@pytest.mark.parametrize("which", ["keyed_hops_24", "keyed_hops_30"])
def test_keyed_flights_are_free_ones_and_hardly_any_is_blamed(which):
    """An arc through keys is one of gravity's strength to a tenth; three in a hundred may be
    told to be none."""
    asked = Settings(checks=("gravity", "hang_time", "carry"))
    for half in "AB":
        cases = [case for case in clean_cases([which]) if case.half == half]
        ours = [fall for case in cases for fall in falls(case.clip)]
        assert len(ours) > 80
        assert np.median(ours) == pytest.approx(GRAVITY, rel=0.02)
        assert np.quantile(np.abs(np.array(ours) / GRAVITY - 1.0), 0.95) < 0.1
        blamed = sum(len(check_clip(case.clip, asked).findings) for case in cases)
        assert blamed <= 0.03 * len(ours)


@pytest.mark.parametrize("which", ["hops_24", "hops_30"])
def test_feet_go_nowhere_of_a_sudden_as_they_leave_and_land(which):
    """No faster than the body flies (3 m/s) and a leg that is drawn up or let down (1.5 m/s)."""
    for case in clean_cases([which]):
        if case.source == "hops":
            clip = case.clip
            feet = [clip.joint(f"foot.{side}") for side in "LR"]
            steps = np.linalg.norm(np.diff(clip.positions[:, feet], axis=0), axis=-1)
            ankles = steps * clip.fps * np.sqrt(1.7 / clip.meta.height_m)
            assert ankles.max() < 4.5


@pytest.mark.parametrize("which", SETS)
@pytest.mark.parametrize("size", [0.25, 0.5])
def test_a_flight_that_stands_at_its_top_stays_there_for_as_long_as_it_says(which, size):
    """The body rises no more than a drift (3 cm at 1.7 m) there, falls hardly at all, and the
    clip is longer by as much."""
    for case, fault in planted_cases(
        Cell("flight_held", "root", size, which, "A"), cases_of(which), range(6)
    ):
        more = len(fault.clip.frames) - len(case.clip.frames)
        assert more / case.clip.fps == pytest.approx(size, abs=0.5 / case.clip.fps + 1e-9)
        basis = build_basis(fault.clip, Settings(cycle="no"))
        frames = basis.frames
        inside = (frames >= fault.frames[0]) & (frames <= fault.frames[1])
        assert np.ptp(basis.com[inside, 2]) < 0.04 / 1.7 * basis.height.scene_m
        first = frames < fault.frames[0] - 1
        same = case.clip.positions[: first.sum()]
        if fault.where == "stands":
            assert np.abs(fault.clip.positions[first] - same).max() < 1e-9
