# SPDX-License-Identifier: GPL-3.0-or-later
"""Segment masses against published tables, and the centre of mass where it can be worked out."""

import numpy as np
import pytest
from center_of_mass import kinematic
from figures import NAMES, figure, pose, to_clip
from walker import hop, walk

from analysis import Settings
from analysis.basis import build_basis
from analysis.basis.mass import DE_LEVA, DUMAS, WINTER

# Winter 2009, 4th ed., Table 4.1: mass of a segment over the mass of the body, and its centre
# from the proximal end over the segment's length.
WINTER_4_1 = {
    "foot": (0.0145, 0.50),
    "shin": (0.0465, 0.433),
    "thigh": (0.100, 0.433),
    "upper_arm": (0.028, 0.436),
    "forearm": (0.016, 0.430),
    "hand": (0.006, 0.506),
    "head": (0.081, None),
    "trunk": (0.497, 0.50),
}
# de Leva 1996, J Biomech 29:1223-1230, Table 4, men.
DE_LEVA_4 = {
    "foot": (0.0137, 0.4415),
    "shin": (0.0433, 0.4395),
    "thigh": (0.1416, 0.4095),
    "upper_arm": (0.0271, 0.5772),
    "forearm": (0.0162, 0.4574),
    "hand": (0.0061, None),
    "head": (0.0694, None),
    "trunk": (0.4346, 1.0 - 0.4310),
}
# Dumas & Wojtusch 2018, Tables 1 to 10, men; the torso's mass of Dumas et al. 2007, Table 2.
DUMAS_2018 = {
    "foot": (0.012, None),
    "shin": (0.048, 0.410),
    "thigh": (0.123, 0.429),
    "upper_arm": (0.024, 0.482),
    "forearm": (0.017, 0.417),
    "hand": (0.006, 0.839),
    "head": (0.067, 0.534),
    "trunk": (0.333 + 0.142, None),
}
PUBLISHED = [(WINTER, WINTER_4_1), (DE_LEVA, DE_LEVA_4), (DUMAS, DUMAS_2018)]
PAIRED = ("foot", "shin", "thigh", "upper_arm", "forearm", "hand")
# What PyPI's center-of-mass 1.0.1, which carries them, calls these.
THEIRS = {
    "foot": "Foot",
    "shin": "Shank",
    "thigh": "Thigh",
    "upper_arm": "UpperArm",
    "forearm": "Forearm",
    "hand": "Hand",
    "head": "Head",
}


@pytest.mark.parametrize(("table", "published"), PUBLISHED)
def test_tables_are_as_published(table, published):
    assert set(table) == set(published)
    for name, (mass, at) in published.items():
        assert table[name].mass == pytest.approx(mass)
        if at is not None:
            assert table[name].at == pytest.approx(at)
    # Dumas & Wojtusch print thousandths, which add up to 1.002.
    whole = sum(segment.mass * (2 if name in PAIRED else 1) for name, segment in table.items())
    assert whole == pytest.approx(1.0, abs=2.5e-3 if table is DUMAS else 2e-4)


@pytest.mark.parametrize("table", [WINTER, DE_LEVA])
def test_tables_agree_with_a_third_one(table):
    """Anthropometric tables differ by a few per cent of the body's mass, not by more."""
    for name, theirs in THEIRS.items():
        assert table[name].mass == pytest.approx(kinematic.Mass_fraction[theirs]["male"], abs=0.025)
    for name in ("shin", "thigh", "forearm"):
        along = -kinematic.Length_percent[THEIRS[name]]["male"][1] / 100.0
        assert table[name].at == pytest.approx(along, abs=0.05)
    trunk = sum(kinematic.Mass_fraction[part]["male"] for part in ("Torso", "Pelvis"))
    assert table["trunk"].mass == pytest.approx(trunk, abs=0.045)


def test_the_third_one_is_that_of_its_package():
    for name, theirs in THEIRS.items():
        assert DUMAS[name].mass == kinematic.Mass_fraction[theirs]["male"]
        along = abs(kinematic.Length_percent[theirs]["male"][1]) / 100.0
        if name != "foot":  # whose first axis leads along it
            assert DUMAS[name].at == pytest.approx(along)
    assert DUMAS["foot"].at == kinematic.Length_percent["Foot"]["male"][0] / 100.0
    trunk = sum(kinematic.Mass_fraction[part]["male"] for part in ("Torso", "Pelvis"))
    assert DUMAS["trunk"].mass == pytest.approx(trunk)


