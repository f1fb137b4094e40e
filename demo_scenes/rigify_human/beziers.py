# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys of one F-curve as plain arrays, and the splitting of its segments; numpy only.

A new key changes a curve everywhere its automatic handles reach. Here segments are split the
exact way (de Casteljau) and all handles are kept where they are, as free ones.
"""

from dataclasses import dataclass

import numpy as np

from ..captured.rotations import Floats

CONSTANT, LINEAR, BEZIER = 0, 1, 2
FREE = 0
# Keyframe attributes beside co and handles, with the kind of number that Blender stores.
EXTRAS = (
    ("interpolation", np.int32),
    ("handle_left_type", np.int32),
    ("handle_right_type", np.int32),
    ("easing", np.int32),
    ("type", np.int32),
    ("back", np.float32),
    ("amplitude", np.float32),
    ("period", np.float32),
)
_DEFAULTS = {"interpolation": LINEAR, "back": 1.70158}


@dataclass(frozen=True, eq=False)
class Keys:
    """K keys: points (K,3,2) left handle, key, right handle as (frame, value); extras (K,) each."""

    points: Floats
    extras: dict[str, np.ndarray]

    @property
    def frames(self) -> Floats:
        """(K,) frame numbers, rising."""
        return self.points[:, 1, 0]


def frozen(keys: Keys) -> Keys:
    """The same curve with all handles free, so that nothing moves when a key is added."""
    free = np.full(len(keys.points), FREE, np.int32)
    return Keys(keys.points, keys.extras | {"handle_left_type": free, "handle_right_type": free})


def no_keys() -> Keys:
    """An empty set of keys."""
    return Keys(np.zeros((0, 3, 2)), {name: np.zeros(0, kind) for name, kind in EXTRAS})


def with_key(keys: Keys, frame: float, value: float) -> Keys:
    """Add a key on a frame that has none, without changing the curve; value is the curve's own.

    Bezier segments are split; linear and constant ones take the key as it is; before the first
    and after the last key the curve is held. Raises ValueError in an eased segment.
    """
    after = int(np.searchsorted(keys.frames, frame))
    inside = 0 < after < len(keys.frames)
    kind = int(keys.extras["interpolation"][after - 1]) if inside else CONSTANT
    if kind > BEZIER:
        raise ValueError(
            f"the curve is eased (interpolation {kind}) at frame {frame:g}, expected constant, "
            "linear or Bezier keys: key the control anew with one of these."
        )
    points = keys.points.copy()
    third = np.array([[1.0 / 3.0, 0.0]])
    here = np.array([[frame, value]])
    new = np.concatenate((here - third, here, here + third))
    if inside and kind == BEZIER:
        split = _split(_segment(points[after - 1], points[after]), frame)
        points[after - 1, 2], new, points[after, 0] = split[1], split[2:5], split[5]
    source = min(max(after - 1, 0), len(points) - 1)
    extras = {
        name: np.insert(values, after, values[source] if inside else _DEFAULTS.get(name, 0)).astype(
            values.dtype
        )
        for name, values in keys.extras.items()
    }
    if not inside:
        extras["interpolation"][after] = CONSTANT
    return Keys(np.insert(points, after, new, axis=0), extras)


def _segment(before: Floats, after: Floats) -> Floats:
    """(4,2) a segment's control points, handles shortened where they overlap, as Blender does."""
    a, b = before[1], after[1]
    out, back = before[2] - a, after[0] - b
    reach, length = abs(out[0]) + abs(back[0]), b[0] - a[0]
    share = min(1.0, length / reach) if reach > 0.0 else 1.0
    return np.stack((a, a + share * out, b + share * back, b))


def _split(segment: Floats, frame: float) -> Floats:
    """(7,2) control points of the two halves of a segment, which meet on the frame."""
    low, high = 0.0, 1.0
    for _ in range(60):  # the frame rises along a segment, so halving finds it
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _at(segment, middle)[0] < frame else (low, middle)
    u = 0.5 * (low + high)
    p, q, r, s = segment
    pq, qr, rs = p + u * (q - p), q + u * (r - q), r + u * (s - r)
    pqr, qrs = pq + u * (qr - pq), qr + u * (rs - qr)
    return np.stack((p, pq, pqr, pqr + u * (qrs - pqr), qrs, rs, s))


def _at(segment: Floats, u: float) -> Floats:
    v = 1.0 - u
    return np.array([v**3, 3 * v * v * u, 3 * v * u * u, u**3]) @ segment
