# SPDX-License-Identifier: GPL-3.0-or-later
"""Heavy things in the hands: their mass moves the centre of mass while they are held."""

import warnings
from dataclasses import replace

import numpy as np
import pytest
from blades import BASE, TIP, swinging
from figures import NAMES
from test_props_hostile import CLIPS
from walker import hop

from analysis import Prop, Settings, check_clip
from analysis.basis import build_basis
from analysis.basis.loads import (
    BODY_MASS_INDEX,
    body_mass_kg,
    find_loads,
    rods_with_loads,
    uncounted,
)
from analysis.basis.mass import mass_known, segment_rods
from analysis.free_fall import fit_fall
from analysis.smoothing import smooth
from analysis.turning_moment import turning_moment
from tests.quality.figure import add_joint

SETTINGS = Settings(cycle="no")
HAND = NAMES.index("hand.R")
HEAVY_KG = 8.0
# WHO 2000, Technical Report Series 894: normal is 18.5 to 24.9 kg/m2 (from memory).
BODY_KG = 21.7 * 1.78**2


def weighing(clip, mass_kg=HEAVY_KG):
    props = tuple(replace(prop, mass_kg=mass_kg) for prop in clip.meta.props)
    return replace(clip, meta=replace(clip.meta, props=props))


def moved_prop(clip, way):
    """The clip with its last joint, the prop, moved by a way (T,3)."""
    place = np.array(clip.positions)
    place[:, -1] += way
    return replace(clip, positions=place)


def sword_middle(clip):
    """(T,3) by hand: halfway from base to tip along the sword's own Y."""
    w, x, y, z = np.moveaxis(clip.rotations[:, -1], -1, 0)
    ahead = np.stack((2 * (x * y - w * z), 1 - 2 * (x**2 + z**2), 2 * (y * z + w * x)), axis=-1)
    return clip.positions[:, -1] + 0.5 * (BASE + TIP) * ahead


def test_the_centre_of_mass_is_that_of_both():
    clip = swinging()
    bare, held = (build_basis(each, SETTINGS).com for each in (clip, weighing(clip)))
    expected = (BODY_KG * bare + HEAVY_KG * sword_middle(clip)) / (BODY_KG + HEAVY_KG)
    np.testing.assert_allclose(held, expected, atol=1e-9)
    assert np.abs(held - bare).max() > 0.05


def test_two_are_counted_once_each():
    clip = swinging()
    (sword,) = clip.meta.props
    other = add_joint(
        clip,
        "mace",
        parent="hand.L",
        place=clip.positions[:, NAMES.index("hand.L")],
        turn=clip.rotations[:, NAMES.index("hand.L")],
        length=0.4,
        points={"mace base": (0.0, 0.0, 0.0), "mace tip": (0.0, 0.4, 0.0)},
    )
    mace = Prop(name="mace", joint="mace", held_by="hand.L", mass_kg=5.0)
    props = (replace(sword, mass_kg=3.0), mace)
    both = build_basis(replace(other, meta=replace(other.meta, props=props)), SETTINGS)
    bare = build_basis(clip, SETTINGS).com
    paths = [load.path for load in find_loads(both)]
    expected = (BODY_KG * bare + 3.0 * paths[0] + 5.0 * paths[1]) / (BODY_KG + 8.0)
    np.testing.assert_allclose(both.com, expected, atol=1e-9)


def test_a_body_weighs_what_its_height_in_the_story_says():
    assert pytest.approx(21.7) == BODY_MASS_INDEX
    assert body_mass_kg(1.7) == pytest.approx(62.7, abs=0.05)
    for height in (1.2, 2.2):  # the same from both sides
        low, high = (body_mass_kg(height * factor) for factor in (1 - 1e-9, 1 + 1e-9))
        assert low == pytest.approx(high)
    # Ten times as tall and of the same shape: a thousand times the mass.
    assert body_mass_kg(22.0) == pytest.approx(1000.0 * body_mass_kg(2.2))
    assert body_mass_kg(0.12) == pytest.approx(0.001 * body_mass_kg(1.2))


def test_sizes_in_the_scene_do_not_count_but_the_story_s():
    told = replace(SETTINGS, height_m=1.78)
    plain = build_basis(weighing(swinging()), told).com
    large = build_basis(weighing(swinging(scale=10.0)), told).com
    np.testing.assert_allclose(large, 10.0 * plain, atol=1e-8)


