# SPDX-License-Identifier: GPL-3.0-or-later
"""What is keyed in a stride: trunk, arms and feet on their frames."""

from dataclasses import dataclass

import numpy as np

from .puppet import Floats
from .splines import spline

Told = dict[str, dict[int, Floats]]

# A foot's keys by phase of the stride, 0 where it lands: how far its ball has gone on to the next
# print (share of a stride), its height in metres, its pitch in degrees (toes down). The phase
# one half is always keyed, so that both feet have a key on the cycle's first frame.
_WALK = (
    (0.0, 0.0, 0.055, -18.0),
    (0.08, 0.0, 0.0, 0.0),
    (0.38, 0.0, 0.0, 0.0),
    (0.5, 0.0, 0.0, 13.0),
    (0.6, 0.0, 0.0, 38.0),
    (0.69, 0.2, 0.05, 44.0),
    (0.79, 0.55, 0.045, 12.0),
    (0.92, 0.94, 0.08, -18.0),
)
_RUN = (
    (0.0, 0.0, 0.0125, -4.0),
    (0.06, 0.0, 0.0, 0.0),
    (0.2, 0.0, 0.0, 0.0),
    (0.35, 0.0, 0.0, 48.0),
    (0.5, 0.16, 0.3, 80.0),
    (0.66, 0.52, 0.24, 48.0),
    (0.8, 0.87, 0.12, 6.0),
    (0.92, 0.995, 0.05, -8.0),
)


@dataclass(frozen=True, kw_only=True)
class Gait:
    """One way to go. Metres and seconds for a figure 1.62 m tall.

    frames      of a stride (two steps), even; stride_m: how far it leads
    running     run or walk; strides: how many differ before the cycle repeats
    bob_m, sway_m, swing, twist     how much the body rises, sways, arms swing, chest turns
    late        frames by which chest, neck, arms, forearms and hands come after the hips
    start       frame of the stride on which the range starts: 0 is a landing of the left foot
    crisp       feet land at full speed, with broken handles
    turn_deg    how far a stride turns to the left; in_place: the ground moves, the body stays
    seed        for what differs between strides, and a manner of one's own
    """

    frames: int = 24
    stride_m: float = 1.3
    running: bool = False
    strides: int = 1
    bob_m: float = 0.016
    sway_m: float = 0.02
    swing: float = 22.0
    twist: float = 7.0
    late: tuple[int, int, int, int, int] = (0, 1, 1, 2, 3)
    start: int = 0
    crisp: bool = False
    turn_deg: float = 0.0
    in_place: bool = False
    seed: int = 0

    @property
    def length(self) -> int:
        """Frames of the whole cycle."""
        return self.frames * self.strides


def told_of(gait: Gait) -> Told:
    """Channel -> frame -> what is told there, going straight on along -Y; see `authored`."""
    told = _trunk(gait) | _arms(gait)
    for side in "LR":
        told |= _foot(gait, side)
    return {name: dict(sorted(keys.items())) for name, keys in told.items()}


def landings(gait: Gait, side: str) -> list[int]:
    """Frames on which a foot lands, from a round before the range to one after it."""
    shift = 0 if side == "L" else gait.frames // 2
    return [stride * gait.frames + shift for stride in range(-1, gait.strides + 1)]


def flat_after(gait: Gait) -> int:
    """Frames from a landing until the sole is flat."""
    return round(_table(gait)[1][0] * gait.frames)


def off_after(gait: Gait) -> int:
    """Frames from a landing until the toes leave the floor."""
    return round(max(row[0] for row in _table(gait) if row[1] == 0.0) * gait.frames)


def _table(gait: Gait) -> tuple[tuple[float, float, float, float], ...]:
    return _RUN if gait.running else _WALK


def _phases(gait: Gait, count: int) -> list[tuple[int, float, int]]:
    """(frame, phase, stride) of keys evenly spaced in every stride, and the cycle's last one."""
    found = []
    for stride in range(gait.strides):
        for k in range(count):
            phase = k / count
            found.append((stride * gait.frames + round(phase * gait.frames), phase, stride))
    return [*found, (gait.length, 0.0, 0)]


def _moods(gait: Gait) -> Floats:
    """(strides, 6) factors by which strides differ from each other."""
    return 1.0 + 0.07 * np.random.default_rng([1, gait.seed]).normal(size=(gait.strides, 6))


