# SPDX-License-Identifier: GPL-3.0-or-later
"""From where a finding is seen best: where it is, which way is square to it, how much to show.

An error is seen whole by whoever looks along the normal of the plane in which it lies: that of the
way that the point goes and of the way by which it is off (to its suggested place, else to the
middle between its neighbours). Where the two are one line, where it is off by nothing, and for what
feet do to the floor, the plane stands upright along the way it goes: the eye is at its side. A prop
that shows only its edge is seen from its face. That a view square to a plane shows lengths and
angles in it as they are is geometry; which plane is asked for is common practice, no source.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .carried import carried_in
from .finding import Finding
from .parts import limb_of
from .picture import HALF, Picture
from .quaternions import from_axes
from .screen import has_camera, picture_of
from .trails import JOINT, Spot, finding_spot, lead_title, path_of

if TYPE_CHECKING:
    from .basis import Basis
    from .pipeline import Examination

Floats = NDArray[np.float64]

UP = np.array([0.0, 0.0, 1.0])
# What happens between a foot and the floor is seen from the side.
OF_FLOOR = ("slide", "sink", "stomp")
OF_FACE = ("edge_on",)
# The way that a point goes is told by this many frames on each side.
AROUND = 2
# Ways of less than this share of the figure's height have no direction that an eye could see.
NO_WAY = 5e-4
# Sine of the angle under which two ways are one line: 10 degrees.
ONE_LINE = 0.17
# An arm or a leg with what it reaches is about half of a figure (common practice, no source).
LIMB_SHARE = 0.5
# Of the view's shorter side, how much what is looked at takes.
FILLS = 0.6
# The width that Blender's views show at a distance of one unit, times their lens in mm
# (tried in 5.2).
SENSOR_MM = 72.0


@dataclass(frozen=True, eq=False)
class Sight:
    """point (3,)      where to look, scene metres, world
    direction (3,)  unit vector from there to the eye; its opposite is as good
    size_m          how much is to be seen around it, scene metres
    """

    point: Floats
    direction: Floats
    size_m: float


def sight_of(examination: "Examination", finding: Finding) -> Sight:
    """Where to look at a finding from, on its worst frame."""
    basis = examination.basis
    spot, path = _shown(examination, finding)
    at = sample_at(basis.frames, finding.peak_frame)
    direction = _face(basis, spot, at) if finding.check in OF_FACE else None
    if direction is None:
        least = NO_WAY * basis.height.scene_m
        way = _way(path, at)
        off = UP if finding.check in OF_FLOOR else _off(path, at, finding)
        if finding.check in OF_FLOOR:
            way = _level(_off(path, at, finding) if _size(_level(way)) < least else way)
        direction = normal_of(way, off, basis.forward[at], least)
    size = basis.height.scene_m * (LIMB_SHARE if limb_of(finding.part or "") else 1.0)
    return Sight(path[at].copy(), direction, size)


def normal_of(way: Floats, off: Floats, forward: Floats, least: float) -> Floats:
    """(3,) unit normal of the plane of two ways (3,); `forward` (3,) is taken for a way shorter
    than `least`, and up for the other where that one is short or along the first."""
    way = way if _size(way) >= least else np.asarray(forward, dtype=np.float64)
    for second in (off, UP, forward):
        normal = np.cross(way, second)
        sizes = _size(way) * _size(second)
        if _size(second) >= least and sizes > 0.0 and _size(normal) > ONE_LINE * sizes:
            return np.asarray(normal / _size(normal))
    return np.array([1.0, 0.0, 0.0])


def nearer_side(direction: Floats, eye: Floats) -> Floats:
    """A direction (3,) or its opposite: that which turns a view less whose eye is at (3,)."""
    return np.asarray(-direction if float(np.dot(direction, eye)) < 0.0 else direction)


def view_turn(direction: Floats, top: Floats) -> Floats:
    """(4,) unit quaternion w,x,y,z of a view that looks against a direction (3,), upright.

    A view's own Z points to the eye, Y up on the screen, X right. Looking straight down or up,
    `top` (3,), what was up on the screen before, stays there as nearly as it can.
    """
    z = np.asarray(direction, dtype=np.float64) / _size(direction)
    upright = UP if abs(float(z[2])) < 1.0 - 1e-6 else np.asarray(top, dtype=np.float64)
    x = np.cross(upright, z)
    if _size(x) < 1e-6:
        x = np.cross([0.0, 1.0, 0.0], z)
    x = x / _size(x)
    return np.asarray(from_axes(x, np.cross(z, x), z))


def view_distance(size: float, lens_mm: float, width: float, height: float) -> float:
    """How far the eye is from what it looks at so that `size` fills most of a view's shorter side.

    width, height in pixels. The same distance gives the scale of a view without perspective.
    """
    longer, shorter = max(width, height, 1.0), max(min(width, height), 1.0)
    return size / FILLS * (lens_mm / SENSOR_MM) * (longer / shorter)


def camera_text(examination: "Examination", finding: Finding) -> str:
    """That the camera's picture does not hold the finding's point on its worst frame, as a
    sentence; empty where it does, or the shot has no camera."""
    basis = examination.basis
    if not has_camera(basis.clip) or finding.part == "camera":
        return ""
    _spot, path = _shown(examination, finding)
    at = sample_at(basis.frames, finding.peak_frame)
    where = place_on(picture_of(basis.clip).at(slice(at, at + 1)), path[at])
    if not where:
        return ""
    return f"Not on camera here: {'behind it' if where == 'behind' else where}."


def place_on(picture: Picture, point: Floats) -> str:
    """Where a point (3,) is on a picture of one frame: `behind`, `to the left`, `above` ..., the
    side by which it is farthest outside; empty where it is inside."""
    places, scale, _shows = picture.seen(np.asarray(point, dtype=np.float64)[None, None])
    if not scale[0, 0] > 0.0:
        return "behind"
    right, up = places[0, 0] / (HALF * np.array([picture.aspect[0], 1.0]))
    if max(abs(right), abs(up)) <= 1.0:
        return ""
    if abs(right) >= abs(up):
        return "to the right" if right > 0.0 else "to the left"
    return "above" if up > 0.0 else "below"


def sample_at(frames: Floats, frame: float) -> int:
    """The sample (of frames (T,)) that is nearest to a frame."""
    return int(np.abs(frames - frame).argmin())


def _shown(examination: "Examination", finding: Finding) -> tuple[Spot, Floats]:
    """The spot that shows a finding and its path; where that one is not known, what leads."""
    spot = finding_spot(examination, finding)
    try:
        return spot, path_of(examination.basis, spot)
    except KeyError:
        spot = Spot(lead_title(examination), JOINT)
        return spot, path_of(examination.basis, spot)


def _way(path: Floats, at: int) -> Floats:
    """(3,) from some frames before a sample to as many after."""
    first, last = max(at - AROUND, 0), min(at + AROUND, len(path) - 1)
    return np.asarray(path[last] - path[first])


def _off(path: Floats, at: int, finding: Finding) -> Floats:
    """(3,) from where the point is to where it is to be."""
    told = finding.suggestion
    if told is not None and told.offset is not None:
        return np.asarray(told.offset, dtype=np.float64)
    if told is not None and told.position is not None:
        return np.asarray(told.position - path[at])
    before, after = path[max(at - 1, 0)], path[min(at + 1, len(path) - 1)]
    return np.asarray((before + after) / 2.0 - path[at])


def _face(basis: "Basis", spot: Spot, at: int) -> Floats | None:
    """(3,) square to the flat of a prop; None where it has none."""
    title = spot.title
    for carried in carried_in(basis):
        if basis.bodies[carried.body].title == title and carried.width > 0.0:
            along = carried.directed(basis, carried.tip - carried.base)[at]
            wide = carried.directed(basis, carried.edges[1] - carried.edges[0])[at]
            flat: Floats = np.cross(along, wide)
            return flat / _size(flat) if _size(flat) > ONE_LINE else None
    return None


def _level(way: Floats) -> Floats:
    return np.asarray([way[0], way[1], 0.0])


def _size(way: Floats) -> float:
    return float(np.linalg.norm(way))
