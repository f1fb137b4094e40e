# SPDX-License-Identifier: GPL-3.0-or-later
"""Hops of the puppet, one after the other: poses and feet as told here, and hips that take the
centre of mass along the path that `hop_path` gives it.

Arms swing back before the push and up with it; heels come up last and land first on the balls
(common practice, no source).
"""

from dataclasses import dataclass

import numpy as np

from analysis import Clip, Settings
from analysis import quaternions as quat
from analysis.basis import build_basis

from .authored import STANCE, channel_values, puppet
from .hop_path import Floats, Hop, smooth
from .plan import runs
from .posing import clip_of
from .puppet import SIDES, Tracks
from .splines import spline

# Motion is made so often a second at the captured figure's size: both rates divide it.
FINE_HZ = 240.0
TRIES, ROUNDS = 60, 6
SIZES = (0.8, 1.3)
# How late the arms come after the body, seconds.
ARMS_LATE_S = 0.03
# Degrees (forward, to its left, turned left) and bends: standing, lowest, leaving, highest,
# landing, lowest again. Arms as those of the left side.
_TURNS = {
    "hips.turn": (2, 26, 6, 9, 8, 24),
    "chest.turn": (3, 20, 3, 8, 10, 18),
    "neck.turn": (-3, -24, -6, -10, -10, -22),
    "upper_arm.turn": (4, 40, -90, -85, -55, -22),
    "forearm.bend": (18, 20, 35, 40, 35, 30),
    "hand.turn": (6, 10, 2, 0, 4, 8),
}
_ARM_OUT = (-9, -14, -18, -24, -22, -12)
# How far the heel is up, degrees: flat, lowest, leaving, highest, landing, lowest again.
_HEEL = (0, 0, 38, 24, 10, 0)


@dataclass(frozen=True, eq=False)
class Shot:
    """Hops one after the other as the puppet's channels on the frames of a rate.

    tracks   of the puppet at the captured figure's size
    air      (T,) whether it flies
    poses    frames (with their fractions) of each hop's poses: where it begins to go down, lowest,
             leaving, highest, landing, lowest again, standing
    size     how many times as tall the figure is that does it
    """

    tracks: Tracks
    air: np.ndarray
    poses: Floats
    size: float


def posed_shot(rng: np.random.Generator, fps: float, *, varied: bool) -> Clip:
    """Three to five hops; those that the legs cannot reach are drawn again.

    varied   whether each flight has a height of its own
    """
    shot = free_shot(rng, fps, varied=varied)
    chosen = {
        name: values * (shot.size if name.endswith("place") else 1.0)
        for name, values in shot.tracks.items()
    }
    return clip_of(puppet().scaled(shot.size), chosen, fps, name="hops")


def free_shot(rng: np.random.Generator, fps: float, *, varied: bool, lower_m: float = 0.0) -> Shot:
    """Three to five hops, with hips that are so much lower as feet leave and land."""
    for _ in range(TRIES):
        try:
            return _shot(rng, fps, varied=varied, lower_m=lower_m)
        except ValueError:
            continue
    raise ValueError(f"none of {TRIES} shots is within reach of the legs: draw lower hops.")


def random_hop(rng: np.random.Generator, air_s: float) -> Hop:
    """A hop of a time in the air, as somebody might do it."""
    return Hop(
        air_s=air_s,
        travel_m=(rng.uniform(-0.1, 0.55), rng.uniform(-0.2, 0.2)),
        crouch_m=rng.uniform(0.16, 0.26),
        catch_m=rng.uniform(0.12, 0.24),
        stand_s=rng.uniform(0.1, 0.35),
        down_s=rng.uniform(0.3, 0.5),
        up_s=rng.uniform(0.4, 0.6),
        lift_m=rng.uniform(-0.01, 0.03),
        tuck_m=rng.uniform(0.02, 0.1),
    )


def _shot(rng: np.random.Generator, fps: float, *, varied: bool, lower_m: float) -> Shot:
    size, alike = rng.uniform(*SIZES), rng.uniform(0.39, 0.56)
    hops = []
    for _ in range(rng.integers(3, 6)):
        own = rng.uniform(0.4, 0.57) if varied else alike * rng.uniform(0.96, 1.04)
        hop = random_hop(rng, own)
        hops.append(hop.lowered(lower_m) if lower_m else hop)
    # A figure `size` times as tall takes sqrt(size) times as long.
    hz = FINE_HZ * float(np.sqrt(size))
    tracks, wanted, air = _joined(hops, hz, rng)
    every = round(FINE_HZ / fps)
    chosen = _along(tracks, wanted, air, hz, every)
    return Shot(chosen, air[::every], _poses(hops) * hz / every, size)


def _poses(hops: list[Hop]) -> Floats:
    """(hops, 7) seconds at which each hop's poses lie."""
    starts = np.cumsum([0.0] + [hop.seconds for hop in hops[:-1]])
    tops = [0.5 * (hop.times[2] + hop.times[3]) for hop in hops]
    own = [np.insert(hop.times[:6], 3, top) for hop, top in zip(hops, tops, strict=True)]
    return np.array(own) + starts[:, None]


