# SPDX-License-Identifier: GPL-3.0-or-later
"""A clip keeps its rules, and every broken one is told in one sentence."""

import re
from dataclasses import replace

import numpy as np
import pytest
from figures import arrays, figure
from schema import SCHEMA

from analysis import Clip, ClipError, Meta, Prop, check_clip
from analysis.parts import TRUNK


def nan_at(shape, *index):
    values = np.zeros(shape)
    values[index] = np.nan
    return values


BROKEN = {
    "nan": ({"positions": nan_at((3, 2, 3), 1, 1, 0)}, "frame 2, joint 'tip'"),
    "one frame": (
        {
            "frames": [7],
            "positions": np.zeros((1, 2, 3)),
            "rotations": np.tile([1.0, 0, 0, 0], (1, 2, 1)),
        },
        "has 1 frame, expected two or more",
    ),
    "no frames": ({"frames": []}, "has 0 frames"),
    "no joints": (
        {
            "joints": [],
            "parents": [],
            "positions": np.zeros((3, 0, 3)),
            "rotations": np.zeros((3, 0, 4)),
        },
        "no joints",
    ),
    "wrong shape": ({"positions": np.zeros((3, 3, 3))}, "positions has shape (3, 3, 3)"),
    "euler angles": ({"rotations": np.zeros((3, 2, 3))}, "expected (3, 2, 4)"),
    "not unit": ({"rotations": np.tile([2.0, 0, 0, 0], (3, 2, 1))}, "quaternion of length 2"),
    "uneven frames": ({"frames": [1, 2, 4]}, "evenly spaced"),
    "falling frames": ({"frames": [3, 2, 1]}, "rising"),
    "text as numbers": ({"positions": "abc"}, "positions is no array of numbers"),
    "fps zero": ({"fps": 0}, "fps is 0"),
    "fps text": ({"fps": "fast"}, "fps is no single number"),
    "same names": ({"joints": ["a", "a"]}, "two joints are called 'a'"),
    "parent outside": ({"parents": [-1, 5]}, "points at joint 5"),
    "parents in a circle": ({"parents": [1, 0]}, "run in a circle"),
    "a joint that is its own parent": ({"parents": [1, 1]}, "run in a circle"),
    "role without joint": ({"meta": Meta(roles={"head": ("skull",)})}, "'skull'"),
    "role of no part": ({"meta": Meta(roles={"tail": ("tip",)})}, "a part 'tail', expected"),
    "part without side": ({"meta": Meta(roles={"hand": ("tip",)})}, "a part 'hand'"),
    "part with zeros": ({"meta": Meta(roles={"spine.01": ("tip",)})}, "a part 'spine.01'"),
    "prop without joint": ({"meta": Meta(props=(Prop(name="hook", joint="x"),))}, "'x'"),
    "points without places": ({"points": ["nose"]}, "point_joint"),
    "complex": (
        {"positions": np.zeros((3, 2, 3), dtype=complex)},
        "positions hold complex",
    ),
    "complex rate": ({"fps": 24 + 1j}, "fps hold complex"),
    "parents between joints": ({"parents": [-1, 0.5]}, "parents hold 0.5, expected whole"),
    "parents nan": ({"parents": [-1, np.nan]}, "parents hold nan, expected whole"),
    "parents infinite": ({"parents": [-1, np.inf]}, "parents hold inf"),
    "parents huge": ({"parents": [-1, 2**70]}, "parents is no array of numbers"),
    "points between joints": (
        {"points": ["nose"], "point_joint": [0.9], "point_offset": np.zeros((1, 3))},
        "point_joint hold 0.9",
    ),
    "lengths nan": ({"lengths": [np.nan, 1]}, "lengths"),
}


@pytest.mark.parametrize("case", BROKEN)
def test_broken_arrays_give_one_sentence(case):
    changes, told = BROKEN[case]
    with pytest.raises(ClipError) as caught:
        Clip(**arrays(**changes))
    sentence = str(caught.value)
    assert told in sentence
    assert "\n" not in sentence
    assert sentence.endswith(".")


def test_nan_is_allowed_in_gaps_only():
    positions = nan_at((3, 2, 3), 1, 1)
    valid = np.ones((3, 2), dtype=bool)
    valid[1, 1] = False
    clip = Clip(**arrays(positions=positions, valid=valid))
    assert not clip.valid_mask[1, 1]
    with pytest.raises(ClipError):
        Clip(**arrays(positions=positions, valid=np.ones((3, 2), dtype=bool)))


