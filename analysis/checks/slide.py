# SPDX-License-Identifier: GPL-3.0-or-later
"""`slide`: does a planted foot slip over what bears it?"""

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..basis.bearing import Slip, are_held
from ..evidence import Evidence, RawEvent, Suggestion
from ..loop import Cycle
from ..words import count_text, direction_text, frame_text, size_text, speed_text
from .contract import CheckInfo
from .slide_words import skating_event

Floats = NDArray[np.float64]

# Shares of the height; at 1.7 m: where feet are held (by an IK target), a slip of 1.5 cm is seen;
# feet that are not (keyed forwards, captured) slip a little all the time, and there 4 cm are seen.
HELD_LIMIT_SHARE, FREE_LIMIT_SHARE = 0.015 / 1.7, 0.04 / 1.7
# A plant slips when it slips so many times further than three quarters of the others do; fewer
# others than this tell no habit.
OWN_TIMES, OWN_QUANTILE, LEAST_OTHERS = 3.0, 0.75, 3
# So many others that go one way, by this share of what they slip, excuse none. Where that is most
# plants of the shot, the body skates, and that is one finding.
SKATING_PLANTS, SKATING_SHARE, SKATING_MOST = 4, 0.8, 0.6
# Less than this is none, metres.
NOTHING_M = 0.0005
# A plant with fewer steps that can be judged says nothing.
LEAST_STEPS = 2

INFO = CheckInfo(
    name="slide",
    question="Does a planted foot slip over the floor, or over what it stands on?",
    definition=(
        "A foot is planted while heel, ball or toe is low (3.5 cm at 1.7 m) and slow (.4 m/s) "
        "over the floor, a declared support, or the ground that a cycle in place walks on. Over "
        "the middle 70 % of the plant, while the foot bears 40 % of the body or more (15 % where "
        "the shot's feet are held), the steps of whichever spot of the sole is stillest are added "
        "up: rolling from heel to toe is no slip, nor is turning on the ball. How much it bears is "
        "told against whatever else stands: the other foot, hands, knees, the seat. A foot that "
        "still slows down from landing, or gathers speed to leave, is not judged there (an eighth "
        "of a second, above .1 m/s). The shot's own plants say what is usual; where most of them "
        "slip one way, it is the body's travel that is off."
    ),
    unit="cm",
    limit=(
        "1.5 cm at 1.7 m where the shot's other plants are held (most of the time under .15 cm/s), "
        "else 4 cm; and three times what three quarters of the shot's other plants slip"
    ),
    source="common practice, no source; limits from trials on captured and keyed motion",
    stages=("spline", "polish"),
    mend="Give the foot's control the same values on all keys of the plant, with flat handles.",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each plant that slips, on its foot."""
    if not basis.soles:
        return Evidence("slide", skipped="no foot is known, and only feet can slide")
    slips = [slip for slip in basis.slips if len(slip.paces) >= LEAST_STEPS]
    if not slips:
        return Evidence("slide", skipped="no foot is ever planted: low and slow for a while")
    limits = _limits(basis, slips)
    events = [
        _event(basis, slip, limit)
        for slip, limit in zip(slips, limits, strict=True)
        if slip.metres > limit
    ]
    slipping = [slip for slip, limit in zip(slips, limits, strict=True) if slip.metres > limit]
    if _skates(slips, slipping):
        events = [skating_event(basis, slipping, min(limits))]
    good = "" if events else _good(basis, slips)
    return Evidence("slide", tuple(events), good=good, measures=_measures(basis, slips))


def _skates(slips: list[Slip], slipping: list[Slip]) -> bool:
    """Whether most plants slip, and one way: that is the body's travel, and no foot's fault."""
    if len(slipping) < SKATING_PLANTS or len(slipping) < SKATING_MOST * len(slips):
        return False
    ways = np.array([slip.way for slip in slipping])
    together = np.linalg.norm(ways.mean(axis=0))
    return bool(together > SKATING_SHARE * np.linalg.norm(ways, axis=1).mean())


def _limits(basis: Basis, slips: list[Slip]) -> list[float]:
    """What each plant may slip, metres: told by the others."""
    height, factor = basis.height.scene_m, basis.settings.factor("slide")
    ways = np.array([slip.way for slip in slips])
    limits = []
    for n in range(len(slips)):
        usual = _usual(np.delete(ways, n, axis=0))
        held = are_held(basis, [slip for m, slip in enumerate(slips) if m != n])
        share = HELD_LIMIT_SHARE if held else FREE_LIMIT_SHARE
        limits.append(factor * max(share * height, OWN_TIMES * usual))
    return limits


def _usual(ways: Floats) -> float:
    """How far plants (N,3) slip that go this way and that; 0 where there are too few."""
    if len(ways) < LEAST_OTHERS:
        return 0.0
    sizes, common = np.linalg.norm(ways, axis=1), ways.mean(axis=0)
    if len(ways) >= SKATING_PLANTS and np.linalg.norm(common) > SKATING_SHARE * sizes.mean():
        sizes = np.linalg.norm(ways - common, axis=1)
    return float(np.quantile(sizes, OWN_QUANTILE))


def _event(basis: Basis, slip: Slip, limit: float) -> RawEvent:
    plant, to_story = slip.plant, basis.height.to_story
    first, last = (frame_text(basis.frames[at]) for at in (plant.first, plant.last))
    size = size_text(slip.metres * to_story)
    where = direction_text(slip.way, basis.forward[slip.peak])
    says = (
        f"The {{who}} slips {size} {where} while it stands on {basis.ground.name(plant.box)}, "
        f"frames {first} to {last}."
    )
    return RawEvent(
        check="slide",
        body=plant.body,
        first=plant.first,
        last=plant.last,
        peak=slip.peak,
        amount=slip.metres * to_story * 100.0,
        limit=limit * to_story * 100.0,
        unit="cm",
        visible_m=slip.metres,
        step_m=0.0,
        says=says,
        suggestion=Suggestion(
            f"Hold {{it}} in place from frame {first} to {last}: it ends {size} off, or more.",
            frame=float(basis.frames[plant.last]),
            position=basis.positions[plant.last, plant.body] - slip.way,
            offset=-slip.way,
        ),
    )


def _good(basis: Basis, slips: list[Slip]) -> str:
    most = max(slip.metres for slip in slips) * basis.height.to_story
    plants = count_text(len(slips), "plant")
    ground = ""
    if basis.ground.moves:
        speed = float(np.linalg.norm(basis.ground.velocity, axis=-1).mean())
        ground = f" over ground that moves at {speed_text(speed * basis.height.to_story)}"
    if most < NOTHING_M:
        return f"{plants}{ground}: every foot stands still."
    return f"{plants}{ground}: no foot slips more than {size_text(most)}."


def _measures(basis: Basis, slips: list[Slip]) -> dict[str, float]:
    speed = float(np.linalg.norm(basis.ground.velocity, axis=-1).mean())
    return {
        "plants": float(len(slips)),
        "plant_slip_median_m": float(np.median([s.metres for s in slips])) * basis.height.to_story,
        "ground_speed_m_s": speed * basis.height.to_story,
    }
