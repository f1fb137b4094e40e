# SPDX-License-Identifier: GPL-3.0-or-later
"""The checks of props on input that lacks something: an answer or a reason, never a warning."""

import warnings
from dataclasses import replace

import numpy as np
import pytest
from blades import swinging
from filmed import filmed

from analysis import Prop, Settings, check_clip

CHECKS = ("stiff_prop", "prop_clash", "edge_on")
CLIP = filmed(swinging(lag_s=0.0))
SWORD = CLIP.joint("sword")


def unknown(share):
    """(T,J) that much of all samples is a gap."""
    return np.random.default_rng(0).random(CLIP.positions.shape[:2]) >= share


def of_no_length():
    offsets = np.where((CLIP.point_joint == SWORD)[:, None], 0.0, CLIP.point_offset)
    lengths = np.where(np.arange(len(CLIP.joints)) == SWORD, 0.0, CLIP.lengths)
    return replace(CLIP, point_offset=offsets, lengths=lengths)


def with_props(*props):
    return replace(CLIP, meta=replace(CLIP.meta, props=props))


def with_roles(*kinds):
    kept = {part: names for part, names in CLIP.meta.roles.items() if part.startswith(kinds)}
    return replace(CLIP, meta=replace(CLIP.meta, roles=kept))


def camera_in_it():
    pose = CLIP.camera_pose.copy()
    pose[:, :3, 3] = CLIP.positions[:, SWORD]
    return replace(CLIP, camera_pose=pose)


(HELD,) = CLIP.meta.props
CLIPS = {
    **{f"{count} frames": CLIP.cut(1, count) for count in (2, 3, 4)},
    "of no length": of_no_length(),
    "a third unknown": replace(CLIP, valid=unknown(0.33)),
    "nearly all unknown": replace(CLIP, valid=unknown(0.9)),
    "no rest": replace(CLIP, rest_positions=None, rest_rotations=None, lengths=None),
    "no points": replace(CLIP, points=(), point_joint=None, point_offset=None),
    "arms alone": with_roles("hand", "forearm"),
    "no arms": with_roles("root", "chest", "head", "thigh", "shin", "foot"),
    "held by nobody": with_props(replace(HELD, held_by="tail")),
    "the same twice": with_props(HELD, HELD),
    "a hand": with_props(Prop(name="hand", joint="hand.R", held_by="forearm.R")),
    "the camera in it": camera_in_it(),
    "all at one place": replace(CLIP, positions=np.zeros_like(CLIP.positions)),
}


@pytest.mark.parametrize("name", CLIPS)
@pytest.mark.parametrize("space", ["world", "camera"])
def test_an_answer_or_a_reason(name, space):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        shot = check_clip(CLIPS[name], Settings(checks=CHECKS, space=space))
    numbers = [n for f in shot.findings for n in (f.amount, f.limit, *f.frames)]
    numbers += [value for key, value in shot.measures.items() if key.startswith("prop_")]
    assert np.isfinite(numbers).all()
    told = {finding.check for finding in shot.findings} | {check for check, _why in shot.skipped}
    assert set(CHECKS) <= told or shot.good or shot.style
