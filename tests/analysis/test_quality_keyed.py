# SPDX-License-Identifier: GPL-3.0-or-later
"""Keyed motion of the corpus: close to its source, planted, and splined."""

import os

import numpy as np
import pytest

from demo_scenes.captured import resample

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from tests.quality.captured import motions
from tests.quality.keyed import VARIANTS, key_variant, keyed_clip
from tests.quality.keying import STRAIGHTEST, Manner, key_motion
from tests.quality.legs import ankle, hip, leg_lengths
from tests.quality.plants import planted
from tests.quality.posing import clip_of, mirrored, tracks_of
from tests.quality.puppet import puppet_of

MOTIONS = {motion.name: motion for motion in motions()}
JUMP = resample(MOTIONS["jump"], 24.0)


def test_the_puppet_does_what_was_captured():
    for name in ("jump", "crawl", "cartwheel", "punch"):  # legs that are never bent backwards
        motion = MOTIONS[name]
        clip = clip_of(puppet_of(motion), tracks_of(motion), motion.fps, name=name)
        np.testing.assert_allclose(clip.positions, motion.positions, atol=1e-9)
        same = np.abs(np.sum(clip.rotations * motion.rotations, axis=-1))
        np.testing.assert_allclose(same, 1.0, atol=1e-9)


def test_the_mirrored_puppet_is_its_mirror_image():
    motion = MOTIONS["punch"]
    clip = clip_of(puppet_of(motion), mirrored(tracks_of(motion)), motion.fps, name="")
    for joint in ("hand", "shin", "foot", "thigh"):
        right = motion.positions[:, motion.joint(f"{joint}.R")]
        left = clip.positions[:, clip.joint(f"{joint}.L")]
        np.testing.assert_allclose(left, right * [-1, 1, 1], atol=1e-9)


@pytest.mark.parametrize("manner", [Manner(), Manner(handles="auto", tolerance=0.6, crisp=True)])
def test_splines_stay_close_to_the_capture(manner):
    keyed = key_motion(JUMP, manner)
    clip = clip_of(puppet_of(JUMP), keyed.tracks, 24.0, name="jump")
    for part, near in (("hips", 0.06), ("head", 0.06), ("hand.L", 0.1), ("foot.R", 0.1)):
        off = clip.positions[:, clip.joint(part)] - JUMP.positions[:, JUMP.joint(part)]
        assert np.linalg.norm(off, axis=-1).max() < near
    assert all(len(curve.frames) < 0.6 * JUMP.frame_count for curve in keyed.splines.values())


def test_controls_are_not_all_keyed_on_the_same_frames():
    splines = key_motion(JUMP, Manner()).splines
    keys = {tuple(curve.frames) for curve in splines.values()}
    assert len(keys) >= 6
    arms = {f"upper_arm.{side}.turn" for side in "LR"}
    assert all(set(splines[arm].frames) - set(splines["hips.place"].frames) for arm in arms)


def test_standing_feet_do_not_move():
    motion = resample(MOTIONS["punch"], 30.0)
    keyed = key_motion(motion, Manner())
    found = 0
    for side in "LR":
        _, stands = planted(motion, tracks_of(motion), side)
        for first, last in stands.ball:
            place = keyed.tracks[f"foot.{side}.place"][first : last + 1]
            assert np.ptp(place, axis=0).max() < 1e-9
            found += last - first
    assert found > 30


def test_legs_are_never_stretched():
    for name in ("dance_a", "spinkick", "getup_facedown"):
        motion = resample(MOTIONS[name], 24.0)
        puppet, tracks = puppet_of(motion), key_motion(motion, Manner(tolerance=2.0)).tracks
        for side in "LR":
            way = ankle(puppet, tracks, side) - hip(puppet, tracks, side)
            most = STRAIGHTEST * sum(leg_lengths(puppet, side))
            assert np.linalg.norm(way, axis=-1).max() <= most + 1e-9


def test_sizes_fall_alike():
    """A figure 1.25 times as tall takes sqrt(1.25) times as long for the same jump."""
    size, keyed = key_variant(MOTIONS["jump"], 30.0, 1)
    assert size == 1.25
    assert keyed.frame_count == 1 + int(106 / 60 * 30 * 1.25**0.5)
    tall, plain = (keyed_clip(MOTIONS["jump"], 30.0, variant, "jump") for variant in (1, 0))
    assert tall.meta.height_m == pytest.approx(1.25 * plain.meta.height_m)
    rise = [np.ptp(clip.positions[:, 0, 2]) for clip in (tall, plain)]
    assert rise[0] == pytest.approx(1.25 * rise[1], rel=0.05)


def test_every_other_variant_carries_its_keys():
    keyed = keyed_clip(MOTIONS["kick"], 24.0, 1, "kick")
    (height,) = [c for c in keyed.meta.curves if c.channel == "location.z" and c.control == "hips"]
    at = np.array(height.frames) - 1
    np.testing.assert_allclose(
        keyed.positions[at.astype(int), keyed.joint("hips"), 2], height.values, atol=1e-9
    )
    assert "hand.L" in height.drives and "foot.L" not in height.drives
    assert not keyed_clip(MOTIONS["kick"], 24.0, 0, "kick").meta.curves
    assert VARIANTS >= 10
