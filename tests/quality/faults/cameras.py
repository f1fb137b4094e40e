# SPDX-License-Identifier: GPL-3.0-or-later
"""Camera jumps: a camera that films a clean clip jumps for a frame, or to somewhere else."""

import zlib
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from ..case import Case
from ..moves import height_of, target
from ..planted import Kind, Planted
from ..timing import smooth_step, without_curves
from . import MOTION

Floats = NDArray[np.float64]

EDGE = 6
ASPECT = 16.0 / 9.0
# Half the picture's height over its distance, as lenses of 35, 50 and 85 mm have it on a
# sensor 24 mm high.
SPREADS = (0.34, 0.24, 0.14)
# A camera that moves takes the subject's path smoothed over this time.
FOLLOWS_S = 1.2
WAYS = ("shift", "turn", "lens")
# A camera that stands where the figure would come nearer than this share of its distance travels
# along with it instead.
NEAREST = 0.3


def plant_jump(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A jump that moves the subject by `size` per cent of the picture's height."""
    clip = case.clip
    count = len(clip.frames)
    if count < 2 * EDGE + 1:
        return None
    camera = _camera(clip, rng)
    at = int(rng.integers(EDGE, count - EDGE))
    way, stays = str(rng.choice(WAYS)), bool(rng.integers(2))
    when = np.zeros(count)
    when[at : None if stays else at + 1] = 1.0
    clean = film(clip, *camera)
    jumped = _jumped(clip, camera, way, size, when, at, rng)
    subject = _subject(clip)
    off = np.abs(_places(jumped, subject) - _places(clean, subject))[at].max(axis=0)
    moved = 100.0 * float(np.linalg.norm(off))
    if abs(moved - size) > 0.1 * size:
        return None
    return Planted(
        clip=without_curves(jumped),
        check="camera_jump",
        part="camera",
        carriers=("camera",),
        frames=(float(clip.frames[at]), float(clip.frames[at])),
        size=moved,
        where=f"{way}, {'stays' if stays else 'one frame'}",
    )


def filmed_case(case: Case) -> Case:
    """A clean case with a clean camera, the same one each time."""
    rng = np.random.default_rng(zlib.crc32(case.name.encode()))
    return replace(case, clip=film(case.clip, *_camera(case.clip, rng)))


def _camera(clip: Clip, rng: np.random.Generator) -> tuple[Floats, Floats, float]:
    """Where a camera stands and what it looks at, (T,3) each, and its spread."""
    spread = float(rng.choice(SPREADS))
    height = height_of(clip)
    subject = clip.positions[:, target(clip, "root").joint]
    path = smoothed(subject, FOLLOWS_S / clip.dt_s)
    middle = np.tile(subject.mean(axis=0), (len(subject), 1))
    follows = rng.integers(3)  # 0 stands still, 1 pans, 2 travels along
    looks_at = middle if follows == 0 else path
    away = height / (2.0 * spread * rng.uniform(0.4, 0.7))
    angle = rng.uniform(0.0, 2.0 * np.pi)
    offset = away * np.array([np.cos(angle), np.sin(angle), rng.uniform(-0.05, 0.35)])
    eye = (path if follows == 2 else middle) + offset
    if np.linalg.norm(eye - subject, axis=-1).min() < NEAREST * away:  # nobody walks through it
        eye = path + offset
    if follows == 0 and rng.integers(2):  # a slow move of its own
        eye = eye + np.linspace(0.0, 0.2, len(eye))[:, None] * away * np.array([0.0, 0.0, 1.0])
    return eye, looks_at, spread


def _jumped(
    clip: Clip,
    camera: tuple[Floats, Floats, float],
    way: str,
    size: float,
    when: Floats,
    at: int,
    rng: np.random.Generator,
) -> Clip:
    """The clip filmed by the camera that is shifted, turned or zoomed where `when` (T,) is 1."""
    eye, looks_at, spread = camera
    clean = film(clip, eye, looks_at, spread)
    pose = clean.camera_pose.copy()
    right, up, out = (pose[:, :3, n] for n in range(3))
    angle = rng.uniform(0.0, 2.0 * np.pi)
    across = np.cos(angle) * right + np.sin(angle) * up
    depth = float((eye[at] - _subject(clip)[at].mean(axis=0)) @ out[at])
    share = size / 100.0
    if way == "shift":
        pose[:, :3, 3] += when[:, None] * share * 2.0 * spread * depth * across
        return replace(clean, camera_pose=pose)
    if way == "turn":
        turn = np.arctan(2.0 * spread * share)
        axis = np.sin(angle) * right - np.cos(angle) * up
        half = 0.5 * turn * when[:, None]
        q = np.concatenate((np.cos(half), np.sin(half) * axis), axis=1)
        for n in range(3):
            pose[:, :3, n] = quat.rotate(q, pose[:, :3, n])
        return replace(clean, camera_pose=pose)
    # Zoomed so that the subject's furthest point from the centre moves by the share.
    furthest = np.linalg.norm(_places(clean, _subject(clip))[at], axis=-1).max()
    factor = 1.0 + when * share / furthest * rng.choice([-1.0, 1.0])
    projection = clean.camera_projection.copy()
    projection[:, 0, 0] *= factor
    projection[:, 1, 1] *= factor
    return replace(clean, camera_projection=projection)


def film(clip: Clip, eye: Floats, looks_at: Floats, spread: float) -> Clip:
    """The clip with a camera at eye (T,3) that looks along its own -Z, as OpenGL projects."""
    out = eye - looks_at
    out = out / np.linalg.norm(out, axis=-1, keepdims=True)
    right = np.cross([0.0, 0.0, 1.0], out)
    right /= np.linalg.norm(right, axis=-1, keepdims=True)
    pose = np.tile(np.eye(4), (len(eye), 1, 1))
    pose[:, :3, 0], pose[:, :3, 1], pose[:, :3, 2] = right, np.cross(out, right), out
    pose[:, :3, 3] = eye
    near, far = 0.1, 200.0
    projection = np.zeros((4, 4))
    projection[0, 0], projection[1, 1] = 1.0 / (spread * ASPECT), 1.0 / spread
    projection[2, 2], projection[2, 3] = (
        -(far + near) / (far - near),
        -2 * far * near / (far - near),
    )
    projection[3, 2] = -1.0
    return replace(
        clip,
        camera_pose=pose,
        camera_projection=np.tile(projection, (len(eye), 1, 1)),
        camera_cut=np.zeros(len(eye), dtype=bool),
    )


def _subject(clip: Clip) -> Floats:
    """(T,2,3) the root and the head."""
    return clip.positions[:, [target(clip, part).joint for part in ("root", "head")]]


def _places(clip: Clip, points: Floats) -> Floats:
    """(T,N,2) places on the picture, in picture heights from its centre."""
    pose = clip.camera_pose
    local = np.einsum("tji,tnj->tni", pose[:, :3, :3], points - pose[:, None, :3, 3])
    spread = 1.0 / clip.camera_projection[:, 1, 1]
    return local[..., :2] / (-2.0 * spread[:, None, None] * local[..., 2:])


def smoothed(path: Floats, width: float) -> Floats:
    """A path (T,3) smoothed by weights of finite width; its ends are held."""
    half = max(round(width / 2.0), 1)
    weights = smooth_step(1.0 - np.abs(np.arange(-half, half + 1)) / (half + 1.0))
    padded = np.concatenate((np.repeat(path[:1], half, 0), path, np.repeat(path[-1:], half, 0)))
    columns = [np.convolve(column, weights / weights.sum(), mode="valid") for column in padded.T]
    return np.stack(columns, axis=1)


KINDS = (
    Kind(
        name="camera_jump",
        check="camera_jump",
        says="a still or moving camera shifts, turns or zooms, for a frame or for good",
        unit="%",
        sizes={"camera": (0.5, 1.0, 2.0)},
        promised={"camera": (1.0, 1.0)},
        sets=MOTION,
        plant=plant_jump,
    ),
)
