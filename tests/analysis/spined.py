# SPDX-License-Identifier: GPL-3.0-or-later
"""A standing figure with a spine of three joints, each bent as a test wants it."""

from dataclasses import replace

import numpy as np

from analysis import Clip, Meta

# joint: (parent, offset from the parent's joint at rest), metres, facing -Y; Y along the bone.
SKELETON = {
    "root": (None, (0, 0, 0.95)),
    "spine.1": ("root", (0, 0, 0.1)),
    "spine.2": ("spine.1", (0, 0, 0.12)),
    "chest": ("spine.2", (0, 0, 0.13)),
    "neck": ("chest", (0, 0, 0.22)),
    "head": ("neck", (0, 0, 0.1)),
    "upper_arm.L": ("chest", (0.2, 0, 0.15)),
    "upper_arm.R": ("chest", (-0.2, 0, 0.15)),
    "thigh.L": ("root", (0.1, 0, 0)),
    "thigh.R": ("root", (-0.1, 0, 0)),
}
NAMES = tuple(SKELETON)
SPINE = ("spine.1", "spine.2", "chest")


def spined(bends, *, fps=24.0, scale=1.0, turn=None, without_rest=False, shift=None, **meta):
    """The figure with its joints turned about the world's axes at rest.

    bends {joint: (T,3) axis times degrees, in the axes of what carries it}; turn (T,3) the same of
    the root in the world; shift {joint: (T,3) metres in the axes of what carries it}.
    """
    from scipy.spatial.transform import Rotation

    count = len(next(iter(bends.values())))
    turns, places = {}, {}
    for name, (parent, offset) in SKELETON.items():
        given = turn if name == "root" else bends.get(name)
        own = Rotation.from_rotvec(np.zeros((count, 3)) if given is None else given, degrees=True)
        away = np.array(offset) + (shift or {}).get(name, np.zeros((count, 3)))
        if parent is None:
            turns[name], places[name] = own, away
        else:
            turns[name] = turns[parent] * own
            places[name] = places[parent] + turns[parent].apply(away)
    # Bones stand upright at rest: Y up, X to the left.
    rest = Rotation.from_matrix(np.stack(([1.0, 0, 0], [0, 0, 1.0], [0, -1.0, 0]), axis=1))
    clip = Clip(
        frames=np.arange(1, count + 1),
        fps=fps,
        joints=NAMES,
        parents=np.array([-1 if p is None else NAMES.index(p) for p, _ in SKELETON.values()]),
        positions=scale * np.stack([places[name] for name in NAMES], axis=1),
        rotations=np.stack([_wxyz(turns[name] * rest) for name in NAMES], axis=1),
        rest_positions=scale * _at_rest(),
        rest_rotations=np.tile(_wxyz(rest), (len(NAMES), 1)),
        lengths=np.full(len(NAMES), 0.12 * scale),
        meta=Meta(name="spined", roles={name: (name,) for name in NAMES}, **meta),
    )
    if without_rest:
        clip = replace(clip, rest_positions=None, rest_rotations=None)
    return clip


def _at_rest():
    places = {}
    for name, (parent, offset) in SKELETON.items():
        places[name] = np.array(offset) + (0.0 if parent is None else places[parent])
    return np.array([places[name] for name in NAMES])


def _wxyz(rotation):
    return np.roll(rotation.as_quat(), 1, axis=-1)


def swaying(count, *, fps=24.0, degrees=(10.0, 4.0, 8.0), shares=(0.4, 0.35, 0.25)):
    """{joint: (T,3)} a lean, a bend to the side and a twist that the spine's joints share."""
    time = np.arange(count) / fps
    waves = np.stack([np.sin(2 * np.pi * time / p + f) for p, f in ((1.7, 0), (1.3, 1), (1.1, 2))])
    whole = waves.T * degrees
    return {name: share * whole for name, share in zip(SPINE, shares, strict=True)}


def held(count, first, last, ease=4):
    """(T,) 1 from sample first to last, eased on either side."""
    at = np.arange(count, dtype=float)
    u = np.clip(np.minimum((at - first + ease) / ease, (last + ease - at) / ease), 0.0, 1.0)
    return u * u * (3.0 - 2.0 * u)
