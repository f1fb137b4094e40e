# SPDX-License-Identifier: GPL-3.0-or-later
"""What is no figure: a quadruped, a crane, a prop alone. Points are judged, the rest says why."""

import numpy as np
import pytest
from figures import spike
from skeletons import cat

from analysis import Clip, Meta, Settings, check_clip
from analysis import quaternions as quat
from analysis.basis import build_basis
from analysis.pipeline import examine

FRAMES, FPS = 60, 24.0
POPS = 30


def swaying(names, parents, rest, *, joint, pop_deg, scale=1.0):
    """A rig whose joints all sway a little about the world's X; one turns by `pop_deg` once."""
    time = np.arange(FRAMES) / FPS
    count = len(names)
    turns = np.zeros((FRAMES, count, 4))
    places = np.zeros((FRAMES, count, 3))
    for j in sorted(range(count), key=lambda n: depth(parents, n)):
        angle = 0.1 * np.sin(2.0 * np.pi * time / 1.5 + j)
        angle = angle + np.radians(spike(FRAMES, POPS, pop_deg if names[j] == joint else 0.0))
        own = np.stack((np.cos(angle / 2), np.sin(angle / 2), 0 * angle, 0 * angle), axis=-1)
        parent = parents[j]
        turns[:, j] = own if parent < 0 else quat.multiply(turns[:, parent], own)
        places[:, j] = rest[j]
        if parent >= 0:
            gap = np.broadcast_to(rest[j] - rest[parent], (FRAMES, 3))
            places[:, j] = places[:, parent] + quat.rotate(turns[:, parent], gap)
    return Clip(
        frames=np.arange(FRAMES),
        fps=FPS,
        joints=names,
        parents=parents,
        positions=places * scale,
        rotations=turns,
        rest_positions=rest * scale,
        rest_rotations=np.tile([1.0, 0.0, 0.0, 0.0], (count, 1)),
        meta=Meta(name="rig", cycle=False),
    )


def depth(parents, joint):
    steps = 0
    while parents[joint] >= 0:
        joint, steps = parents[joint], steps + 1
    return steps


CRANE = (
    ["base", "mast", "jib", "end", "hook"],
    [-1, 0, 1, 2, 3],
    np.array([[0, 0, 0], [0, 0, 3], [2, 0, 4], [4, 0, 4], [4, 0, 1.0]]),
)


def quadruped(**changes):
    return swaying(*cat(), joint="spine.006", pop_deg=40.0, **changes)


def crane(**changes):
    return swaying(*CRANE, joint="base", pop_deg=6.0, **changes)


def prop(*, scale=1.0):
    """A pole that swings about its end, and jumps once."""
    clip = swaying(["pole"], [-1], np.zeros((1, 3)), joint="pole", pop_deg=12.0, scale=scale)
    return type(clip)(
        **{
            **vars(clip),
            "lengths": [2.0 * scale],
            "points": ("pole tip",),
            "point_joint": [0],
            "point_offset": [[0.0, 2.0 * scale, 0.0]],
        }
    )


@pytest.mark.parametrize("scale", [1.0, 10.0])
@pytest.mark.parametrize(
    ("make", "name"),
    [(quadruped, "spine.006"), (crane, "base"), (prop, "pole")],
    ids=["quadruped", "crane", "prop alone"],
)
def test_its_points_are_judged(make, name, scale):
    shot = check_clip(make(scale=scale), Settings(checks=("pop",)))
    (finding,) = shot.findings
    assert finding.part is None
    assert finding.id.split(":")[1] == name
    assert finding.peak_frame == POPS


@pytest.mark.parametrize("make", [quadruped, crane, prop])
def test_checks_whose_parts_it_lacks_say_so(make):
    examined = examine(make())
    skipped = dict(examined.shot.skipped)
    assert skipped["slide"] == "no foot is known, and only feet can slide"
    for check in ("hang_time", "gravity"):
        assert skipped[check] == "the centre of mass is not known: trunk and both legs are needed"
    assert examined.basis.com is None
    assert "pop" not in skipped


@pytest.mark.parametrize(
    ("length", "travel", "height"),
    [(0.0, 3.0, 3.0), (0.0, 0.0, 1.0), (0.5, 1.0, 1.0), (0.5, 30.0, 2.0), (0.5, 0.0, 0.5)],
)
def test_a_plain_object_is_compared_with_its_way_and_its_own_length(length, travel, height):
    path = np.zeros((FRAMES, 1, 3))
    path[:, 0, 1] = np.linspace(0.0, travel, FRAMES)
    clip = Clip(
        frames=np.arange(FRAMES),
        fps=FPS,
        joints=("cart",),
        parents=[-1],
        positions=path,
        rotations=np.tile([1.0, 0.0, 0.0, 0.0], (FRAMES, 1, 1)),
        lengths=[length],
    )
    assert build_basis(clip, Settings()).height.scene_m == pytest.approx(height)
