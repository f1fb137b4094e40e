# SPDX-License-Identifier: GPL-3.0-or-later
"""Signals: known motion gives known curves, at the character's height, with gaps left out."""

import numpy as np
import pytest
from figures import figure, spike

from analysis import Clip, Settings
from analysis.pipeline import examine
from analysis.signals import signals_of
from analysis.trails import COM, TIP, Spot


def told(examination, *titles):
    found = signals_of(examination, [Spot(title) for title in titles])
    return {each.name: each.values for each in found}


def test_a_rise_of_the_root_is_a_height_and_a_speed():
    frames = np.arange(48)
    clip = figure(shift=np.stack((0 * frames, 0 * frames, 0.002 * frames), axis=-1))
    flat, rising = (told(examine(each), "root") for each in (figure(), clip))
    higher = rising["Root height, m"] - flat["Root height, m"]
    # The floor is found from the feet, which rise along: all but that is the root's.
    np.testing.assert_allclose(np.diff(higher), 0.002, atol=1e-9)
    up = rising["Centre of mass speed upwards, m/s"] - flat["Centre of mass speed upwards, m/s"]
    assert np.isnan(up[0])
    np.testing.assert_allclose(up[1:], 0.002 * 24.0, atol=1e-9)


def test_all_lengths_are_those_at_the_characters_height():
    asked = Settings(height_m=1.8)
    one, ten = (told(examine(figure(scale=s), asked), "foot.L", COM) for s in (1.0, 10.0))
    assert one.keys() == ten.keys()
    for name, values in one.items():
        np.testing.assert_allclose(ten[name], values, rtol=1e-6, atol=1e-6, err_msg=name)


def test_what_leaves_its_neighbours_path_says_by_how_much():
    """The head's tip is .16 m from its joint: turned by .5 it is 2 * .16 sin .25 m elsewhere."""
    clip = figure(turns={"head": spike(48, 24, 0.5)})
    (off,) = [
        each.values
        for each in signals_of(examine(clip), [Spot("head", TIP)])
        if each.name == "Head off its neighbours' path, m"
    ]
    assert int(np.argmax(off)) == 24
    assert off[24] == pytest.approx(0.32 * np.sin(0.25), rel=0.02)
    assert np.r_[off[:20], off[29:]].max() < 0.002


def test_a_leg_reaches_what_its_bend_leaves_it():
    """The law of cosines, with the figure's thigh of 45 cm and shin of 42 cm."""
    names = told(examine(figure()), "foot.R", "hand.L")
    bend = np.radians(names["Right knee bend, degrees"])
    reach = np.sqrt(0.45**2 + 0.42**2 + 2 * 0.45 * 0.42 * np.cos(bend)) / 0.87
    np.testing.assert_allclose(names["Right leg reach, % of its length"], 100.0 * reach, rtol=1e-6)
    assert "Left elbow bend, degrees" in names
    assert "Left knee bend, degrees" not in names


def test_gaps_are_not_known_and_what_is_not_followed_is_left_out():
    clip = figure()
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[10:13, clip.joint("hand.L")] = False
    names = told(examine(Clip(**{**vars(clip), "valid": valid})), "hand.L", "tail")
    assert np.flatnonzero(np.isnan(names["Left hand height, m"])).tolist() == [10, 11, 12]
    assert not [name for name in names if "tail" in name.lower()]
