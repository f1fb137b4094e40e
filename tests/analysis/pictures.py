# SPDX-License-Identifier: GPL-3.0-or-later
"""Cameras for tests: where they stand, where they look, their lens as OpenGL writes it."""

from dataclasses import dataclass, replace

import numpy as np
from figures import figure

from analysis import Clip, Settings, check_clip

# A picture of 16:9 on a sensor 36 mm wide, 50 mm lens: the usual camera of a new scene.
ASPECT, FOCAL = 16 / 9, 50 / 36 * 2
NEAR, FAR = 0.1, 1000.0


@dataclass
class Shot:
    """place (T,3), target (T,3) that is looked at, roll (T,) radians, lens (T,) of half a width."""

    place: np.ndarray
    target: np.ndarray
    roll: np.ndarray
    lens: np.ndarray

    def seen(self, clip: Clip, **more) -> Clip:
        return replace(
            clip, camera_pose=pose(self), camera_projection=perspective(self.lens), **more
        )


def shot(clip, distance=6.0, height=1.2):
    """A camera that stands to the figure's front left and looks at where the figure is at first."""
    count = len(clip.frames)
    at = clip.positions[0].mean(axis=0)
    place = at + [0.6 * distance, -0.8 * distance, height - at[2]]
    still = np.ones((count, 1))
    return Shot(still * place, still * at, np.zeros(count), np.full(count, FOCAL))


def pose(camera):
    """(T,4,4) columns right, up, back, place."""
    back = camera.place - camera.target
    back = back / np.linalg.norm(back, axis=-1, keepdims=True)
    right = np.cross([0.0, 0.0, 1.0], back)
    right /= np.linalg.norm(right, axis=-1, keepdims=True)
    up = np.cross(back, right)
    cos, sin = np.cos(camera.roll)[:, None], np.sin(camera.roll)[:, None]
    matrices = np.tile(np.eye(4), (len(back), 1, 1))
    columns = (cos * right + sin * up, cos * up - sin * right, back, camera.place)
    for column, values in enumerate(columns):
        matrices[:, :3, column] = values
    return matrices


def perspective(lens, shift=(0.0, 0.0)):
    """(T,4,4) of lenses (T,): focal length over half the picture's width."""
    matrices = np.zeros((len(lens), 4, 4))
    matrices[:, 0, 0], matrices[:, 1, 1] = lens, lens * ASPECT
    matrices[:, 0, 2], matrices[:, 1, 2] = shift
    matrices[:, 2, 2] = -(FAR + NEAR) / (FAR - NEAR)
    matrices[:, 2, 3] = -2.0 * FAR * NEAR / (FAR - NEAR)
    matrices[:, 3, 2] = -1.0
    return matrices


def orthographic(count, width):
    """(T,4,4) that show `width` metres from left to right."""
    matrices = np.tile(np.eye(4), (count, 1, 1))
    matrices[:, 0, 0], matrices[:, 1, 1] = 2.0 / width, 2.0 / width * ASPECT
    matrices[:, 2, 2] = -2.0 / (FAR - NEAR)
    return matrices


def right_of(camera):
    """(T,3) the world direction that is right on the picture."""
    return pose(camera)[:, :3, 0]


def metres(camera, clip, percent, at=0):
    """What a per cent of the picture's height is where the figure stands, at a sample."""
    away = np.linalg.norm(camera.place[at] - clip.positions[at].mean(axis=0))
    return percent / 100.0 * 2.0 * away / (camera.lens[at] * ASPECT)


def eased(count, first, length):
    """(T,) from 0 to 1 as minimum jerk from sample `first` on, over `length` samples.

    Flash & Hogan 1985, J Neurosci 5:1688-1703.
    """
    u = np.clip((np.arange(count) - first) / length, 0.0, 1.0)
    return 10 * u**3 - 15 * u**4 + 6 * u**5


def panned(camera, angle):
    """The camera turned about the vertical by angles (T,), radians, to its left."""
    way = camera.target - camera.place
    cos, sin = np.cos(angle), np.sin(angle)
    turned = np.stack(
        (cos * way[:, 0] - sin * way[:, 1], sin * way[:, 0] + cos * way[:, 1], way[:, 2]), -1
    )
    return replace(camera, target=camera.place + turned)


def shifted(camera, amounts, way=None):
    """The camera shifted by amounts (T,) in metres to the right of its picture."""
    offset = amounts[:, None] * (right_of(camera) if way is None else way)
    return replace(camera, place=camera.place + offset, target=camera.target + offset)


def move(camera, name):
    """Honest camera moves over the whole shot."""
    frames = len(camera.lens)
    time = np.arange(frames) / 24.0
    if name == "pan":
        return panned(camera, 0.5 * eased(frames, 10, 40))
    if name == "whip":
        return panned(camera, 1.4 * eased(frames, 30, 6))
    if name == "even pan":
        return panned(camera, 0.3 * np.clip(time - 0.5, 0.0, 1.0))
    if name == "zoom":
        return replace(camera, lens=camera.lens * (1.0 + eased(frames, 15, 20)))
    if name == "orbit":
        way = camera.place - camera.target
        around = panned(replace(camera, place=camera.target, target=camera.place), 0.8 * time)
        assert np.allclose(
            np.linalg.norm(around.target - camera.target, axis=-1), np.linalg.norm(way[0])
        )
        return replace(camera, place=around.target)
    if name == "dolly":
        return shifted(camera, 0.8 * eased(frames, 5, 45))
    if name == "shake":
        rng = np.random.default_rng(4)
        amounts = sum(
            a * np.sin(2 * np.pi * f * time + rng.uniform(0, 6))
            for f, a in ((0.7, 0.03), (2.1, 0.015), (4.3, 0.01), (6.1, 0.008))
        )
        return shifted(camera, amounts)
    if name == "jitter":
        return shifted(camera, np.random.default_rng(4).normal(size=frames) * 0.02)
    return camera


FRAMES, AT = 60, 33
ASKED = Settings(cycle="no", checks=("camera_jump",))


def standing(**more):
    """A figure that stands and swings its arms, for a camera to look at."""
    return figure(frames=FRAMES, speed=0.0, **more)


def found(camera, clip=None, **more):
    """What `camera_jump` says of a camera."""
    return check_clip(camera.seen(standing() if clip is None else clip, **more), ASKED)


def one(shot_found):
    """The one finding, about the camera."""
    (finding,) = shot_found.findings
    assert (finding.check, finding.part, finding.space) == ("camera_jump", "camera", "world")
    return finding