def test_arrays_are_copied_and_read_only():
    positions = np.zeros((3, 2, 3))
    clip = Clip(**arrays(positions=positions))
    positions[0] = 9.0
    assert clip.positions.max() == 0.0
    with pytest.raises(ValueError, match="read-only"):
        clip.positions[0, 0, 0] = 1.0


def test_cut_keeps_frame_numbers_and_every_per_frame_array():
    clip = replace(
        figure(frames=20),
        supports=np.zeros((2, 20, 4, 4)),
        ground_velocity=np.arange(60.0).reshape(20, 3),
    )
    part = clip.cut(5, 9)
    assert part.frames.tolist() == [5, 6, 7, 8, 9]
    np.testing.assert_array_equal(part.positions, clip.positions[4:9])
    np.testing.assert_array_equal(part.ground_velocity, clip.ground_velocity[4:9])
    assert part.supports.shape == (2, 5, 4, 4)
    with pytest.raises(ClipError, match="holds 1 frames"):
        clip.cut(5, 5)
    with pytest.raises(ClipError, match="9 to 5 ends before it begins"):
        clip.cut(9, 5)


@pytest.mark.parametrize("boxes", [None, 1, 3])
def test_supports_are_all_named_or_none(boxes):
    supports = None if boxes is None else np.zeros((boxes, 3, 4, 4))
    with pytest.raises(ClipError, match=f"supports length {boxes or 0}, expected one name"):
        Clip(**arrays(supports=supports, meta=Meta(supports=("quay", "crate"))))
    assert Clip(**arrays(supports=supports)).meta.supports == ()
    named = Clip(**arrays(supports=np.zeros((2, 3, 4, 4)), meta=Meta(supports=("quay", "crate"))))
    assert len(named.supports) == 2


def test_supports_that_are_the_wrong_way_round_are_refused():
    boxes = np.tile(np.eye(4), (1, 3, 1, 1))
    boxes[..., :3, 3] = (0.2, -1.0, 0.4)
    assert Clip(**arrays(supports=boxes)).supports is not None
    with pytest.raises(ClipError, match=r"last row does not begin with 0 0 0.*transpose"):
        Clip(**arrays(supports=boxes.swapaxes(-1, -2)))


def test_a_joint_first_known_later_moves_all_the_same():
    positions = np.zeros((4, 2, 3))
    positions[3, 1] = (0.0, 0.0, 0.4)
    valid = np.ones((4, 2), dtype=bool)
    valid[0, 1] = False
    given = arrays(frames=[1, 2, 3, 4], positions=positions, valid=valid)
    given["rotations"] = np.tile([1.0, 0, 0, 0], (4, 2, 1))
    assert Clip(**given).moves


def test_signs_of_rotations_are_no_motion():
    rotations = np.tile([1.0, 0, 0, 0], (3, 2, 1))
    rotations[1] *= -1.0
    assert not Clip(**arrays(rotations=rotations)).moves


def test_a_cut_that_drops_frames_is_no_longer_said_to_be_a_loop():
    clip = figure(frames=24, cycle=True, loop_end="open")
    part = clip.cut(3, 16)
    assert (part.meta.cycle, part.meta.loop_end) == (False, None)
    assert part.meta.name == clip.meta.name
    assert check_clip(part).findings == ()
    assert clip.cut(1, 24).meta == clip.cut(-5, 99).meta == clip.meta
    assert figure(frames=24, cycle=False).cut(3, 16).meta.cycle is None


def test_every_part_that_a_clip_may_name_fits_the_schema():
    pattern = SCHEMA["$defs"]["part"]["pattern"]
    for part in (*TRUNK[:3], "spine.12", *TRUNK[4:], "hand.L", "toe.R", "prop.1", "chain.3"):
        assert re.match(pattern, part)
        Clip(**arrays(meta=Meta(roles={part: ("tip",)})))


def test_whole_numbers_may_come_as_floats():
    assert Clip(**arrays(parents=[-1.0, 0.0])).parents.tolist() == [-1, 0]


@pytest.mark.parametrize("gap", [0, 1, 3])
def test_gaps_in_rotations_hide_no_turn_and_make_none(gap):
    rotations = np.tile([1.0, 0, 0, 0], (4, 2, 1))
    rotations[gap, 1] = np.nan
    valid = np.isfinite(rotations).all(axis=-1)
    given = arrays(frames=[1, 2, 3, 4], positions=np.zeros((4, 2, 3)), valid=valid)
    assert not Clip(**{**given, "rotations": rotations}).moves
    rotations[2, 1] = (0.8, 0.6, 0, 0)
    assert Clip(**{**given, "rotations": rotations}).moves
    rotations[2, 1] = (-1.0, 0, 0, 0)
    assert not Clip(**{**given, "rotations": rotations}).moves
