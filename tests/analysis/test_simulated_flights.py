# SPDX-License-Identifier: GPL-3.0-or-later
"""What the analysis makes of simulated hops and throws, against what is known of them."""

import os

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_SIMULATED") is None:
    pytest.skip("PLUMBLINE_SIMULATED is not set: run the test runner", allow_module_level=True)

from simulated_flights import FLIGHTS, FPS, STANDARD_GRAVITY

from analysis import Settings
from analysis.basis import build_basis
from analysis.carry_flights import drift_of
from analysis.free_fall import fit_fall
from tests.quality.work import cases_of


@pytest.mark.parametrize("family", ["hops", "throws"])
def test_gravity_is_measured_within_a_hundredth(family):
    """With the table that the simulated body's masses are taken from; see segments.py."""
    found = []
    for case, first, last in FLIGHTS:
        if case.source == family:
            basis = build_basis(case.clip, Settings(masses="dumas"))
            fall = fit_fall(basis.com[first : last + 1], 1.0 / FPS)
            found.append(fall.down / STANDARD_GRAVITY)
    assert len(found) >= 30
    assert np.median(found) == pytest.approx(1.0, abs=0.01)
    assert np.percentile(np.abs(np.array(found) - 1.0), 90) < 0.04


@pytest.mark.parametrize("family", ["hops", "throws"])
@pytest.mark.parametrize("masses", ["winter", "dumas"])
def test_the_first_half_of_a_flight_foretells_the_landing(family, masses):
    found = []
    for case, first, last in FLIGHTS:
        if case.source == family:
            basis = build_basis(case.clip, Settings(masses=masses))
            found.append(np.linalg.norm(drift_of(basis.com[first : last + 1, :2])))
    assert len(found) >= 30
    assert np.median(found) < 0.03
    assert np.percentile(found, 90) < 0.04


@pytest.mark.skipif(
    os.environ.get("PLUMBLINE_CAPTURED") is None,
    reason="PLUMBLINE_CAPTURED is not set: run the test runner",
)
@pytest.mark.parametrize("which", ["captured", "captured_24", "captured_30"])
def test_the_first_half_of_the_captured_jump_foretells_its_landing(which):
    (case,) = (case for case in cases_of(which) if case.source == "jump")
    basis = build_basis(case.clip, Settings())
    (flight,) = basis.flights
    assert np.linalg.norm(drift_of(basis.com[flight.first : flight.last + 1, :2])) < 0.03
