# SPDX-License-Identifier: GPL-3.0-or-later
"""A captured motion keyed on the puppet as an animator would: splines through chosen keys."""

from dataclasses import dataclass, replace

import numpy as np

from demo_scenes.captured.motions import CapturedMotion

from .legs import ankle, hip, leg_lengths
from .plan import CONTACT, EXTREME, PAUSE, extremes, moved, runs, thinned, with_breakdowns
from .plants import Stands, planted
from .posing import tracks_of
from .puppet import SIDES, Floats, Puppet, Tracks, puppet_of
from .splines import Spline

# A leg is never keyed straighter than this share of its length: a knee bent by 11 degrees under
# a foot that stands, by 20 in the air, where a steered leg that is nearly straight snaps.
STRAIGHTEST, IN_AIR = 0.995, 0.985
_PULLS = 60


@dataclass(frozen=True, kw_only=True)
class Manner:
    """How somebody keys.

    tolerance  how far splines may miss, as a share of what this project calls close: the hips
               1.5 cm, the head and feet 2.5 cm, hands 4 cm
    handles    kind of the body's and the arms' handles, see splines; feet are always clamped
    offsets    frames by which neck, left arm and right arm are keyed after the body
    gap_s      least time between two keys of a control that are not contacts
    crisp      feet come down at full speed, with broken handles, instead of easing in
    """

    tolerance: float = 1.0
    handles: str = "clamped"
    offsets: tuple[int, int, int] = (1, 2, 1)
    gap_s: float = 0.12
    crisp: bool = False


@dataclass(frozen=True, eq=False)
class Keyed:
    """Splines by channel name, over T frames."""

    splines: dict[str, Spline]
    frame_count: int

    @property
    def tracks(self) -> Tracks:
        """The channels (T,C) on every frame."""
        at = np.arange(self.frame_count)
        return {name: curve.at(at) for name, curve in self.splines.items()}


def key_motion(motion: CapturedMotion, manner: Manner) -> Keyed:
    """Key a motion at its own frame rate; raises ValueError where a leg cannot reach."""
    puppet, tracks = puppet_of(motion), tracks_of(motion)
    stands = {}
    for side in SIDES:
        tracks, stands[side] = planted(motion, tracks, side)
    last, gap = motion.frame_count - 1, max(3, round(manner.gap_s * motion.fps))
    poses = _poses(tracks, stands)
    splines: dict[str, Spline] = {}
    for name, values in tracks.items():
        wanted = _key_frames(name, tracks, stands, poses, manner, last, gap)
        arm, metres = closeness(name)
        kind = "clamped" if name.startswith("foot") else manner.handles
        tolerance = metres * manner.tolerance
        splines[name] = with_breakdowns(values, wanted, kind, tolerance, arm=arm)[1]
    keyed = within_reach(puppet, Keyed(splines, motion.frame_count), stands)
    return _crisp(keyed, stands) if manner.crisp else keyed


def closeness(name: str) -> tuple[float | None, float]:
    """Arm (None for places) and metres by which a channel may be missed."""
    part, channel = name.split(".")[0], name.split(".")[-1]
    if channel == "place":
        return None, 0.015 if part == "hips" else 0.025
    arms = {"hips": 0.5, "chest": 0.5, "neck": 0.25, "upper_arm": 0.5, "forearm": 0.35}
    near = {"hips": 0.025, "chest": 0.025, "neck": 0.025, "foot": 0.02}
    return arms.get(part, 0.2), near.get(part, 0.04)


def _poses(tracks: Tracks, stands: dict[str, Stands]) -> list[tuple[int, int]]:
    """The body's poses: contacts of the feet, and where the hips turn back."""
    found = [(t, CONTACT) for stand in stands.values() for run in stand.ball for t in run]
    return found + [(t, EXTREME) for t in extremes(tracks["hips.place"], 0.02)]


def _key_frames(
    name: str,
    tracks: Tracks,
    stands: dict[str, Stands],
    poses: list[tuple[int, int]],
    manner: Manner,
    last: int,
    gap: int,
) -> list[int]:
    """A channel's keys before breakdowns are added."""
    part, *side, channel = name.split(".")
    if part in ("foot", "knee"):
        stand = stands[side[0]]
        borders = stand.ball if channel == "place" else stand.flat
        own = [(t, CONTACT) for run in borders for t in run]
        own += [(t, EXTREME) for t in extremes(tracks[f"foot.{side[0]}.place"], 0.05)]
        inside = {t for a, b in borders for t in range(a + 1, b)}
        return [t for t in thinned(own, last, gap) if t not in inside]
    if part in ("hips", "chest"):
        return thinned(poses, last, gap)
    late = dict(zip(("neck", "L", "R"), manner.offsets, strict=True))[(side or ["neck"])[0]]
    base = [(t, PAUSE) for t in moved((t for t, _ in poses), late, last)]
    led = f"upper_arm.{side[0]}.turn" if side else name
    own = [(t, EXTREME) for t in extremes(tracks[led], 0.1)]
    return thinned(base + own, last, gap)


