# SPDX-License-Identifier: GPL-3.0-or-later
"""The ruler on the floor: along the travel, beside the feet, with round numbers on it."""

import itertools

import numpy as np
import pytest
from drawn_flights import figure_along
from figures import arrays
from filmed import filmed
from walker import Walk, turned, walk

from analysis import Clip, Settings
from analysis.drawn import ruler_of
from analysis.drawn.ruler import scale_of
from analysis.pipeline import examine

ASK = Settings(cycle="no", checks=("pop",))
WALK = walk(Walk(frames=60))


def of(clip, *, imperial=False, settings=ASK):
    return ruler_of(examine(clip, settings), imperial)


def glided(metres, frames=24, scale=1.0):
    """A stiff figure that goes so far along -Y."""
    way = np.outer(np.linspace(0.0, metres, frames), [0.0, -1.0, 0.0])
    return figure_along(way + [0.0, 0.0, 0.95], 24.0, scale)


@pytest.mark.parametrize("degrees", [0.0, 40.0, -135.0])
def test_it_lies_along_the_travel_beside_the_feet(degrees):
    found = examine(turned(WALK, degrees), ASK)
    ruler, basis = ruler_of(found), found.basis
    angle = np.radians(degrees)
    assert ruler.along == pytest.approx([np.sin(angle), -np.cos(angle), 0.0], abs=0.02)
    assert ruler.along @ ruler.side == pytest.approx(0.0, abs=1e-9)
    assert ruler.start[2] == basis.ground.floor_z
    feet = np.concatenate([each.sole.points.reshape(-1, 3) for each in basis.soles])
    gap = (feet - ruler.start) @ ruler.side
    assert -0.5 < gap.max() < -0.2  # no foot comes near it
    place = ruler.start + np.outer(ruler.lead, ruler.along)
    lead = basis.positions[:, basis.lead]
    np.testing.assert_allclose(place @ ruler.along, lead @ ruler.along, atol=1e-9)
    assert ruler.lead.min() == pytest.approx(0.0)
    assert ruler.lead.max() <= ruler.length


def test_it_lies_on_the_side_of_the_camera():
    assert of(filmed(WALK, eye=(6.0, -1.4, 1.0))).side[0] > 0.9
    assert of(WALK).side[0] < -0.9  # else to the right of who goes along -Y


@pytest.mark.parametrize(
    ("metres", "step", "first"),
    [(0.7, 0.05, "0.1 m"), (1.0, 0.05, "0.5 m"), (3.0, 0.1, "0.5 m"), (3.9, 0.1, "0.5 m")]
    + [(5.0, 0.5, "1 m"), (18.0, 0.5, "5 m"), (30.0, 1.0, "5 m"), (170.0, 5.0, "50 m")],
)
def test_ticks_are_round_and_few_and_so_are_texts(metres, step, first):
    ruler = of(glided(metres))
    assert np.diff(ruler.ticks) == pytest.approx(step)
    assert 5 <= len(ruler.ticks) <= 40
    assert metres <= ruler.length < metres + step + 1e-6
    texts = [text for text in ruler.texts if text]
    assert texts[:2] == ["0", first]
    assert 2 <= len(texts) <= 10
    assert [bool(text) for text in ruler.texts] == ruler.major.tolist()


def test_feet_and_inches_for_who_wants_them():
    short, long = (of(glided(metres), imperial=True) for metres in (0.95, 4.0))
    assert np.diff(short.ticks) == pytest.approx(0.0254)
    assert [text for text in short.texts if text] == ["0", "1 ft", "2 ft", "3 ft"]
    assert np.diff(long.ticks) == pytest.approx(0.1524)
    texts = [(text, tick) for text, tick in zip(long.texts, long.ticks, strict=True) if text]
    assert texts[-1] == ("10 ft", pytest.approx(3.048))


def test_texts_are_those_of_the_story_and_lengths_those_of_the_scene():
    asked = Settings(cycle="no", checks=("pop",), height_m=1.78)
    one, ten = (of(glided(3.0, scale=s), settings=asked) for s in (1.0, 10.0))
    assert one.texts == ten.texts
    np.testing.assert_allclose(ten.ticks, 10.0 * one.ticks)
    unknown = of(glided(3.0, scale=10.0))
    assert [text for text in unknown.texts if text][1] == "5 m"


def test_nothing_that_stays_has_one():
    assert of(glided(0.3)) is None
    assert of(walk(Walk(in_place=True)), settings=Settings(checks=("pop",))) is None
    assert of(Clip(**arrays())) is None


def test_a_plain_object_has_one_as_well():
    places = np.zeros((24, 1, 3))
    places[:, 0, 1] = np.linspace(0.0, 3.0, 24)
    turns = np.tile([1.0, 0.0, 0.0, 0.0], (24, 1, 1))
    given = {"frames": np.arange(24), "joints": ["ball"], "parents": [-1]}
    ruler = of(Clip(**arrays(**given, positions=places, rotations=turns)))
    assert ruler.along == pytest.approx([0.0, 1.0, 0.0])
    assert ruler.lead[-1] == pytest.approx(3.0)


def test_who_goes_to_and_fro_is_measured_along_his_way():
    there = np.linspace(0.0, 2.0, 24)
    way = np.outer(np.concatenate((there, there[::-1])), [1.0, 0.0, 0.0])
    ruler = of(figure_along(way + [0.0, 0.0, 0.95], 24.0))
    assert ruler.along == pytest.approx([1.0, 0.0, 0.0], abs=1e-6)
    assert ruler.lead[[0, 23, -1]] == pytest.approx([0.0, 2.0, 0.0], abs=1e-6)


def test_frames_in_a_gap_are_left_out():
    valid = np.ones(WALK.positions.shape[:2], dtype=bool)
    valid[10:13, WALK.joint("root")] = False
    ruler = of(Clip(**{**vars(WALK), "valid": valid}))
    assert len(ruler.lead) == len(ruler.frames) == len(WALK.frames) - 3
    assert not set(ruler.frames) & {11.0, 12.0, 13.0}


def test_every_length_has_a_scale():
    """No travel, from a mite's to a ship's, is without 5 to 40 ticks."""
    powers, imperial = np.linspace(-3.0, 4.0, 200), (False, True)
    for power, feet in itertools.product(powers, imperial):
        count = 10.0**power / scale_of(10.0**power, imperial=feet).step
        assert count <= 39.0
        assert count >= 4.0 or (feet and 10.0**power < 0.02)  # no finer than eighths of an inch