def test_a_hop_with_a_hammer_that_swings_in_the_air_falls_as_both_do():
    """By construction: the centre of body and hammer flies freely, so that of the body does not."""
    clip = hop(fps=48.0, air_s=0.6, tuck=0.0)
    bare = build_basis(clip, SETTINGS)
    (flight,) = bare.flights
    time = np.arange(len(clip.frames)) / 48.0
    swing = 0.12 * np.stack((0 * time, np.cos(9.0 * time), np.sin(9.0 * time)), axis=-1)
    out = clip.positions[:, HAND] - bare.com + swing
    share = HEAVY_KG / (BODY_KG + HEAVY_KG)
    free = clip.positions - share * out[:, None]
    turn = np.tile([1.0, 0.0, 0.0, 0.0], (len(time), 1))
    points = {"hammer base": (0.0, -0.2, 0.0), "hammer tip": (0.0, 0.2, 0.0)}
    made = add_joint(
        replace(clip, positions=free),
        "hammer",
        parent="hand.R",
        place=bare.com - share * out + out,
        turn=turn,
        length=0.4,
        points=points,
    )
    prop = Prop(name="hammer", joint="hammer", held_by="hand.R", mass_kg=HEAVY_KG)
    both = build_basis(replace(made, meta=replace(made.meta, props=(prop,))), SETTINGS).com
    alone = build_basis(made, SETTINGS).com
    air = slice(flight.first, flight.last + 1)
    assert fit_fall(both[air], 1 / 48.0).down == pytest.approx(9.80665, rel=1e-6)
    assert fit_fall(alone[air], 1 / 48.0).down != pytest.approx(9.80665, rel=0.01)


def thrown(frames, at):
    """(T,3) it flies off ahead from a sample on."""
    time = np.maximum(np.arange(frames) - at, 0.0) / 24.0
    return np.stack((0 * time, -6.0 * time, 0 * time), axis=-1)


def laid_down(clip, at, pace=0.0):
    """It stands on its tip on the floor from a sample on, while the hand stays on it, or is
    dragged over it at a pace in metres a second."""
    numbers = np.arange(len(clip.frames))[:, None]
    low = np.array([-0.2, -0.1, TIP]) - clip.positions[:, -1]
    drag = pace * (numbers - at) / 24.0 * np.array([1.0, 0.0, 0.0])
    way = np.where(numbers >= at, low + drag, 0.0)
    turn = np.array(clip.rotations)
    turn[at:, -1] = [np.sqrt(0.5), -np.sqrt(0.5), 0.0, 0.0]  # its Y points down
    return replace(moved_prop(clip, way), rotations=turn)


def test_what_leaves_the_hand_counts_until_then():
    clip = weighing(swinging())
    away = moved_prop(clip, thrown(len(clip.frames), 30))
    basis, bare = build_basis(away, SETTINGS), build_basis(swinging(), SETTINGS)
    gone = 32  # half a metre ahead; 17 cm the sample before
    both = (BODY_KG * bare.com + HEAVY_KG * sword_middle(away)) / (BODY_KG + HEAVY_KG)
    np.testing.assert_allclose(basis.com[:gone], both[:gone], atol=1e-9)
    np.testing.assert_allclose(basis.com[gone:], bare.com[gone:], atol=1e-9)
    unsure = ~mass_known(basis)
    assert list(np.flatnonzero(unsure)) == [gone - 1, gone]
    shot = check_clip(away, SETTINGS)
    assert "What is held weighs on the figure: 'sword' (8 kg) on frames 1 to 32." in shot.style
    assert shot.notices == ()
    assert shot.measures["held_mass_kg"] == HEAVY_KG
    assert not any(finding.point == "centre of mass" for finding in shot.findings)


def test_speed_and_force_do_not_jump_as_it_is_let_go():
    """Of body and sword by themselves, weighed: by hand."""
    clip = weighing(swinging())
    away = moved_prop(clip, thrown(len(clip.frames), 30))
    basis, bare = build_basis(away, SETTINGS), build_basis(swinging(), SETTINGS)
    for n, (found, body) in enumerate(
        (
            (basis.com_velocity, bare.com_velocity),
            (basis.com_acceleration, bare.com_acceleration),
        ),
        start=1,
    ):
        sword = smooth(sword_middle(away), 1 / 24.0, window_s=0.2, derivative=n)
        both = (BODY_KG * body + HEAVY_KG * sword) / (BODY_KG + HEAVY_KG)
        np.testing.assert_allclose(found[:32], both[:32], atol=1e-8)
        np.testing.assert_allclose(found[32:], body[32:], atol=1e-8)
        jumping = smooth(basis.com, 1 / 24.0, window_s=0.2, derivative=n)
        assert np.abs(jumping[30:34, 2]).max() > 0.2  # it hangs below the middle
        assert np.abs(found[30:34, 2]).max() < 1e-9  # and nobody moves up or down


def test_what_is_never_in_the_hand_is_told():
    clip = weighing(swinging())
    far = moved_prop(clip, np.tile([3.0, 0.0, 0.0], (len(clip.frames), 1)))
    (told,) = check_clip(far, SETTINGS).notices
    assert told == (
        "'sword' (8 kg) is never in the hand, expected to be held on some frame: its mass is not "
        "counted; hang it on the hand that holds it."
    )
    np.testing.assert_allclose(
        build_basis(far, SETTINGS).com, build_basis(swinging(), SETTINGS).com, atol=1e-12
    )


def test_what_stands_on_the_floor_does_not_count():
    clip = weighing(swinging(begins=(9.0,)))
    down = laid_down(clip, 20)
    (load,) = find_loads(build_basis(down, SETTINGS))
    assert load.held[:20].all()
    assert not load.held[22:].any()


def test_what_is_dragged_over_the_floor_is_held():
    clip = weighing(swinging(begins=(9.0,)))
    (load,) = find_loads(build_basis(laid_down(clip, 20, pace=0.1), SETTINGS))
    assert load.throughout


