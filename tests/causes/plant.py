# SPDX-License-Identifier: GPL-3.0-or-later
"""Looks for a place where a fault of a kind is as large as it is to be, inside Blender."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from demo_scenes.rigify_human.beziers import Keys

from . import edits
from .curves import CurveGroup, GroupName, group_values, write_group
from .kinds import KINDS, family
from .order import suits, turned_round
from .switched import find_switched
from .takes import Take
from .watch import Watch
from .ways import deltas, limb_root, to_channels, way

TRIES, TRIES_EACH = 64, 8  # places; of one family of controls, before the next is asked
ROUNDS = 7
CLOSE = 0.05  # a size within this share of what is wanted is that
MOST_TURN, MOST_WAY_M = np.radians(70.0), 0.4
ENDS = 3  # frames at the shot's ends in which no key is touched
BEYOND_M = (0.015, 0.05)  # how far a target is beyond the limb's reach


@dataclass(frozen=True, eq=False)
class Planned:
    """A fault that can be written into the action that the rig plays.

    kind, name, frame   what it is, the group of curves, the key to be blamed as it stands then
    size_m, wanted_m    how large it is; how large it was to be, None where it gives what it gives
    write               does it; `lay` keys what the clean shot needs first, where not None
    note                which variant it is
    """

    kind: str
    name: GroupName
    frame: float
    size_m: float
    write: Callable[[], None]
    wanted_m: float | None = None
    lay: Callable[[], None] | None = None
    note: str = ""


@dataclass(frozen=True, eq=False)
class Site:
    """Where a fault may go: a take, a watch on it, the group and the key frame."""

    take: Take
    watch: Watch
    group: CurveGroup
    frame: float

    def value_at(self, index: int, frame: float) -> float:
        """A curve's clean value on a frame."""
        return float(self.group.values[index][round(frame) - self.take.first])

    def write(self, keys: dict[int, Keys]) -> None:
        """Write changed curves."""
        write_group(self.take.rig, self.group.name, keys)

    def size_of(self, keys: dict[int, Keys]) -> float:
        """How large a change is, metres; the clean keys are put back."""
        self.write(keys)
        frames = self._changed(list(keys))
        size = float(self.watch.off(frames).max()) if frames else 0.0
        self.write({index: self.group.keys[index] for index in keys})
        return size

    def _changed(self, indices: Sequence[int]) -> list[int]:
        take = self.take
        now = group_values(take.rig, self.group.name, list(indices), take.first, take.last)
        off = np.max([np.abs(now[i] - self.group.values[i]) for i in indices], axis=0)
        return [take.first + int(t) for t in np.flatnonzero(off > 1e-6)]


def find_place(
    take: Take,
    watch: Watch,
    kind: str,
    rng: np.random.Generator,
    *,
    number: int = 0,
    near: tuple[float, float] | None = None,
    allowed: Callable[[str], bool] = lambda _control: True,
) -> Planned | None:
    """A fault of a kind in a take, drawn with rng; None where no place gives its size.

    number   of the case: each begins with other controls, so that all have their turn
    near     the first and last frame that its key may be on; `allowed` says in which controls
    """
    wanted = float(rng.uniform(*KINDS[kind].sizes_m)) if KINDS[kind].calibrated else None
    if kind == "influence":
        return find_switched(take, watch, rng, wanted, number=number, near=near, allowed=allowed)
    make = {
        "linear": partial(_plain, edits.linear),
        "held": partial(_plain, edits.held),
        "late": _late,
        "off_arc": _off_arc,
        "spike": _spike,
        "reach": _reach,
        "flip": _flip,
    }[kind]
    for group, frame in _places(take, kind, rng, number, near, allowed):
        found = make(Site(take, watch, group, frame), rng, wanted)
        if found is None:
            continue
        keys, size, at, note = found
        low, high = KINDS[kind].sizes_m
        if low * (1 - CLOSE) <= size <= high * (1 + CLOSE):
            write = partial(write_group, take.rig, group.name, keys)
            return Planned(kind, group.name, at, size, write, wanted, note=note)
    return None


Found = tuple[dict[int, Keys], float, float, str] | None


