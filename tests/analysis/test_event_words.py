# SPDX-License-Identifier: GPL-3.0-or-later
"""What declared events give is told in a sentence, and what is said of the rest leaves them out."""

from dataclasses import replace

from test_event_forces import BEGINS, declaring
from test_jolts import BEGINS_S, darting
from test_push import ASK, airborne, topple

from analysis import Event, Settings, check_clip

FIRST = 1.0 + 24.0 * BEGINS_S


def test_a_blow_that_the_body_stops_again_within_the_event_counts_as_it_does_without():
    """A dart of 14 cm in .2 s: up to 15 / 8 of the way over the time (minimum jerk), 1.3 m/s, of
    which feet can give some, and smoothing takes some."""
    clip = darting(0.14, 0.2)
    (found,) = check_clip(clip, ASK).findings
    told = float(found.says.split("its speed by ")[1].split(" cm/s")[0]) / 100.0
    speed = check_clip(declaring(clip, FIRST, FIRST + 5.0), ASK).measures["event_speed_m_s"]
    assert 0.8 * told < speed < 1.3


def test_what_an_event_gives_is_a_sentence_beside_what_was_heeded():
    shot = check_clip(declaring(darting(0.14, 0.2), FIRST, FIRST + 5.0), ASK)
    (told,) = (each for each in shot.style if "body weights" in each)
    force = f"{shot.measures['event_force_peak_bw']:.1f} body weights"
    assert told.startswith(f"On frames {FIRST:.0f} to {FIRST + 5.0:.0f} the declared hit gives")
    assert force in told
    assert f"{100.0 * shot.measures['event_speed_m_s']:.0f} cm/s" in told


def test_each_of_several_events_is_told():
    clip = topple(1.2)
    first, second = (Event(frames=(at, at + 2.0), kind="hit") for at in (6.0, BEGINS))
    shot = check_clip(replace(clip, meta=replace(clip.meta, events=(first, second))), ASK)
    assert any("On frames 6 to 8 the declared hit gives the body nothing" in s for s in shot.style)
    assert any("which changes its speed by" in each for each in shot.style)


def test_the_rest_is_told_apart_from_what_was_declared():
    shot = check_clip(declaring(darting(0.14, 0.2), FIRST, FIRST + 5.0), ASK)
    (good,) = shot.good
    assert good.startswith(f"Apart from the declared frames {FIRST:.0f} to {FIRST + 5.0:.0f}, what")
    assert not any(each.startswith("Apart") for each in check_clip(darting(0.1, 0.7), ASK).good)


def test_a_flight_that_an_event_cuts_up_says_so():
    """Of .6 s in the air, from frame 14 to 28, less than .25 s are left on either side."""
    asked = Settings(cycle="no", checks=("gravity",))
    shot = check_clip(declaring(airborne(0.6), 19.0, 24.0), asked)
    assert "the declared hit on frames 19 to 24 moves" in dict(shot.skipped)["gravity"]
    before = check_clip(declaring(airborne(0.0), 2.0, 4.0), asked)
    assert "gravity" not in dict(before.skipped)
