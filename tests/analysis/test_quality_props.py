# SPDX-License-Identifier: GPL-3.0-or-later
"""Faults of blades as they are planted: measured by other means than the checks and the bench."""

import os

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from tests.quality.blade import NAME
from tests.quality.cells import Cell, planted_cases
from tests.quality.moves import height_of
from tests.quality.work import cases_of

SET = "armed_24/keyed"


def planted(kind, part, size, count=8, which=SET):
    found = list(planted_cases(Cell(kind, part, size, which, "A"), cases_of(which), range(count)))
    assert found
    return found


def scipy_turns(quaternions):
    """Rotations of w, x, y, z."""
    return Rotation.from_quat(np.roll(quaternions, -1, axis=-1))


def samples(clip, frames):
    return [int(np.flatnonzero(clip.frames == frame)[0]) for frame in frames]


def joint(clip, part):
    return clip.joint(clip.meta.roles[part][0])


def points_of(clip):
    """(T,4,3) base, tip, edge and back in the world."""
    at = [clip.points.index(f"{NAME} {end}") for end in ("base", "tip", "edge", "back")]
    turns = scipy_turns(clip.rotations[:, clip.joint(NAME)])
    moved = [turns.apply(np.array(clip.point_offset[n])) for n in at]
    return clip.positions[:, clip.joint(NAME), None] + np.stack(moved, axis=1)


@pytest.mark.corpus
@pytest.mark.parametrize("which", [SET, "armed_30/captured", "swings"])
def test_clean_wrists_give_and_clean_blades_keep_off_the_head(which):
    """And far from all that could be taken for edge-on, for more than a moment."""
    gives = []
    for case in cases_of(which):
        clip = case.clip
        side = clip.meta.props[0].held_by[-1]
        hand, forearm = (
            scipy_turns(clip.rotations[:, joint(clip, f"{kind}.{side}")])
            for kind in ("hand", "forearm")
        )
        own = forearm.inv() * hand
        gives.append(np.degrees((own[0].inv() * own).magnitude()).max())
        base, tip = points_of(clip)[:, 0], points_of(clip)[:, 1]
        line = base[:, None] + np.linspace(0, 1, 60)[:, None] * (tip - base)[:, None]
        head = clip.positions[:, joint(clip, "head")]
        apart = np.linalg.norm(line - head[:, None], axis=-1).min()
        assert apart > 0.03 * height_of(clip)
    assert min(gives) > 3.0
    assert np.median(gives) > 15.0


def test_a_locked_wrist_turns_with_the_forearm_through_ninety_degrees():
    for case, fault in planted("stiff_prop", "prop", 90.0):
        clip = fault.clip
        side = clip.meta.props[0].held_by[-1]
        forearm, hand = (joint(clip, f"{kind}.{side}") for kind in ("forearm", "hand"))
        locked = int(fault.where.split()[0])
        first, last = samples(clip, fault.frames)
        start = first + (last - first - locked) // 2
        span = slice(start, start + locked + 1)
        blade = scipy_turns(clip.rotations[span, clip.joint(NAME)])
        own = scipy_turns(clip.rotations[span, forearm]).inv() * blade
        assert np.degrees((own[0].inv() * own).magnitude()).max() < 0.01
        way = clip.positions[span, hand] - clip.positions[span, forearm]
        way /= np.linalg.norm(way, axis=-1, keepdims=True)
        swung = np.degrees(np.arccos(way[0] @ way[-1]))
        assert swung == pytest.approx(fault.size, abs=0.1)
        assert 90.0 <= swung < 130.0
        before = scipy_turns(case.clip.rotations[span, forearm]).inv() * scipy_turns(
            case.clip.rotations[span, case.clip.joint(NAME)]
        )
        assert np.degrees((before[0].inv() * before).magnitude()).max() > 5.0


@pytest.mark.parametrize("size", [1.0, 4.0])
def test_a_blade_is_so_deep_in_the_head(size):
    """The head of humanoid.urdf: a sphere of .41 / 4 m, .7 / 4 m above the neck, of 1.62 m."""
    for case, fault in planted("prop_clash_cm", "head", size):
        clip = fault.clip
        times = height_of(clip) / 1.62
        neck, head = (joint(clip, part) for part in ("neck", "head"))
        up = scipy_turns(clip.rotations[:, head]).apply([0.0, 1.0, 0.0])
        gap = np.linalg.norm(clip.rest_positions[head] - clip.rest_positions[neck])
        centre = clip.positions[:, head] + up * (0.175 * times - gap)
        depth = {}
        for name, each in (("clean", case.clip), ("cut", clip)):
            base, tip, edge, back = np.moveaxis(points_of(each), 1, 0)
            across = 0.5 * (edge - back)
            share = np.linspace(0.0, 1.0, 400)[:, None]
            lines = [
                (base + n * across)[:, None] + share * (tip - base)[:, None] for n in (-1, 0, 1)
            ]
            nearest = np.linalg.norm(np.concatenate(lines, axis=1) - centre[:, None], axis=-1)
            depth[name] = (0.1025 * times - nearest.min(axis=1)) / times * 1.7 / 1.62 * 100.0
        first, last = samples(clip, fault.frames)
        assert depth["cut"].max() == pytest.approx(size, abs=0.15 * size)
        assert first <= np.argmax(depth["cut"]) <= last
        assert depth["clean"].max() < 0.0
        outside = np.delete(depth["cut"], np.arange(first, last + 1))
        assert outside.max() < 0.0


@pytest.mark.parametrize("part", ["width", "length"])
def test_a_blade_is_seen_edge_on_for_six_frames(part):
    """By angles in the world: of its flat side, or of its length, to the line of sight."""
    for _case, fault in planted("edge_on", part, 6.0):
        clip = fault.clip
        base, tip, edge, back = np.moveaxis(points_of(clip), 1, 0)
        sight = 0.5 * (base + tip) - clip.camera_pose[:, :3, 3]
        unit = [v / np.linalg.norm(v, axis=-1, keepdims=True) for v in (tip - base, edge - back)]
        sight = sight / np.linalg.norm(sight, axis=-1, keepdims=True)
        length = np.linalg.norm(np.cross(unit[0], sight), axis=-1)
        flat = np.abs(np.sum(np.cross(*unit) * sight, axis=-1)) / length
        seen = flat if part == "width" else length
        first, last = samples(clip, fault.frames)
        low = seen[first : last + 1] < 0.15
        assert low.sum() >= 6
        assert np.convolve(low, np.ones(6), mode="valid").max() == 6