def _joined(
    hops: list[Hop], hz: float, rng: np.random.Generator
) -> tuple[Tracks, Floats, np.ndarray]:
    """All channels, where the centre of mass is to go (T,3), and where the figure flies (T,)."""
    starts = np.concatenate(([0.0], np.cumsum([hop.seconds for hop in hops])))
    time = np.arange(int(starts[-1] * hz)) / hz
    tracks = _turns(hops, starts, time, rng)
    way = np.zeros((len(time), 3))
    feet = {side: np.zeros((len(time), 3)) for side in SIDES}
    air = np.zeros(len(time), dtype=bool)
    gone = np.zeros(2)
    for hop, start in zip(hops, starts, strict=False):
        here = (time >= start) & (time < start + hop.seconds)
        since = time[here] - start
        way[here] = hop.path(since) + [*gone, 0.0]
        for side in SIDES:
            feet[side][here] = _foot(hop, since) + [*gone, 0.0]
        air[here] = (since > hop.times[2]) & (since < hop.times[3])
        gone = gone + hop.whole_m
    stance = {name: channel_values(name, told) for name, told in STANCE.items()}
    tracks["hips.place"] = stance["hips.place"] + _seen(way)
    for side in SIDES:
        tracks[f"foot.{side}.place"] = stance[f"foot.{side}.place"] + _seen(feet[side])
        tracks[f"knee.{side}.swivel"] = np.zeros((len(time), 1))
    return tracks, way, air


def _seen(way: Floats) -> Floats:
    """Ahead, left and up in the world: the puppet looks along -Y, and its left is +X."""
    return np.stack((way[:, 1], -way[:, 0], way[:, 2]), axis=-1)


def _foot(hop: Hop, time: Floats) -> Floats:
    """(N,3) ahead, left and up: a foot stays, flies with the body and its legs drawn up, stays."""
    leave = hop.times[2]
    u = np.clip((time - leave) / hop.air_s, 0.0, 1.0)
    rise = np.maximum(hop.path(time)[:, 2] - hop.lift_m, 0.0) * ((u > 0.0) & (u < 1.0))
    up = rise + hop.tuck_m * np.sin(np.pi * u) ** 2
    return np.concatenate((np.outer(smooth(u), hop.whole_m), up[:, None]), axis=1)


def _turns(hops: list[Hop], starts: Floats, time: Floats, rng: np.random.Generator) -> Tracks:
    """Splines through the poses' turns, each hop's poses a little its own."""
    keys, hop_keys = [], []
    for hop, start in zip(hops, starts, strict=False):
        leave, land = hop.times[2:4]
        mid = 0.5 * (leave + land)
        keys.append(start + np.array([hop.times[0], hop.times[1], leave, mid, land, hop.times[4]]))
        hop_keys.append(rng.uniform(0.85, 1.15, size=6))
    at = np.concatenate([[0.0], *keys, [float(time[-1]) + 0.3]])
    much = np.concatenate([[1.0], *hop_keys, [1.0]])
    order = np.array([0, *(list(range(6)) * len(hops)), 0])
    out = dict(zip(_TURNS, rng.normal(0.0, 1.5, size=len(_TURNS)), strict=True))

    def track(name: str, told: list[list[float]], late: float) -> Floats:
        values = np.array([channel_values(name, each) for each in told])
        if name.endswith("turn"):
            values = quat.continuous(values)
        found = spline(at + late, values, "clamped").at(time)
        return quat.normalise(found) if name.endswith("turn") else found

    tracks: Tracks = {}
    for name, values in _TURNS.items():
        part, channel = name.split(".")
        leans = np.array(values)[order] * much
        for side in SIDES if part in ("upper_arm", "forearm", "hand") else ("",):
            sign = -1.0 if side == "R" else 1.0
            own = leans + (out[name] if side == "R" else 0.0)
            aside = np.array(_ARM_OUT)[order] * sign if part == "upper_arm" else 0.0 * own
            told = [
                [a] if channel == "bend" else [a, b, 0.0] for a, b in zip(own, aside, strict=True)
            ]
            full = f"{part}.{side}.{channel}" if side else name
            tracks[full] = track(full, told, ARMS_LATE_S if side else 0.0)
    for side in SIDES:
        turn = STANCE[f"foot.{side}.turn"]
        told = [[float(heel), 0.0, turn[2]] for heel in np.array(_HEEL)[order]]
        tracks[f"foot.{side}.turn"] = track(f"foot.{side}.turn", told, 0.0)
    return tracks


def _along(tracks: Tracks, way: Floats, air: np.ndarray, hz: float, every: int) -> Tracks:
    """Every n-th frame of the channels with the centre of mass where it is to go: the hips give
    way, and the feet with them in the air. No pose asks for another one but for those in which
    feet leave and land, so that no more frames are posed."""
    chosen, flights = np.arange(0, len(way), every), runs(air)
    ends = [frame for first, last in flights for frame in (first - 1, last + 1)]
    posed = np.union1d(chosen, ends).astype(int)
    tracks = {name: values[posed] for name, values in tracks.items()}
    way, first = way[posed], None
    for _ in range(ROUNDS):
        clip = clip_of(puppet(), tracks, hz, name="hops")
        com = build_basis(clip, Settings(cycle="no")).com
        assert com is not None
        first = com[0] if first is None else first
        shift = first + _seen(way) - com
        tracks = dict(tracks, **{"hips.place": tracks["hips.place"] + shift})
        for side in SIDES:
            name = f"foot.{side}.place"
            tracks[name] = tracks[name] + _between_stands(shift, posed, flights)
    at = np.searchsorted(posed, chosen)
    return {name: values[at] for name, values in tracks.items()}


def _between_stands(shift: Floats, posed: np.ndarray, flights: list[tuple[int, int]]) -> Floats:
    """What feet are moved by on some frames (T,3): with the body in the air, but so that they leave
    from where they stood and come to where they stand."""
    moved = np.zeros(shift.shape)
    for first, last in flights:
        before, after = np.searchsorted(posed, (first - 1, last + 1))
        air = slice(before + 1, after)
        u = smooth((posed[air] - (first - 1)) / (last - first + 2.0))[:, None]
        moved[air] = shift[air] - (1.0 - u) * shift[before] - u * shift[after]
    return moved
