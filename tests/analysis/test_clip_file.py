# SPDX-License-Identifier: GPL-3.0-or-later
"""Clip files: nothing is lost, and what is no clip is told in one sentence."""

from dataclasses import replace

import numpy as np
import pytest
from figures import arrays, figure

from analysis import Clip, ClipError, Event, Meta, Prop, load_clip, save_clip


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
            supports=("quay",),
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
        (b"frame,x,y\n1,2,3\n", "is no clip file or a damaged one"),
        (b"", "is no clip file or a damaged one"),
        (b"PK\x03\x04 broken zip", "is no clip file or a damaged one"),
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
    with pytest.raises(ClipError, match="is no clip file"):
        load_clip(path)


def test_a_plain_array_file_and_a_truncated_one(tmp_path):
    np.save(tmp_path / "clip.npy", np.zeros(3))
    with pytest.raises(ClipError, match="or a damaged one"):
        load_clip(tmp_path / "clip.npy")
    path = save_clip(tmp_path / "clip.npz", figure(frames=20))
    path.write_bytes(path.read_bytes()[:-200])
    with pytest.raises(ClipError, match="or a damaged one"):
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


def test_names_that_are_no_valid_text_survive(tmp_path):
    """Undecodable bytes of a name come as surrogates."""
    clip = Clip(**arrays(joints=["root", "ti\udcffp"], meta=Meta(name="port\udcffer")))
    again = load_clip(save_clip(tmp_path / "clip.npz", clip))
    assert (again.joints, again.meta.name) == (clip.joints, clip.meta.name)


@pytest.mark.parametrize("name", ["joints", "points", "meta", "fps"])
def test_letters_beyond_unicode_make_a_damaged_file(tmp_path, name):
    beyond = np.array([0x110000, 0x61], dtype=np.uint32).view("<U1")
    text = beyond if name in ("joints", "points") else beyond[0:1].reshape(())
    np.savez(tmp_path / "clip.npz", **{**arrays(), name: text})
    with pytest.raises(ClipError, match="or a damaged one"):
        load_clip(tmp_path / "clip.npz")