def _places(
    take: Take,
    kind: str,
    rng: np.random.Generator,
    number: int,
    near: tuple[float, float] | None,
    allowed: Callable[[str], bool],
) -> Iterator[tuple[CurveGroup, float]]:
    """Groups and key frames, one family of controls after the other."""
    families: dict[str, list[CurveGroup]] = {}
    for name, group in take.groups.items():
        if allowed(name.control) and suits(kind, name, take.base):
            families.setdefault(family(name.control), []).append(group)
    order = turned_round(sorted(families), take.base, kind, number)
    low, high = near or (-np.inf, np.inf)
    low, high = max(low, take.first + ENDS), min(high, take.last - ENDS)
    for n in range(min(TRIES, TRIES_EACH * len(order))):
        groups = families[order[n // TRIES_EACH]]
        group = groups[(n + number) % len(groups)]
        frames = group.frames[1:-1]
        if kind == "spike" and frames and rng.random() < 0.6:
            frames = np.arange(frames[0], frames[-1] + 1.0).tolist()
        frames = [frame for frame in frames if low <= frame <= high]
        if frames:
            yield group, frames[int(rng.integers(len(frames)))]


def _plain(
    edit: Callable[[edits.Group, float], dict[int, Keys]],
    site: Site,
    _rng: np.random.Generator,
    _wanted: float | None,
) -> Found:
    keys = edit(site.group.keys, site.frame)
    return (keys, site.size_of(keys), site.frame, "") if keys else None


def _late(site: Site, rng: np.random.Generator, _wanted: float | None) -> Found:
    before, after = edits.room(site.group.keys, site.frame)
    by = float(rng.choice((-1.0, 1.0)))
    if (after if by > 0 else before) < 2.0:
        return None
    keys = edits.retimed(site.group.keys, site.frame, by)
    return keys, site.size_of(keys), site.frame + by, "late" if by > 0 else "early"


def _off_arc(site: Site, rng: np.random.Generator, wanted: float | None) -> Found:
    return _grown(site, rng, wanted, lambda by: edits.moved(site.group.keys, site.frame, by))


def _spike(site: Site, rng: np.random.Generator, wanted: float | None) -> Found:
    """On any frame, or on a key among dense ones: then its neighbours are kept beside it."""
    dense = max(edits.room(site.group.keys, site.frame)) <= 2.0
    on_key = bool(edits.keyed_on(site.group.keys, site.frame))
    if on_key and not dense:
        return None
    found = _grown(
        site,
        rng,
        wanted,
        lambda by: edits.strayed(site.group.keys, site.frame, by, site.value_at),
    )
    return found and (*found[:3], "on a key" if on_key else "between keys")


def _grown(
    site: Site,
    rng: np.random.Generator,
    wanted: float | None,
    edit: Callable[[dict[int, float]], dict[int, Keys]],
) -> Found:
    """A change of a drawn way, as large as wanted."""
    prop = site.group.name.prop
    along = way(rng, prop, list(site.group.keys))
    amount, most = (0.02, MOST_WAY_M) if prop == "location" else (0.12, MOST_TURN)
    for _ in range(ROUNDS):
        values = {index: site.value_at(index, site.frame) for index in site.group.keys}
        keys = edit(deltas(prop, values, along, amount))
        size = site.size_of(keys) if keys else 0.0
        if size < 1e-5:
            return None
        if abs(size / wanted - 1.0) < CLOSE:
            return keys, size, site.frame, ""
        amount *= float(np.clip(wanted / size, 0.2, 4.0))
        if amount > most:
            return None
    return None


def _reach(site: Site, rng: np.random.Generator, _wanted: float | None) -> Found:
    """The target goes on, away from the limb's root, until it is out of reach."""
    limb = limb_root(site.take, site.watch, site.group.name.control, site.frame)
    away, length = limb.gap / np.linalg.norm(limb.gap), np.linalg.norm(limb.gap)
    step = limb.reach + float(rng.uniform(*BEYOND_M)) - length
    if not edits.keyed_on(site.group.keys, site.frame):
        return None
    by = to_channels(site, away * step)
    keys = edits.moved(site.group.keys, site.frame, by)
    return keys, site.size_of(keys), site.frame, ""


def _flip(site: Site, rng: np.random.Generator, _wanted: float | None) -> Found:
    keyed = edits.keyed_on(site.group.keys, site.frame)
    if site.group.name.prop == "rotation_quaternion":
        if len(keyed) < 4:
            return None
        keys, note = edits.flip_sign(site.group.keys, site.frame), "sign"
    elif keyed:
        turn, on = float(rng.choice((-2.0, 2.0)) * np.pi), bool(rng.random() < 0.5)
        index = int(rng.choice(keyed))
        keys = edits.flip_round(site.group.keys, site.frame, index, turn, on=on)
        note = "from here on" if on else "one key"
    else:
        return None
    return keys, site.size_of(keys), site.frame, note