@pytest.mark.parametrize("off_cm", [1.0, 12.0])
def test_a_grip_that_slides_holds(off_cm):
    clip = weighing(swinging())
    time = np.arange(len(clip.frames)) / 24.0
    slid = 0.01 * off_cm * np.sin(3.0 * time)[:, None] * np.array([1.0, 0.0, 0.0])
    (load,) = find_loads(build_basis(moved_prop(clip, slid), SETTINGS))
    assert load.throughout


def test_nothing_counts_whose_mass_is_not_told_or_that_nobody_holds():
    clip = swinging()
    assert find_loads(build_basis(clip, SETTINGS)) == ()
    loose = replace(clip, parents=[*clip.parents[:-1], -1])
    (prop,) = loose.meta.props
    prop = replace(prop, held_by=None, mass_kg=HEAVY_KG)
    alone = replace(loose, meta=replace(loose.meta, props=(prop,)))
    assert find_loads(build_basis(alone, SETTINGS)) == ()


def test_of_unknown_size_no_mass_counts_and_it_says_so():
    clip = weighing(swinging(scale=10.0))
    basis = build_basis(clip, SETTINGS)
    np.testing.assert_allclose(
        basis.com, build_basis(swinging(scale=10.0), SETTINGS).com, atol=1e-12
    )
    (told,) = uncounted(basis)
    assert told.startswith("The mass of 'sword' is not counted: the figure is 17.80 m tall")
    assert told.endswith("--height).")
    assert "held_mass_kg" not in check_clip(clip, SETTINGS).measures


def test_measures_say_what_both_weigh():
    measures = check_clip(weighing(swinging()), SETTINGS).measures
    assert measures["held_mass_kg"] == HEAVY_KG
    assert measures["body_mass_kg"] == pytest.approx(BODY_KG)
    assert "body_mass_kg" not in check_clip(swinging(), SETTINGS).measures


def test_a_heavy_prop_in_a_gap_is_no_centre_of_mass():
    clip = swinging()
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[10:14, -1] = False
    gap = replace(clip, valid=valid)
    assert mass_known(build_basis(gap, SETTINGS)).all()
    known = mass_known(build_basis(weighing(gap), SETTINGS))
    assert not known[10:14].any()
    assert known[:10].all()
    assert known[14:].all()
    assert mass_known(build_basis(weighing(gap, 0.5), SETTINGS)).all()


@pytest.mark.parametrize("name", CLIPS)
@pytest.mark.parametrize("mass_kg", [1e-6, 8.0, 1e9])
def test_an_answer_whatever_lacks(name, mass_kg):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        basis = build_basis(weighing(CLIPS[name], mass_kg), Settings())
        com = basis.com
        uncounted(basis)
    assert com is None or np.isfinite(com).all()


@pytest.mark.parametrize(("mass_kg", "falls"), [(None, False), (1.0, False), (50.0, True)])
def test_a_heavy_thing_held_out_ahead_tips_the_figure_over(mass_kg, falls):
    """Statics: 50 kg half a metre ahead of 69 kg that stand over their ankles are 21 cm ahead."""
    held_out = swinging(degrees=90.0, seconds=3.0, lag_s=0.0).cut(40, 73)
    shot = check_clip(weighing(held_out, mass_kg), replace(SETTINGS, checks=("balance",)))
    assert [finding.check for finding in shot.findings] == ["balance"] * falls


def test_what_is_swung_turns_the_figure():
    """By hand, of a body that stands still: the reduced mass times (d x a), d from its centre of
    mass to the hammer's, a how the hammer is pulled; in body weights, those of both."""
    fps, frames = 60.0, 60
    clip = swinging(fps=fps, seconds=(frames - 1) / fps, begins=(9.0,))
    time = np.arange(frames) / fps
    way = 0.08 * np.stack((np.sin(9.0 * time), np.cos(9.0 * time), 0 * time), axis=-1)
    basis = build_basis(weighing(moved_prop(clip, way)), SETTINGS)
    bare = build_basis(clip, SETTINGS).com
    pulled = smooth(sword_middle(clip) + way, 1 / fps, window_s=0.2, derivative=2)
    share = HEAVY_KG / (BODY_KG + HEAVY_KG)
    by_hand = share * (1.0 - share) * np.cross(sword_middle(clip) + way - bare, pulled) / 9.80665
    np.testing.assert_allclose(turning_moment(basis), by_hand, atol=1e-9)
    assert np.abs(by_hand).max() > 0.02


def test_rods_weigh_what_body_and_loads_do():
    away = weighing(moved_prop(swinging(), thrown(49, 30)))
    basis = build_basis(away, SETTINGS)
    share, at, ends = rods_with_loads(basis, *segment_rods(basis))
    np.testing.assert_allclose(share.sum(axis=1), 1.0)
    middle = ends[:, 0] + at[:, None, None] * (ends[:, 1] - ends[:, 0])
    np.testing.assert_allclose(np.einsum("ts,stj->tj", share, middle), basis.com, atol=1e-9)
