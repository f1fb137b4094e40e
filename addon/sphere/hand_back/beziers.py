# SPDX-License-Identifier: GPL-3.0-or-later
"""Bezier segments of F-curves as numbers: cut, evaluated by time, fitted to values.

A segment is (4,2): key, handle, handle, key, each a time and a value; its times rise.
"""

from typing import Any

import numpy as np

# So often the parameter of a time is halved: beyond what float32 keys hold.
_HALVINGS = 48
# How little the handles that are expected weigh against values that are known.
_PRIOR = 1e-4


def limited(segment: Any) -> Any:
    """The segment as Blender plays it: a handle that is longer than the segment is cut to it."""
    found = np.array(segment, dtype=np.float64)
    length = found[3, 0] - found[0, 0]
    for key, handle in ((0, 1), (3, 2)):
        arm = found[handle] - found[key]
        if abs(arm[0]) > length > 0.0:
            found[handle] = found[key] + arm * (length / abs(arm[0]))
    return found


def straight(first: Any, last: Any) -> Any:
    """The segment that is a line between two keys (2,)."""
    share = np.arange(4.0)[:, None] / 3.0
    return (1.0 - share) * np.asarray(first, dtype=np.float64) + share * np.asarray(last)


def parameters(times: Any, wanted: Any) -> Any:
    """(N,) where on the segment with handle times (4,) the wanted times (N,) are, 0 to 1."""
    low = np.zeros(len(wanted))
    high = np.ones(len(wanted))
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        late = weights(middle) @ times > wanted
        high = np.where(late, middle, high)
        low = np.where(late, low, middle)
    return 0.5 * (low + high)


def weights(at: Any) -> Any:
    """(N,4) what each of the four points counts for at parameters (N,)."""
    a, b = np.asarray(at, dtype=np.float64), 1.0 - np.asarray(at, dtype=np.float64)
    return np.stack((b**3, 3.0 * a * b * b, 3.0 * a * a * b, a**3), axis=-1)


def cut(segment: Any, first: float, last: float) -> Any:
    """The part of a segment between two times inside it, as a segment (4,2)."""
    a, b = parameters(segment[:, 0], np.array([first, last]))
    a = 0.0 if first <= segment[0, 0] else a
    b = 1.0 if last >= segment[3, 0] else b
    return np.stack([_blossom(segment, *at) for at in ((a, a, a), (a, a, b), (a, b, b), (b, b, b))])


def _blossom(segment: Any, *at: float) -> Any:
    points = segment
    for share in at:
        points = (1.0 - share) * points[:-1] + share * points[1:]
    return points[0]


def fitted(times: Any, ends: Any, expected: Any, inside: Any, values: Any) -> Any:
    """(2,) values of the two handles of a segment that comes nearest to known values.

    times (4,)      of key, handle, handle, key
    ends (2,)       values of the keys
    expected (2,)   of the handles; they count where too few values are known
    inside (N,), values (N,)   times between the keys and what is wanted there
    """
    share = weights(parameters(times, inside))
    rest = values - share[:, 0] * ends[0] - share[:, 3] * ends[1]
    rows = np.concatenate((share[:, 1:3], _PRIOR * np.eye(2)))
    found, *_ = np.linalg.lstsq(rows, np.concatenate((rest, _PRIOR * expected)), rcond=None)
    return found
