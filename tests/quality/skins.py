# SPDX-License-Identifier: GPL-3.0-or-later
"""How far a blade is from the figure's skins.

Skins are the collision shapes of the figure that the captured motion was made for
(pybullet_data/humanoid/humanoid.urdf, lengths / 4), as shares of its 1.62 m; a foot is as thick
as half of its box.
"""

from collections.abc import Sequence
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from .blade import NAME, blade_points
from .moves import ends_of, height_of, target

Floats = NDArray[np.float64]

URDF_M = 1.62
SKINS: MappingProxyType[str, float] = MappingProxyType(
    {
        part: radius / 4.0 / URDF_M
        for part, radius in (
            ("head", 0.41),
            ("root", 0.36),
            ("chest", 0.44),
            ("thigh", 0.22),
            ("shin", 0.20),
            ("upper_arm", 0.18),
            ("forearm", 0.16),
            ("hand", 0.16),
            ("foot", 0.11),
        )
    }
)
# Spheres of the collision shapes lie this far along their joint's Y, in metres at 1.62 m.
CENTRES = MappingProxyType({"head": 0.175 - 0.073, "root": 0.07, "chest": 0.12})
# The shape of a hand is the wrist's alone: fingers go on so far, of the height.
FINGERS = 0.06
# Looks from a frame to the next; points along each line of the blade.
BETWEEN, ALONG = 5, 32


def clearance(
    clip: Clip,
    side: str,
    between: int = BETWEEN,
    along: int = ALONG,
    skins: Sequence[tuple[str, Floats, float]] | None = None,
) -> Floats:
    """(T,C) metres from the blade to each skin that is not the holding arm's; below 0: inside.

    The blade is a row of points on its middle line and on both edges; between frames it is taken
    as turning evenly, and the least of `between` looks until the next frame counts.
    """
    points = blade_points(clip)
    line = np.linspace(0.0, 1.0, along)[:, None] * (points["tip"] - points["base"])
    across = 0.5 * (points["edge"] - points["back"])
    row = np.concatenate([points["base"] + line + n * across for n in (-1.0, 0.0, 1.0)])
    joint = clip.joint(NAME)
    places, turns = clip.positions[:, joint], clip.rotations[:, joint]
    skins = skins or skins_of(clip, side)
    least = np.full((len(clip.frames), len(skins)), np.inf)
    for n in range(between):
        share = n / between
        place, turn = _towards(places, share), quat.normalise(_towards(turns, share))
        seen = place[:, None] + quat.rotate(turn[:, None], row[None])
        for c, (_part, rod, radius) in enumerate(skins):
            gap = _from_rod(seen, _towards(rod, share)) - radius
            least[:, c] = np.minimum(least[:, c], gap)
    return least


def skins_of(clip: Clip, side: str) -> list[tuple[str, Floats, float]]:
    """Part, rod (T,2,3) and radius in metres of what the blade in a hand must not cut."""
    height = height_of(clip)
    own = {f"{kind}.{side}" for kind in ("hand", "forearm", "upper_arm")}
    found = []
    for part in clip.meta.roles:
        kind = part.partition(".")[0]
        if kind not in SKINS or part in own:
            continue
        joint = target(clip, part).joint
        rod = ends_of(clip, joint)
        if kind == "hand":
            rod[:, 1] = rod[:, 0] + quat.rotate(
                clip.rotations[:, joint], np.array([0.0, FINGERS * height, 0.0])
            )
        if kind in CENTRES:
            offset = np.array([0.0, CENTRES[kind] * height / URDF_M, 0.0])
            centre = clip.positions[:, joint] + quat.rotate(clip.rotations[:, joint], offset)
            rod = np.stack((centre, centre), axis=1)
        found.append((part, rod, SKINS[kind] * height))
    return found


def _towards(values: Floats, share: float) -> Floats:
    """Values (T,...) a share of the way on to the next sample's."""
    nearest = np.concatenate((values[1:], values[-1:]))
    return values + share * (nearest - values)


def _from_rod(points: Floats, rod: Floats) -> Floats:
    """(T,) the least distance of points (T,N,3) from a rod (T,2,3)."""
    start, along = rod[:, :1], rod[:, 1:] - rod[:, :1]
    square = np.maximum(np.sum(along * along, axis=-1), 1e-12)
    share = np.clip(np.sum((points - start) * along, axis=-1) / square, 0.0, 1.0)
    gap = points - start - share[..., None] * along
    return np.linalg.norm(gap, axis=-1).min(axis=1)