def _trunk(gait: Gait) -> Told:
    """Hips, chest and neck; sides alternate, so one wave goes as fast as the stride, one twice."""
    moods, chest_late, neck_late = _moods(gait), *gait.late[:2]
    top = 0.42 if gait.running else 0.33
    low, lean = (-0.085, 7.0) if gait.running else (-0.05, 3.0)
    place, hips, chest, neck = {}, {}, {}, {}
    for frame, phase, _stride in _phases(gait, 8):
        once, bob = 2.0 * np.pi * phase, np.cos(4.0 * np.pi * (phase - top))
        sway = gait.sway_m * np.cos(once - 0.6 * np.pi)
        ahead = -gait.stride_m * frame / gait.frames
        place[frame] = np.array([sway, ahead, low + gait.bob_m * bob])
        hips[frame] = np.array([lean, 2.5 * np.sin(once), -6.0 * np.cos(once)])
    for frame, phase, stride in _phases(gait, 4):
        once, bob, mood = 2.0 * np.pi * phase, np.cos(4.0 * np.pi * (phase - top)), moods[stride]
        turn = (6.0 + gait.twist) * mood[0] * np.cos(once)
        chest[frame] = np.array([1.5 * bob, -1.5 * np.sin(once), turn])
        neck[frame] = np.array([-lean - bob, 0.0, -gait.twist * mood[1] * np.cos(once)])
    return {
        "hips.place": place,
        "hips.turn": hips,
        "chest.turn": _late(chest, chest_late, gait),
        "neck.turn": _late(neck, neck_late, gait),
    }


def _arms(gait: Gait) -> Told:
    """Arms swing against the legs: the left one is back where the left foot lands."""
    moods = _moods(gait)
    bent = 75.0 if gait.running else 24.0
    told: Told = {}
    for side, sign, column in (("L", 1.0, 2), ("R", -1.0, 3)):
        upper, fore, hand = {}, {}, {}
        for frame, phase, stride in _phases(gait, 4):
            back = sign * np.cos(2.0 * np.pi * phase)
            mood = moods[stride, column]
            upper[frame] = np.array(
                [4.0 + gait.swing * mood * back, -sign * (9.0 + 2.0 * back**2), 0.0]
            )
            fore[frame] = np.array([bent - 0.5 * gait.swing * mood * back])
            hand[frame] = np.array([4.0 + 5.0 * back, 0.0, 0.0])
        for part, keys, late in (
            (f"upper_arm.{side}.turn", upper, gait.late[2]),
            (f"forearm.{side}.bend", fore, gait.late[3]),
            (f"hand.{side}.turn", hand, gait.late[4]),
        ):
            told[part] = _late(keys, late, gait)
    return told


def _late(keys: dict[int, Floats], by: int, gait: Gait) -> dict[int, Floats]:
    """Keys set off by some frames, with a key on the first and last frame of the cycle again."""
    if by == 0:
        return keys
    frames = np.array(sorted(keys))
    values = np.array([keys[frame] for frame in frames])
    curve = spline(frames + by, values, cyclic=True)
    moved = {int(frame) + by: value for frame, value in zip(frames[:-1], values[:-1], strict=True)}
    inside = {frame: value for frame, value in moved.items() if 0 < frame < gait.length}
    return {0: curve.at(np.zeros(1))[0], **inside, gait.length: curve.at(np.zeros(1))[0]}


def _foot(gait: Gait, side: str) -> Told:
    """One foot's prints and how it gets from one to the next."""
    sign, shift = (1.0, 0) if side == "L" else (-1.0, gait.frames // 2)
    across = sign * (-0.05 if gait.running else -0.02)
    lands = -(0.16 if gait.running else 0.3) * gait.stride_m
    place, turn = {}, {}
    for stride in range(-1, gait.strides + 1):
        for phase, share, height, pitch in _table(gait):
            frame = stride * gait.frames + shift + round(phase * gait.frames)
            if not 0 <= frame <= gait.length:
                continue
            prints = stride + shift / gait.frames + share
            place[frame] = np.array([across, lands - gait.stride_m * prints, height])
            turn[frame] = np.array([pitch, 0.0, 5.0 * sign])
    still = {0: np.zeros(1), gait.length: np.zeros(1)}
    return {f"foot.{side}.place": place, f"foot.{side}.turn": turn, f"knee.{side}.swivel": still}
