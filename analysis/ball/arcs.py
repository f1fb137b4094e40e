# SPDX-License-Identifier: GPL-3.0-or-later
"""The arcs of a ball: up and down, to the side, fore and aft, each with all that is told of it."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ..basis.ball import BallBasis
from ..drawn.free_paths import FreePath, free_paths
from ..errors import PlumblineError
from ..flown import Flown, find_flown
from ..flown_poses import held_flown, is_stepped
from ..free_fall import GRAVITY, fit_fall
from ..pipeline import Examination
from .arc import UP, BallArc
from .arc_words import up_text
from .ideals import NO_IDEAL, free_ideal
from .stretches import Stretch, heights_of, up_stretches
from .travel import place_at, speed_of
from .turn_arcs import turn_arcs

Floats = NDArray[np.float64]

# A bounce gives back what the arc before it brought, where it begins so soon after that (s): a
# figure's body goes down and up again between its flights.
NEXT_S = 0.6
# What was dropped fell from as high as it rises again, or nearly: else the range begins too late.
LEAST_FELL = 0.8


def ball_arcs(examination: Examination) -> tuple[BallArc, ...]:
    """All arcs of a ball: its height's, then those to its sides, then fore and aft; each in time's
    order. Of a loop those that its range holds whole.

    Up and down counts from 2 cm at 1.7 m on, of a ball that is alone from 1 cm; to and fro from
    3 cm. Shares are told to .01 of arcs of seven frames or more, turns of six frames a way; a
    bounce that is followed by one of under four frames is told to a frame.

    Raises PlumblineError for an examination of no ball.
    """
    basis = examination.basis
    if not isinstance(basis, BallBasis):
        raise PlumblineError(
            f"{basis.clip.meta.name!r} is no ball's clip, expected a ball joined with its figure, "
            "or alone: join them first."
        )
    if not basis.valid.all():
        return ()
    return (*_up(examination, basis), *turn_arcs(basis))


def _up(examination: Examination, basis: BallBasis) -> list[BallArc]:
    """The arcs of its height."""
    stretches = up_stretches(basis)
    flown = {each.flight: each for each in _flown(basis)}
    paths = {float(path.frames[0]): path for path in free_paths(examination)}
    found = []
    for n, stretch in enumerate(stretches):
        told = flown.get(stretch.flight) if stretch.flight is not None else None
        path = None if told is None else paths.get(float(basis.frames[told.leaves]))
        kept = _kept(basis, stretches, n)
        found.append(_arc(basis, stretch, told, path, kept))
    return found


def _flown(basis: BallBasis) -> Sequence[Flown]:
    if is_stepped(basis):
        return held_flown(basis)
    return find_flown(basis, basis.flights, rough=basis.settings.stage == "blocking")


def _arc(
    basis: BallBasis,
    stretch: Stretch,
    flown: Flown | None,
    path: FreePath | None,
    kept: float | None,
) -> BallArc:
    heights, to_story = heights_of(basis), basis.height.to_story
    first, last = _ends(basis, stretch, flown)
    apex = place_at(basis, stretch.top[0])
    if not basis.aside.any():
        apex[2] = stretch.top[1]
    ideal = NO_IDEAL if flown is None or path is None else free_ideal(basis, flown, path)
    speed, change = speed_of(basis, first, last)
    seconds = (last - first) * basis.dt_s
    share, fall_g = stretch.share(heights), _fall_g(basis, stretch, flown)
    return BallArc(
        axis=UP,
        frames=(basis.frame_at(first), basis.frame_at(last)),
        apex_frame=basis.frame_at(stretch.top[0]),
        apex=apex,
        free=stretch.free,
        seconds=seconds,
        rise_m=stretch.rise * to_story,
        share=share,
        fall_g=fall_g,
        symmetry=(stretch.top[0] - first) / max(last - first, 1e-9),
        kept=kept,
        speed_m_s=speed,
        speed_change_m_s=change,
        ideal_frames=ideal.frames,
        ideal=ideal.places,
        off_m=ideal.off_m,
        worst_frame=ideal.worst_frame,
        landing=ideal.landing,
        landing_off_m=ideal.landing_off_m,
        pushes_back="",
        pushes_from=None,
        says=up_text(basis, stretch, (first, last), share, fall_g, kept, ideal),
    )


def _ends(basis: BallBasis, stretch: Stretch, flown: Flown | None) -> tuple[float, float]:
    """From when to when it lasts, in samples: of a ball that is alone between its bounces, else
    where it leaves and lands."""
    if flown is None or basis.figure is None:
        return stretch.begins[0], stretch.ends[0]
    return float(flown.leaves), float(flown.lands)


def _fall_g(basis: BallBasis, stretch: Stretch, flown: Flown | None) -> float | None:
    """How strongly it falls, in g; None of what is carried, is too short, or has no known size."""
    if basis.height.story_m is None or not stretch.free:
        return None
    if flown is not None:
        return flown.told / GRAVITY
    flight = stretch.flight
    if flight is None:
        return None
    com = basis.positions[:, 0] + basis.aside
    fall = fit_fall(com[flight.first : flight.last + 1], basis.dt_s)
    return None if fall is None else fall.down * basis.height.to_story / GRAVITY


def _kept(basis: BallBasis, stretches: Sequence[Stretch], at: int) -> float | None:
    """How high it rises, as a share of the height that it fell from onto its beginning."""
    this = stretches[at]
    # Of what is in the air for a few frames nothing tells how high it goes.
    if not this.free or this.share(heights_of(basis)) is None:
        return None
    if at > 0:
        before = stretches[at - 1]
        soon = (this.begins[0] - before.ends[0]) * basis.dt_s <= NEXT_S
        fell = before.top[1] - before.ends[1]
        if before.free and soon:
            return (this.top[1] - this.begins[1]) / fell if fell > 0.0 else None
        return None
    if basis.figure is not None:
        return None
    # What is dropped has no arc before: it fell from as high as it was.
    start = float(basis.positions[: int(this.begins[0]) + 1, 0, 2].max())
    fell = start - this.begins[1]
    return (this.top[1] - this.begins[1]) / fell if fell > this.rise * LEAST_FELL else None