# Heights in metres of the figure at rest (see `figures.SKELETON`): near and far end of each
# segment, by hand.
STANDS = {
    "trunk": (0.95, 1.45),
    "upper_arm": (1.45, 1.15),
    "forearm": (1.15, 0.89),
    "hand": (0.89, 0.74),
    "thigh": (0.95, 0.50),
    "shin": (0.50, 0.08),
    "foot": (0.08, 0.0),
    "head": (1.62, 1.78),
}


@pytest.mark.parametrize(
    ("masses", "published", "ends"),
    [
        # Winter: the head's centre is at the ear, a third of the way up.
        ("winter", {**WINTER_4_1, "head": (0.081, 0.35)}, {}),
        # de Leva: from crown to neck, .50; the hand's .79; feet from the heel, on the floor.
        (
            "de_leva",
            {**DE_LEVA_4, "head": (0.0694, 0.5), "hand": (0.0061, 0.79)},
            {"head": (1.52, 1.78), "foot": (0.0, 0.0)},
        ),
        (
            "dumas",
            {**DUMAS_2018, "foot": (0.012, 0.502), "trunk": (0.475, 0.474)},
            {"head": (1.52, 1.78)},
        ),
    ],
)
def test_the_height_of_a_known_pose_by_hand(masses, published, ends):
    stands = {**STANDS, **ends}
    total, whole = 0.0, 0.0
    for name, (mass, at) in published.items():
        near, far = stands[name]
        each = mass * (2 if name in PAIRED else 1)
        total += each * (near + at * (far - near))
        whole += each
    com = build_basis(at_rest(), Settings(masses=masses)).com
    assert com[:, 2] == pytest.approx(np.full(len(com), total / whole), abs=2e-3)


def at_rest():
    turn, place = pose({}, np.tile([0.0, 0.0, 0.95], (8, 1)), 8)
    return to_clip(turn, place, 24.0, 1.0, {})


@pytest.mark.parametrize("masses", ["winter", "de_leva", "dumas"])
def test_upright_it_lies_at_53_to_58_per_cent_of_the_height(masses):
    """Winter 2009: about the sacrum."""
    basis = build_basis(at_rest(), Settings(masses=masses))
    assert 0.53 < basis.com[0, 2] / basis.height.scene_m < 0.585


@pytest.mark.parametrize("masses", ["winter", "de_leva"])
def test_the_centre_of_mass_of_a_standing_figure(masses):
    """In standing it lies at 53 to 58 % of the height (Winter 2009: about the sacrum)."""
    clip = hop()
    basis = build_basis(clip, Settings(masses=masses))
    share = basis.com[0, 2] / basis.height.scene_m
    assert 0.52 < share < 0.59
    assert basis.com[0, 0] == pytest.approx(0.0, abs=1e-9)


def test_a_raised_leg_moves_it_by_its_share():
    """A shift of both hands by 1 m moves it by twice a hand's share; by hand: .012 m."""
    clip = walk()
    place = np.array(clip.positions)
    for side in ("L", "R"):
        place[:, NAMES.index(f"hand.{side}")] += [0.0, 0.0, 1.0]
    changed = type(clip)(**{**vars(clip), "positions": place})
    gap = build_basis(changed, Settings()).com - build_basis(clip, Settings()).com
    # The forearms end at the hands, so their centres rise by .43 m.
    assert gap[:, 2] == pytest.approx(np.full(len(gap), 2 * 0.006 + 2 * 0.016 * 0.43))


def test_without_legs_or_trunk_there_is_none():
    clip = figure()
    for gone in ("thigh.L", "root"):
        roles = {name: (name,) for name in NAMES if name != gone}
        if gone == "root":
            roles = {name: (name,) for name in NAMES if name.startswith(("thigh", "root"))}
        meta = type(clip.meta)(name="part", roles=roles)
        basis = build_basis(type(clip)(**{**vars(clip), "meta": meta}), Settings())
        assert basis.com is None
        assert basis.com_velocity is None


def test_derivatives_of_the_centre_of_mass():
    """In a free hop: constant speed ahead, and gravity down."""
    basis = build_basis(hop(fps=60.0, tuck=0.0), Settings())
    (flight,) = basis.flights
    air = slice(flight.first + 7, flight.last - 6)
    steps = air.stop - air.start
    assert basis.com_velocity[air, 1] == pytest.approx(np.full(steps, -1.2), abs=1e-6)
    down = basis.com_acceleration[air, 2]
    assert down == pytest.approx(np.full(steps, -9.80665), rel=1e-6)
