# SPDX-License-Identifier: GPL-3.0-or-later
"""Which actions play on an object, when, and how much of each: the active one and NLA strips.

What Blender does was tried in 4.2 and 5.2: children of a meta strip keep times of the animation,
a reversed meta strip turns them round, its length and repeats change nothing; a strip without
animated influence counts in full but for its blending in and out.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

# The last frame that Blender counts to: a strip that holds, holds that far.
LAST_FRAME = 1048574.0
FOREVER = (-LAST_FRAME, LAST_FRAME)


@dataclass(frozen=True)
class Influence:
    """A strip's own: an F-curve over frames of animation, or else a number and frames in which it
    blends in and out. Beyond the strip's frames it stays as it is at their ends.

    turn    in a reversed meta strip: the strip's frame is so much less the animation's
    strip   its name; empty for the active action's
    """

    frames: tuple[float, float] = FOREVER
    curve: Any = None
    number: float = 1.0
    fades: tuple[float, float] = (0.0, 0.0)
    turn: float | None = None
    strip: str = ""


@dataclass(frozen=True)
class Source:
    """An action that plays, with its time mapping: animation time = offset + action * scale.

    blend       how it goes together with what lies below: REPLACE, ADD, COMBINE ...
    extends     what a strip does beyond its ends: HOLD, HOLD_FORWARD, NOTHING
    frames      a strip's first and last frame of animation, or None
    reach       from where to where it counts, what it holds included
    rounds, round_frames   how often a strip plays its action, and how long once is
    influences  what its influence is the product of
    """

    action: Any
    slot: Any
    strip: str | None
    offset: float = 0.0
    scale: float = 1.0
    blend: str = "REPLACE"
    extends: str = "HOLD"
    frames: tuple[float, float] | None = None
    reach: tuple[float, float] = FOREVER
    rounds: float = 1.0
    round_frames: float = 0.0
    influences: tuple[Influence, ...] = ()


def playing_sources(owner: Any) -> Iterator[Source]:
    """The active action and then the strips that play, bottom up; the action plays above them.

    A solo track silences the active action too. While a strip is tweaked, its action is the
    active one, played in the strip's time, and the tracks above it rest.
    """
    data = getattr(owner, "animation_data", None)  # not every kind of block can be animated
    if data is None:
        return
    tracks = _playing_tracks(data)
    if data.action is not None and not _is_silenced(data):
        yield _active(data)
    for track in tracks:
        yield from _strips(track.strips)


def unread_strips(owner: Any) -> list[str]:
    """A sentence for each strip that plays in a time of its own, which is keyed."""
    data = owner.animation_data
    tracks = [] if data is None else _playing_tracks(data)
    strips = [strip for track in tracks for strip in _all_strips(track.strips)]
    return [
        f"The strip {strip.name!r} of {owner.name!r} has a keyed time (Animated Strip Time), "
        "expected one that runs evenly: its motion is checked, but no cause names its keys; turn "
        "that off, or bake the strip."
        for strip in strips
        if strip.action is not None and strip.use_animated_time
    ]


def _playing_tracks(data: Any) -> list[Any]:
    tracks = list(data.nla_tracks) if data.use_nla else []
    solo = [track for track in tracks if track.is_solo]
    if _is_tweaked(data):
        tracks = tracks[: tracks.index(data.nla_tracks.active) + 1]
    return solo or [track for track in tracks if not track.mute]


def _is_tweaked(data: Any) -> bool:
    return bool(data.use_nla and data.use_tweak_mode and data.nla_tracks.active is not None)


def _is_silenced(data: Any) -> bool:
    solo = data.use_nla and any(track.is_solo for track in data.nla_tracks)
    return bool(solo or _is_tweaked(data))


def _all_strips(strips: Any) -> Iterator[Any]:
    for strip in strips:
        if not strip.mute:
            yield strip
            yield from _all_strips(strip.strips)


def _active(data: Any) -> Source:
    """The active action: how it blends counts only where there are tracks below it."""
    plain = Source(data.action, getattr(data, "action_slot", None), None)
    if not data.use_nla or not len(data.nla_tracks):
        return plain
    first, last = (float(frame) for frame in data.action.frame_range)
    extends = data.action_extrapolation
    return replace(
        plain,
        blend=data.action_blend_type,
        extends=extends,
        reach=(
            -LAST_FRAME if extends == "HOLD" else first,
            last if extends == "NOTHING" else LAST_FRAME,
        ),
        influences=(Influence(number=float(data.action_influence)),),
    )


def _strips(strips: Any) -> Iterator[Source]:
    """Sources of the strips of a track, or of a meta strip.

    A transition holds no keys of its own; what it leads over holds as if it were not there.
    """
    row = [strip for strip in strips if strip.type != "TRANSITION"]
    for n, strip in enumerate(row):
        if strip.mute:
            continue
        reach = _reach(row, n)
        if strip.type == "META":
            yield from (_inside(strip, child, reach) for child in _strips(strip.strips))
        elif strip.action is not None and not strip.use_animated_time:
            yield _source(strip, reach)


def _reach(row: Sequence[Any], n: int) -> tuple[float, float]:
    """A strip holds until the next one; before it only the first one does."""
    strip = row[n]
    first, last = float(strip.frame_start), float(strip.frame_end)
    if n == 0 and strip.extrapolation == "HOLD":
        first = -LAST_FRAME
    if strip.extrapolation != "NOTHING":
        last = float(row[n + 1].frame_start) if n + 1 < len(row) else LAST_FRAME
    return first, last


def _source(strip: Any, reach: tuple[float, float]) -> Source:
    scale, first = float(strip.scale), float(strip.frame_start)
    begin, end = float(strip.action_frame_start), float(strip.action_frame_end)
    once = (end - begin) * scale
    return Source(
        strip.action,
        getattr(strip, "action_slot", None),
        strip.name,
        offset=first + end * scale if strip.use_reverse else first - begin * scale,
        scale=-scale if strip.use_reverse else scale,
        blend=strip.blend_type,
        extends=strip.extrapolation,
        frames=(first, float(strip.frame_end)),
        reach=reach,
        rounds=float(strip.repeat),
        round_frames=once,
        influences=(_influence(strip),),
    )


def _influence(strip: Any) -> Influence:
    """Its keyed influence, or the number that stands there; where it is not animated that number
    means nothing, and the strip counts in full but for its blending in and out."""
    frames = float(strip.frame_start), float(strip.frame_end)
    if not strip.use_animated_influence:
        fades = float(strip.blend_in), float(strip.blend_out)
        return Influence(frames, fades=fades, strip=strip.name)
    curve = strip.fcurves.find("influence")
    if curve is None or curve.mute:
        return Influence(frames, number=float(strip.influence), strip=strip.name)
    return Influence(frames, curve=curve, strip=strip.name)


def _inside(meta: Any, child: Source, reach: tuple[float, float]) -> Source:
    """A meta strip's child: heard while the meta strip is, at its ends' frames beyond them."""
    first, last = float(meta.frame_start), float(meta.frame_end)
    own = child.reach
    changes: dict[str, Any] = {}
    influences = child.influences
    if meta.use_reverse:
        turn = first + last
        own = turn - own[1], turn - own[0]
        changes = {"offset": turn - child.offset, "scale": -child.scale}
        if child.frames is not None:
            changes["frames"] = (turn - child.frames[1], turn - child.frames[0])
        influences = tuple(_turned(each, turn) for each in influences)
    heard = (
        reach[0] if own[0] <= first else own[0],
        reach[1] if own[1] >= last else own[1],
    )
    return replace(child, reach=heard, influences=(*influences, _influence(meta)), **changes)


def _turned(influence: Influence, turn: float) -> Influence:
    return replace(influence, turn=turn if influence.turn is None else None)
