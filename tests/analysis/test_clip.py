# SPDX-License-Identifier: GPL-3.0-or-later
"""A clip keeps its rules, and every broken one is told in one sentence."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure

from analysis import Clip, ClipError, Event, Meta, Prop, load_clip, save_clip


def arrays(**changes):
    given = {
        "frames": [1, 2, 3],
        "fps": 24,
        "joints": ["root", "tip"],
        "parents": [-1, 0],
        "positions": np.zeros((3, 2, 3)),
        "rotations": np.tile([1.0, 0, 0, 0], (3, 2, 1)),
    }
    return {**given, **changes}


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
    "role without joint": ({"meta": Meta(roles={"head": ("skull",)})}, "'skull'"),
    "prop without joint": ({"meta": Meta(props=(Prop(name="hook", joint="x"),))}, "'x'"),
    "points without places": ({"points": ["nose"]}, "point_joint"),
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


def full_clip():
    clip = figure(frames=6)
    t = len(clip.frames)
    return replace(
        clip,
        valid=np.ones(clip.positions.shape[:2], dtype=bool),
        points=("nose", "head tip"),
        point_joint=[3, 3],
        point_offset=[[0, 0.05, 0.1], [0, 0.16, 0]],
        camera_pose=np.tile(np.eye(4), (t, 1, 1)),
        camera_projection=np.tile(np.eye(4), (t, 1, 1)),
        camera_cut=[False] * t,
        supports=np.zeros((1, t, 4, 4)),
        ground_velocity=np.ones((t, 3)),
        channels=("torso|location.z",),
        channel_values=np.arange(t)[:, None],
        control_matrices=np.tile(np.eye(4), (t, 1, 1, 1)),
        meta=Meta(
            name="porter ⚓",
            roles={"head": ("head",)},
            props=(Prop(name="hook", joint="hand.R", mass_kg=2.0, held_by="hand.R"),),
            events=(Event(frames=(2.0, 3.0), part="chest", direction=(1.0, 0.0, 0.0)),),
            cycle=True,
            height_m=1.75,
            floor_z=0.0,
            stage="spline",
            loop_end="open",
            controls=("torso",),
            extra={"shot": "quay 12"},
        ),
    )


def test_round_trip_through_a_file_loses_nothing(tmp_path):
    clip = full_clip()
    path = save_clip(tmp_path / "new folder" / "clip.npz", clip)
    again = load_clip(path)
    for name in vars(clip):
        before, after = getattr(clip, name), getattr(again, name)
        if isinstance(before, np.ndarray):
            np.testing.assert_array_equal(before, after)
            assert before.dtype == after.dtype
        elif name != "meta":
            assert before == after
    assert again.meta.to_json() == clip.meta.to_json()
    assert again.meta.props == clip.meta.props
    assert again.meta.events == clip.meta.events
    assert [p.name for p in path.parent.iterdir()] == ["clip.npz"]


def test_the_same_clip_gives_the_same_bytes(tmp_path):
    one, two = (save_clip(tmp_path / name, full_clip()) for name in ("a.npz", "b.npz"))
    assert one.read_bytes() == two.read_bytes()


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"frame,x,y\n1,2,3\n", "no readable NumPy .npz archive"),
        (b"", "no readable NumPy .npz archive"),
        (b"PK\x03\x04 broken zip", "no readable NumPy .npz archive"),
    ],
)
def test_files_that_are_no_archive(tmp_path, content, told):
    path = tmp_path / "clip.npz"
    path.write_bytes(content)
    with pytest.raises(ClipError, match=told) as caught:
        load_clip(path)
    assert str(path) in str(caught.value)


def test_pickles_are_refused(tmp_path):
    path = tmp_path / "clip.npz"
    np.savez(path, **arrays(joints=np.array(["a", None], dtype=object)))
    with pytest.raises(ClipError, match="without pickles"):
        load_clip(path)


def test_a_plain_array_file_and_a_truncated_one(tmp_path):
    np.save(tmp_path / "clip.npy", np.zeros(3))
    with pytest.raises(ClipError, match="no readable"):
        load_clip(tmp_path / "clip.npy")
    path = save_clip(tmp_path / "clip.npz", figure(frames=20))
    path.write_bytes(path.read_bytes()[:-200])
    with pytest.raises(ClipError, match="no readable"):
        load_clip(path)


def test_missing_entries_are_named(tmp_path):
    np.savez(tmp_path / "clip.npz", frames=[1, 2], fps=24)
    with pytest.raises(ClipError, match="holds no joints, parents, positions, rotations"):
        load_clip(tmp_path / "clip.npz")


def test_missing_files_and_folders(tmp_path):
    with pytest.raises(ClipError, match="does not exist"):
        load_clip(tmp_path / "none.npz")
    with pytest.raises(ClipError, match="is a folder"):
        load_clip(tmp_path)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("{", "not JSON"),
        ("[1]", "JSON list"),
        ('{"cycle": "yes"}', "meta.cycle"),
        ('{"height_m": -1}', "above 0"),
        ('{"height_m": true}', "above 0"),
        ('{"roles": ["head"]}', "meta.roles"),
        ('{"roles": {"head": 3}}', "list of names"),
        ('{"stage": "final"}', "blocking, spline, polish"),
        ('{"props": [{"name": "hook"}]}', "name and joint"),
        ('{"events": [{"frames": [1]}]}', "first, last"),
        ('{"events": [{"frames": [1, 2], "kind": "kiss"}]}', "hit, pull"),
        ('{"curves": [{"control": "torso"}]}', "no curve"),
        ('{"floor_z": 1e999}', "a number"),
    ],
)
def test_meta_that_does_not_fit(text, told):
    with pytest.raises(ClipError, match=told) as caught:
        Meta.from_json(text)
    assert "\n" not in str(caught.value)


def test_meta_keeps_unknown_keys_and_ignores_nulls():
    meta = Meta.from_json('{"name": null, "later": {"a": 1}}')
    assert meta.name == ""
    assert '"later": {"a": 1}' in meta.to_json()


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