def within_reach(
    puppet: Puppet, keyed: Keyed, stands: dict[str, Stands], straightest: float = STRAIGHTEST
) -> Keyed:
    """Lower the hips' keys, or draw in those of a foot in the air, until no leg is stretched."""
    splines = dict(keyed.splines)
    for _ in range(_PULLS):
        keyed = Keyed(splines, keyed.frame_count)
        tracks, done = keyed.tracks, True
        for side in SIDES:
            way = ankle(puppet, tracks, side) - hip(puppet, tracks, side)
            length = np.linalg.norm(way, axis=-1)
            bears = np.array([_stands(stands[side], t) for t in range(len(length))])
            limit = np.where(bears, straightest, min(straightest, IN_AIR))
            excess = length - limit * sum(leg_lengths(puppet, side))
            if excess.max() <= 0.0:
                continue
            done = False
            for first, last in runs(excess > 0.0):
                pull = 1.05 * excess[first : last + 1].max() + 1e-4
                worst = first + int(np.argmax(excess[first : last + 1]))
                toward = pull * way[worst] / length[worst]
                name, shift = _who_gives(splines, stands[side], side, worst, toward)
                splines[name] = _pulled(splines[name], worst, shift, _free(name, splines, stands))
        if done:
            return keyed
    raise ValueError(f"a leg is still stretched by {100 * excess.max():.1f} cm: key it closer.")


def _who_gives(
    splines: dict[str, Spline], stand: Stands, side: str, frame: int, toward: Floats
) -> tuple[str, Floats]:
    """A standing foot stays: the hips come down to it. One in the air is drawn in."""
    curve = splines[f"foot.{side}.place"]
    a, b = _around(curve, frame)
    nearer = a if frame - curve.frames[a] < curve.frames[b] - frame else b
    standing = _stands(stand, int(curve.frames[nearer]))
    return ("hips.place", toward) if standing else (f"foot.{side}.place", -toward)


def _stands(stand: Stands, frame: int) -> bool:
    return any(a <= frame <= b for a, b in stand.ball)


def _free(name: str, splines: dict[str, Spline], stands: dict[str, Stands]) -> list[bool]:
    """Which keys of a channel may be moved: those of a standing foot may not."""
    part, *side, _channel = name.split(".")
    frames = [int(frame) for frame in splines[name].frames]
    return [part == "hips" or not _stands(stands[side[0]], frame) for frame in frames]


def _around(curve: Spline, frame: int) -> tuple[int, int]:
    after = int(np.clip(np.searchsorted(curve.frames, frame), 1, len(curve.frames) - 1))
    return after - 1, after


def _pulled(curve: Spline, frame: int, shift: Floats, free: list[bool]) -> Spline:
    """The curve with its free keys on either side of a frame shifted, the nearer one more."""
    a, b = _around(curve, frame)
    share = (frame - curve.frames[a]) / (curve.frames[b] - curve.frames[a])
    weight = np.array([(1.0 - share) * free[a], share * free[b]])
    moved = np.zeros(curve.values.shape)
    moved[[a, b]] = np.outer(weight / max(float(weight @ weight), 0.1), shift)
    if curve.cyclic:  # the last key is the first, one round on
        moved[0] = moved[-1] = moved[0] + moved[-1]
    return curve.with_values(curve.values + moved)


def _crisp(keyed: Keyed, stands: dict[str, Stands]) -> Keyed:
    """Each foot comes down as fast as it came: the handle before the contact points at the key
    before it."""
    splines = dict(keyed.splines)
    for side in SIDES:
        curve = splines[f"foot.{side}.place"]
        slopes = curve.slopes_in.copy()
        for first, _last in stands[side].ball:
            at = int(np.searchsorted(curve.frames, first))
            if at > 0:
                gap = curve.frames[at] - curve.frames[at - 1]
                slopes[at] = (curve.values[at] - curve.values[at - 1]) / gap
        splines[f"foot.{side}.place"] = replace(curve, slopes_in=slopes)
    return Keyed(splines, keyed.frame_count)
