# SPDX-License-Identifier: GPL-3.0-or-later
"""What `push` advises is enough: who does as it says has no push left."""

import re
from dataclasses import replace

import numpy as np
import pytest
from figures import steered
from left_over import bump, left_over
from walker import hop

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.checks.push_advice import on_ground
from analysis.flight_ends import flight_ends
from analysis.shoves import Shove

ASK = Settings(cycle="no", checks=("push",))
GRAVITY = 9.80665


def eased(u):
    """From 0 to 1 as keys on a curve go: a cubic that starts and ends at rest."""
    u = np.clip(u, 0.0, 1.0)
    return u * u * (3.0 - 2.0 * u)


def moving(first, last, way, *, fps=24.0):
    """A figure on both feet whose body goes by way (3,) between two keyed frames."""
    count = round(4.0 * fps)
    done = eased((np.arange(1, count + 1) - first) / (last - first))
    return steered(frames=count, fps=fps, root_shift=np.outer(done, way))


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("way", [(0.12, 0.0, 0.0), (-0.14, 0.0, 0.0), (0.0, -0.1, 0.0)])
@pytest.mark.parametrize("seconds", [0.13, 0.17])
def test_a_move_spread_over_the_frames_that_it_names_is_no_push(fps, way, seconds):
    first = round(1.6 * fps)
    clip = moving(first, first + round(seconds * fps), way, fps=fps)
    (found,) = check_clip(clip, ASK).findings
    told = re.search(r"spread this change over frames (\d+) to (\d+),", found.suggestion.text)
    begins, ends = int(told[1]), int(told[2])
    assert abs(begins - first) <= 2.0 * fps / 24.0
    assert ends - begins > round(seconds * fps)
    assert ends - begins < 0.9 * fps
    assert not check_clip(moving(begins, ends, way, fps=fps), ASK).findings


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_a_way_down_with_the_frames_that_it_asks_for_is_no_push(fps):
    """30 cm down in a sixth of a second: a fall takes .25 s."""

    def down(frames):
        first = round(1.5 * fps)
        return moving(first, first + frames, (0.0, 0.0, -0.3), fps=fps)

    short = round(fps / 6.0)
    (found,) = check_clip(down(short), ASK).findings
    assert "pushed down" in found.says
    assert "faster than it can fall" in found.suggestion.text
    told = re.search(r"take (\d+) frames, in place of (\d+), from", found.suggestion.text)
    needs, has = int(told[1]), int(told[2])
    assert needs / fps > np.sqrt(2.0 * 0.3 / GRAVITY)
    assert not check_clip(down(short * needs // has), ASK).findings


def advice_at(basis, at, force, *, pressed):
    """What is advised against a push of force (3,) at a sample, of feet that press so much."""
    count = len(basis.frames)
    forces = left_over(np.outer(bump(1.0, at, count), force), pressed=pressed)
    shove = Shove(at - 1, at + 1, at, np.asarray(force), 0.5, 0.16)
    return on_ground(basis, forces, flight_ends(basis), shove)


@pytest.fixture(scope="module")
def hops():
    """A hop of 60 cm ahead."""
    return build_basis(hop(), Settings(cycle="no"))


def test_a_landing_that_stops_too_soon_needs_its_feet_further_on(hops):
    """A force F at 1 m over feet that press with P comes from where these stand where they are
    F / P further on, by the lever's law."""
    lands = hops.flights[0].last + 4
    back = -0.9 * hops.forward[lands]
    text = advice_at(hops, lands, back, pressed=2.0)
    assert "land 45.0 cm further forwards" in text
    assert f"let it stop over frames {hops.frames[hops.flights[0].last + 1]:.0f} to " in text


def test_a_push_off_that_is_too_strong_needs_a_lean(hops):
    leaves = hops.flights[0].first - 3
    text = advice_at(hops, leaves, 0.8 * hops.forward[leaves], pressed=2.0)
    assert "lean 40.0 cm further forwards as it leaves" in text


def test_no_foot_is_set_further_off_than_a_step(hops):
    lands = hops.flights[0].last + 4
    assert "further" not in advice_at(hops, lands, -1.9 * hops.forward[lands], pressed=2.2)


@pytest.mark.parametrize(("ahead", "word"), [(0.12, "forwards"), (-0.12, "backwards")])
def test_backwards_is_a_way_and_no_return(ahead, word):
    clip = moving(40, 44, (0.0, -ahead, 0.0))
    (found,) = check_clip(clip, ASK).findings
    assert f"pushed {word} over" in found.says


def test_a_foot_is_asked_for_on_the_other_side():
    """A body that is pushed ahead, and goes on: what presses has to stand behind it."""
    count = 96
    gone = np.zeros((count, 3))
    gone[:, 1] = -0.7 * np.maximum(np.arange(count) - 48, 0) / 24.0
    clip = steered(frames=count)
    walks = build_basis(replace(clip, positions=clip.positions + gone[:, None]), ASK)
    text = advice_at(walks, 48, 0.3 * walks.forward[48], pressed=1.0)
    assert "let a foot stand 30.0 cm further backwards" in text
