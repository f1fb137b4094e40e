# SPDX-License-Identifier: GPL-3.0-or-later
"""Doing what `gravity` says leaves nothing to tell of the flight, neither of its fall nor of its
travel nor of a push.

In the air a body keeps its level velocity (Newton's first law), so that other frames for the same
way change it, and another height does not.
"""

import re
from dataclasses import replace

import numpy as np
import pytest
from test_carry import PLAN, leap
from test_flight_cures import retimed
from walker import hop

from analysis import Settings, check_clip

ASKED = Settings(cycle="no", checks=("hang_time", "gravity", "carry", "push"))
FAR = replace(PLAN, travel_m=(1.1, 0.0))
FRAMES = r"(add|take out) (\d+)"
LAND = r"land ([\d.]+) (m|cm) (further|less far) forward"
RISE = r"rise ([\d.]+) (m|cm)"


def metres(number, unit):
    return float(number) * (1.0 if unit == "m" else 0.01)


class Flight:
    """A clip of one flight and the frames between which it is in the air, as placed edits."""

    def __init__(self, clip, leaves, lands):
        self.clip, self.leaves, self.lands = clip, leaves, lands

    def since(self):
        at = np.arange(len(self.clip.frames), dtype=np.float64)
        return np.clip((at - self.leaves) / (self.lands - self.leaves), 0.0, 1.0)

    def longer(self, by):
        """The same flight with so many frames more (fewer below 0) in the air."""
        at = np.arange(len(self.clip.frames) + by, dtype=np.float64)
        lands = self.lands + by
        share = (self.lands - self.leaves) / (lands - self.leaves)
        inside = self.leaves + (at - self.leaves) * share
        old = np.where(at < self.leaves, at, np.where(at < lands, inside, at - by))
        return Flight(retimed(self.clip, old), self.leaves, lands)

    def moved(self, way):
        """(T,3) of a way added to every joint."""
        return Flight(
            replace(self.clip, positions=self.clip.positions + way[:, None]),
            self.leaves,
            self.lands,
        )

    def landed(self, further):
        """It lands so many metres further forward (-Y), at an even speed."""
        return self.moved(np.outer(self.since(), [0.0, -further, 0.0]))

    def raised(self, by):
        """It rises so many metres more, on one arc."""
        u = self.since()
        return self.moved(np.outer(4.0 * u * (1.0 - u), [0.0, 0.0, by]))

    def findings(self):
        return check_clip(self.clip, ASKED).findings


def wrong(fps, by, *, travels):
    """A leap with so many frames more than its height needs; it travels as its take-off has it,
    or the same way as before."""
    # A frame is where it leaves, and one where it lands.
    frames = round(PLAN.air_s * fps)
    flight = Flight(leap(fps=fps, plan=FAR), round(PLAN.times[2] * fps), 0)
    flight.lands = flight.leaves + frames
    long = flight.longer(by)
    return long.landed(FAR.travel_m[0] * by / frames) if travels else long


def in_frames(flight, text):
    change, count = re.search(FRAMES, text).groups()
    by = int(count) if change == "add" else -int(count)
    return flight.longer(by)


def in_place(flight, text):
    number, unit, way = re.search(LAND, text).groups()
    return flight.landed(metres(number, unit) * (1.0 if way == "further" else -1.0))


def in_height(flight, text):
    rise = metres(*re.search(RISE, text).groups())
    instead = metres(*re.search(r"instead of ([\d.]+) (m|cm)", text).groups())
    return flight.raised(rise - instead)


@pytest.mark.parametrize("fps", [24.0, 30.0])
@pytest.mark.parametrize("share", [-0.35, 0.5])
def test_what_travels_right_is_cured_by_its_height_which_comes_first(fps, share):
    flight = wrong(fps, round(share * PLAN.air_s * fps), travels=True)
    (finding,) = flight.findings()
    text = finding.suggestion.text
    assert (finding.check, finding.also) == ("gravity", ())
    assert text.startswith("Let it rise ")
    assert not in_height(flight, text).findings()


@pytest.mark.parametrize("fps", [24.0, 30.0])
@pytest.mark.parametrize("share", [-0.35, 0.5])
def test_in_other_frames_it_must_land_elsewhere_and_the_advice_says_where(fps, share):
    flight = wrong(fps, round(share * PLAN.air_s * fps), travels=True)
    text = flight.findings()[0].suggestion.text
    assert [each.check for each in in_frames(flight, text).findings()] == ["carry"]
    assert not in_place(in_frames(flight, text), text).findings()


@pytest.mark.parametrize("fps", [24.0, 30.0])
@pytest.mark.parametrize("share", [-0.35, 0.5])
def test_what_travels_wrongly_by_its_time_as_well_is_told_its_frames_alone(fps, share):
    flight = wrong(fps, round(share * PLAN.air_s * fps), travels=False)
    (finding,) = flight.findings()
    text = finding.suggestion.text
    assert "carry" in [check for check, _ in finding.also]
    assert "rise" not in text.split(":")[1]
    assert "land" not in text
    assert not in_frames(flight, text).findings()


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_on_the_spot_frames_come_first_and_either_way_is_clean(fps):
    still = replace(PLAN, travel_m=(0.0, 0.0))
    flight = Flight(leap(fps=fps, plan=still), round(PLAN.times[2] * fps), 0)
    flight.lands = flight.leaves + round(PLAN.air_s * fps)
    flight = flight.longer(round(0.6 * PLAN.air_s * fps))
    (finding,) = flight.findings()
    assert re.search(r": take out \d+, or let it rise [\d.]+ cm\.$", finding.suggestion.text)
    assert not in_frames(flight, finding.suggestion.text).findings()


def test_a_rise_that_takes_less_than_a_frame_is_not_told_in_frames():
    """A figure of a centimetre that rises by .4 mm: that takes .02 s."""
    clip = hop(shape=lambda u: 0.06 * 4.0 * u * (1.0 - u))
    small = replace(clip, meta=replace(clip.meta, height_m=0.01))
    shot = check_clip(small, replace(ASKED, checks=("gravity",)))
    (finding,) = shot.findings
    assert "under 0.01 times as fast as gravity has it" in finding.says
    assert re.fullmatch(
        r"Give it less than its \d+ frames in the air, or declare what bears it\.",
        finding.suggestion.text,
    )
