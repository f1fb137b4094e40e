# SPDX-License-Identifier: GPL-3.0-or-later
"""Ground, plants and flights on motion whose contacts are known."""

import numpy as np
import pytest
from stepping import stepping
from walker import Walk, box, hop, moved, turned, walk, with_supports

from analysis import Settings
from analysis import quaternions as quat
from analysis.basis import build_basis
from analysis.basis.ground import FLOOR


def basis(clip, **settings):
    return build_basis(clip, Settings(cycle="no", **settings))


def spans(found, side):
    return [(plant.first, plant.last) for plant in found.plants if plant.side == side]


@pytest.mark.parametrize(("fps", "frames"), [(24.0, 72), (30.0, 90), (60.0, 180)])
@pytest.mark.parametrize("in_place", [False, True])
def test_plants_are_where_the_feet_stand(fps, frames, in_place):
    plan = Walk(fps=fps, frames=frames, in_place=in_place)
    found = basis(walk(plan))
    near = max(round(0.1 * fps), 1)  # low and slow begins a little before it stands
    for side in ("L", "R"):
        for first, last in plan.plants(side):
            matches = [
                (a, b)
                for a, b in spans(found, side)
                if abs(a - first) <= near and abs(b - last) <= near
            ]
            assert len(matches) == 1, (side, first, last, spans(found, side))
    assert not found.flights


@pytest.mark.parametrize("speed", [0.9, 1.4])
@pytest.mark.parametrize("degrees", [0.0, 137.0])
def test_a_walk_in_place_tells_its_ground_s_speed(speed, degrees):
    plan = Walk(speed=speed, in_place=True)
    found = basis(turned(walk(plan), degrees))
    assert found.ground.moves
    # The body faces -Y and the ground goes the other way.
    angle = np.radians(degrees)
    expected = speed * np.array([-np.sin(angle), np.cos(angle), 0.0])
    assert np.allclose(found.ground.velocity, expected, atol=0.01 * speed)
    assert not basis(walk(Walk(speed=speed))).ground.moves


def test_a_figure_that_is_carried_does_not_walk_in_place():
    """A statue on a cart: its soles go one way, and its body with them."""
    clip = hop(distance=0.0)
    count = len(clip.frames)
    still = type(clip)(**{**vars(clip), "positions": clip.positions[[0] * count]})
    carried = moved(still, np.outer(np.arange(count), [0.0, -0.03, 0.0]))
    assert not basis(carried).ground.moves


def test_a_stated_ground_velocity_is_taken():
    clip = walk(Walk(speed=1.0, in_place=True))
    told = np.tile([0.0, 0.5, 0.0], (len(clip.frames), 1))
    found = basis(type(clip)(**{**vars(clip), "ground_velocity": told}))
    assert np.array_equal(found.ground.velocity, told)
    assert found.ground.shift[-1] == pytest.approx([0.0, 0.5 * 71 / 24, 0.0])


@pytest.mark.parametrize("height", [-3.0, 0.0, 1.25])
def test_the_floor_is_where_the_soles_stand(height):
    clip = walk()
    raised = moved(clip, np.tile([0.0, 0.0, height], (len(clip.frames), 1)))
    assert basis(raised).ground.floor_z == pytest.approx(height, abs=2e-3)


def test_feet_in_the_air_of_a_handstand_are_on_no_floor():
    """Upside down throughout, on the head: the lowest points say where the floor is."""
    clip = hop(air_s=0.5).cut(1, 12)
    half_turn = np.broadcast_to([0.0, 1.0, 0.0, 0.0], clip.rotations.shape)
    found = basis(
        type(clip)(
            **{
                **vars(clip),
                "positions": quat.rotate(half_turn, clip.positions),
                "rotations": quat.multiply(half_turn, clip.rotations),
            }
        )
    )
    crown = -1.78 + 0.09  # the figure's height, less its crouch
    assert found.ground.floor_z == pytest.approx(crown, abs=0.1)
    assert not found.plants


@pytest.mark.parametrize(("fps", "air_s"), [(24.0, 0.5), (30.0, 0.4), (60.0, 0.6)])
def test_a_hop_is_one_flight(fps, air_s):
    found = basis(hop(fps=fps, air_s=air_s))
    (flight,) = found.flights
    in_the_air = round(air_s * fps) - 1
    # At 60 fps the first and last frames are under 6 cm still.
    assert in_the_air - 2 * round(fps / 30) <= flight.samples <= in_the_air
    assert flight.whole
    assert not flight.held


