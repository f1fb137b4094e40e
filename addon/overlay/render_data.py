# SPDX-License-Identifier: GPL-3.0-or-later
"""Arrays and colours of the trails, in the scene's units; knows neither GPU nor view."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...analysis.parts import fix_rank
from ...analysis.pipeline import Examination
from ...analysis.trails import (
    COM,
    HangMark,
    Spot,
    Trail,
    finding_spot,
    hang_marks,
    trails_of,
    usual_spot,
    words_of,
)
from ...analysis.words import count_text
from ..ui.last_check import LastCheck
from .camera_space import on_picture, taken_of
from .choice import FLAT, Choice
from .colours import full_speed, speed_colours

Floats = NDArray[np.float32]
# How much a dot stands out: a plain one, one that a finding names, the one that is being read.
PLAIN, NAMED, READ = 0, 1, 2
# Shares of a flight that differ by less tell the same.
SAME_SHARE = 0.02
# These judge the fall of the centre of mass, though it is the root that mends it.
_OF_THE_MASS = ("hang_time", "gravity")


@dataclass(frozen=True, eq=False)
class Trace:
    """One trail as it is drawn.

    name what to call it; frames (N,) frame numbers; points (N,3) scene units, or as
    `camera_space` keeps them; colours (N,3) sRGB by speed; weights (N,) PLAIN, NAMED or READ
    begins (N,) True where no line leads to a dot from the one before
    """

    name: str
    frames: NDArray[np.float64]
    points: Floats
    colours: Floats
    weights: NDArray[np.int8]
    begins: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Top:
    """The top of a flight: frame, point (3,) in scene units, and its label, the longest first."""

    frame: float
    point: Floats
    texts: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Picture:
    """All that is drawn of a choice; full_speed is what the bright end stands for, m/s."""

    traces: tuple[Trace, ...]
    tops: tuple[Top, ...]
    full_speed: float


def build_picture(check: LastCheck, choice: Choice) -> Picture:
    """Traces and tops of the chosen parts over the whole range."""
    examination = check.examination
    spots = chosen_spots(examination, choice)
    trails = trails_of(examination, spots)
    # The centre of mass first: its top is the one that gravity shapes; then the body outwards.
    falling = sorted(spots, key=lambda spot: (spot.title != COM, _rank(examination, spot)))
    speeds = [trail.speed for trail in trails]
    full = full_speed(np.concatenate(speeds)) if speeds else 0.0
    return Picture(
        traces=tuple(_trace(check, choice, trail, full) for trail in trails),
        tops=tuple(_tops(check, choice, hang_marks(examination, falling))),
        full_speed=full,
    )


def chosen_spots(examination: Examination, choice: Choice) -> list[Spot]:
    """The picked parts where they are followed by eye; the one that is read where it shows.

    With a finding about flight comes the centre of mass, whose numbers the finding tells.
    """
    spots = {title: usual_spot(examination, title) for title in choice.titles}
    if choice.with_finding and choice.finding >= 0:
        finding = examination.shot.findings[choice.finding]
        spot = finding_spot(examination, finding)
        spots[spot.title] = spot
        basis = examination.basis
        # A ball stands for the mass, or takes it along.
        if finding.check in _OF_THE_MASS and basis.com is not None and not basis.clip.is_ball:
            spots[COM] = Spot(COM)
    return list(spots.values())


def _rank(examination: Examination, spot: Spot) -> tuple[bool, tuple[int, int, str]]:
    """The place of a spot's part in fixing order; what has none comes last."""
    parts = {body.title: body.part for body in examination.basis.bodies}
    part = parts.get(spot.title)
    return part is None, fix_rank(part)


def cut(trace: Trace, span: tuple[float, float] | None) -> Trace:
    """The trace between two frames; the same trace where there is no span."""
    if span is None:
        return trace
    return _only(trace, (trace.frames >= span[0] - 1e-6) & (trace.frames <= span[1] + 1e-6))


def within(tops: tuple[Top, ...], span: tuple[float, float] | None) -> tuple[Top, ...]:
    """The tops between two frames."""
    return tops if span is None else tuple(t for t in tops if span[0] <= t.frame <= span[1])


def _only(trace: Trace, kept: NDArray[np.bool_]) -> Trace:
    """Some dots of a trace; a line does not bridge those that are left out."""
    begins = trace.begins.copy()
    begins[1:] |= ~kept[:-1]
    return Trace(
        trace.name,
        trace.frames[kept],
        trace.points[kept],
        trace.colours[kept],
        trace.weights[kept],
        begins[kept],
    )


def _trace(check: LastCheck, choice: Choice, trail: Trail, full: float) -> Trace:
    points, ahead = placed(check, choice, trail.frames, trail.positions)
    cuts = _cut_frames(check) if choice.camera else ()
    trace = Trace(
        name=words_of(check.examination, trail.spot),
        frames=trail.frames,
        points=points,
        colours=speed_colours(trail.speed, full),
        weights=_weights(check.examination, choice, trail),
        begins=np.isin(trail.frames, cuts),
    )
    return trace if ahead.all() else _only(trace, ahead)


def placed(
    check: LastCheck, choice: Choice, frames: Any, positions: Any
) -> tuple[Floats, NDArray[np.bool_]]:
    """Positions (N,3) in metres at frames (N,): points as they are drawn, and which (N,) of them
    can be: what was behind the camera cannot, where it is the camera's picture."""
    unit, taken = check.metres_per_unit, taken_of(check.examination.basis.clip)
    if not choice.camera or taken is None:
        return (positions / unit).astype(np.float32), np.ones(len(positions), dtype=bool)
    flat = choice.camera == FLAT
    kept, ahead = on_picture(taken, np.asarray(frames), positions, unit, flat=flat)
    return kept.astype(np.float32), ahead


def _cut_frames(check: LastCheck) -> Any:
    taken = taken_of(check.examination.basis.clip)
    return () if taken is None else taken.frames[taken.cuts]


def _weights(examination: Examination, choice: Choice, trail: Trail) -> NDArray[np.int8]:
    """What findings say about the dots of a trail, each on the part that shows it; what is kept as
    intended says nothing unless it is read."""
    weights = np.zeros(len(trail.frames), dtype=np.int8)
    for n, finding in enumerate(examination.shot.findings):
        if n in choice.quiet and n != choice.finding:
            continue
        if finding_spot(examination, finding).title == trail.spot.title:
            at = np.abs(trail.frames - finding.peak_frame) < 0.5
            weights[at] = np.maximum(weights[at], READ if n == choice.finding else NAMED)
    return weights


def _tops(check: LastCheck, choice: Choice, marks: Sequence[HangMark]) -> Iterator[Top]:
    """Of each flight, the first part's top tells how long it lasts; others stand where they have
    another share to tell, which is theirs."""
    told: dict[int, list[float]] = {}
    for mark in marks:
        shares = told.setdefault(mark.flight, [])
        if any(abs(mark.share - other) < SAME_SHARE for other in shares):
            continue
        who = words_of(check.examination, mark.spot)
        share = f"{100.0 * mark.share:.0f} %"
        texts: tuple[str, ...] = (f"{who}: {share} near the top", f"{who}: {share} at top")
        if not shares:
            air = count_text(mark.in_air, "frame")
            texts = (f"{who}: {air} in the air, {share} near the top", *texts)
        (point,), ahead = placed(check, choice, [mark.frame], mark.position[None])
        if ahead.all():
            shares.append(mark.share)
            yield Top(frame=mark.frame, point=point, texts=texts)
