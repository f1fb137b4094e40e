# SPDX-License-Identifier: GPL-3.0-or-later
"""What else is told of an arc, against Galilei's formulas."""

import numpy as np
import pytest
from balls import GRAVITY, Bouncing, alone, to_and_fro

from analysis.ball.arc_details import details_text
from analysis.ball.arcs import ball_arcs
from analysis.pipeline import examine


def test_a_free_arc_tells_its_time_height_speed_and_that_it_is_symmetric():
    ball = Bouncing(height=1.0, restitution=0.8, fps=60.0, bounces=3, speed=0.8)
    arc = next(each for each in ball_arcs(examine(alone(ball.path(), 60.0))) if each.free)
    told = details_text(arc)
    # A rise of e^2 h takes 2 e sqrt(2 h / g) from contact to contact.
    seconds = 2.0 * 0.8 * np.sqrt(2.0 / GRAVITY)
    assert told.startswith(
        f"Lasts {seconds:.2f} s, rises 64.0 cm; its top is at 50 % of that time;"
    )
    assert "at 80 cm/s throughout" in told
    assert "off the free path" not in told


def test_an_arc_whose_travel_changes_in_the_air_tells_by_how_much():
    ball = Bouncing(height=1.0, restitution=0.8, fps=60.0, bounces=3, speed=0.8)
    known = ball.path()
    path = known.copy()
    arc = next(each for each in ball_arcs(examine(alone(path, 60.0))) if each.free)
    first, last = (round(frame) - 1 for frame in arc.frames)
    time = np.arange(last - first) / 60.0
    way = (known[-1] - known[0]) * [1.0, 1.0, 0.0] / np.linalg.norm((known[-1] - known[0])[:2])
    path[first:last] += 0.5 * np.outer(time**2, way)  # pushed on by 1 m/s2
    path[last:] += path[last - 1] - known[last - 1]
    pushed = next(each for each in ball_arcs(examine(alone(path, 60.0))) if each.free)
    assert pushed.speed_change_m_s == pytest.approx(arc.seconds, rel=0.15)
    assert "faster at its end" in details_text(pushed)


def test_a_turn_tells_how_far_it_is_off_an_eased_way():
    even, eased = (
        next(
            each
            for each in ball_arcs(examine(alone(to_and_fro(kind, 24.0), 24.0)))
            if each.axis == "side" and each.symmetry is not None
        )
        for kind in ("even", "sine")
    )
    assert "off an eased way" in details_text(even)
    assert "off an eased way" not in details_text(eased)