def test_a_flight_that_the_range_cuts_is_not_whole():
    clip = hop()
    (flight,) = basis(clip.cut(clip.frames[18], clip.frames[-1])).flights
    assert not flight.whole


def test_nothing_flies_that_floats_where_it_stands():
    """Soles that hang 8 cm over the floor, but still, stand (captured soles float)."""
    clip = hop(air_s=0.5)
    place = np.array(clip.positions)
    low = slice(0, 14)
    place[low] += [0.0, 0.0, 0.08]
    floating = type(clip)(**{**vars(clip), "positions": place})
    given = type(clip)(**{**vars(floating), "meta": _floor(clip.meta, 0.0)})
    assert all(flight.first >= 13 for flight in basis(given).flights)


def _floor(meta, z):
    return type(meta)(**{**vars(meta), "floor_z": z})


def test_a_figure_that_hangs_in_the_air_is_held():
    clip = hop(air_s=1.0, shape=lambda u: 0.4 * np.minimum(1.0, 8 * np.minimum(u, 1 - u)))
    (flight,) = basis(clip).flights
    assert flight.held


def test_a_crate_bears_who_stands_on_it():
    """Landing on a crate without knowing of it reads as a flight that never ends."""
    clip = hop(rise=0.4, air_s=0.6, distance=0.9, after=30)
    count = len(clip.frames)
    crate = box((-0.5, -1.4, 0.0), (0.5, -0.5, 0.4), count)
    given = type(clip)(**{**vars(clip), "meta": _floor(clip.meta, 0.0)})
    blind = basis(given)
    assert max(flight.last for flight in blind.flights) == count - 1
    seen = basis(with_supports(given, crate))
    (flight,) = seen.flights
    assert flight.whole
    assert 14 <= flight.first < flight.last <= 14 + 14
    boxes = {plant.box for plant in seen.plants}
    assert boxes == {FLOOR, 0}
    assert seen.ground.name(0) == "support 1"


def test_the_floor_is_found_beside_a_crate():
    clip = hop(rise=0.4, air_s=0.6, distance=0.9, after=60)
    crate = box((-0.5, -1.4, 0.0), (0.5, -0.5, 0.4), len(clip.frames))
    assert basis(with_supports(clip, crate)).ground.floor_z == pytest.approx(0.0, abs=2e-3)


def test_legs_are_judged_leniently_where_they_meet_a_crate_as_well():
    """The feet come down on a crate as they do on the floor, whether or not it rises."""
    clip = hop(rise=0.4, air_s=0.6, distance=0.9, after=30)
    crate = box((-0.5, -1.4, 0.0), (0.5, -0.5, 0.4), len(clip.frames))
    lands = 14 + round(0.6 * 24) - 1
    shin = basis(clip).body("shin.L")
    assert np.all(np.isfinite(basis(clip).leg_lenience[lands - 1 : lands + 2, shin]))
    assert np.all(
        np.isinf(basis(with_supports(clip, crate)).leg_lenience[lands - 1 : lands + 2, shin])
    )


@pytest.mark.parametrize("fps", [24.0, 30.0])
@pytest.mark.parametrize("sunk_m", [0.02, 0.05])
def test_a_foot_that_sinks_once_lands_and_leaves_as_before_at_other_times(fps, sunk_m):
    plain = basis(stepping(fps=fps, floor_z=0.0))
    sunk = basis(stepping(fps=fps, floor_z=0.0, sunk=[("R", 2, sunk_m)]))
    shin = plain.body("shin.R")
    edges = [end for at in spans(plain, "R") for end in at if 0 < end < len(plain.frames) - 1]
    assert len(edges) >= 7
    differs = np.abs(sunk.positions - plain.positions).max(axis=(1, 2)) > 0.0
    for edge in [each for each in edges if not differs[each]]:
        assert np.isinf(plain.leg_lenience[edge : edge + 2, shin]).all()
        assert np.isinf(sunk.leg_lenience[edge : edge + 2, shin]).all()


def test_stated_ground_goes_along_and_lifts_nobody():
    clip = walk(Walk(speed=1.0, in_place=True))
    told = np.tile([0.0, 1.0, 0.7], (len(clip.frames), 1))
    sloped = basis(type(clip)(**{**vars(clip), "ground_velocity": told}))
    level = basis(type(clip)(**{**vars(clip), "ground_velocity": told * [1, 1, 0]}))
    assert sloped.plants == level.plants
