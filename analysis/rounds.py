# SPDX-License-Identifier: GPL-3.0-or-later
"""Which checks are asked of which basis: in the world or on the picture, on ones or on twos.

Most clips need one round: every check, of the clip as it is. Parts that are animated on
twos are asked in a round of their own, of every second frame; on the picture there is a
round between every two cuts.
"""

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from .ball.by_itself import as_the_ball_tells
from .basis import Basis, build_basis
from .checks import Check
from .evidence import Evidence
from .exposure import LONGEST, SAME_SHARE, Exposures, exposure_text, find_exposures
from .holds import holds_text
from .loop import Cycle, find_cycle
from .off_step import find_off_step
from .screen import between_cuts, has_camera, on_picture
from .thinned import thin

Bools = NDArray[np.bool_]

NO_CAMERA = "the clip has no camera: choose one for the scene, or ask in the world"
# Why loops are not judged on the picture: the camera does not go round with them.
_NO_LOOP = Cycle(plays=False, why="on the picture")


@dataclass(frozen=True, eq=False)
class Round:
    """Checks that are asked of one basis."""

    basis: Basis
    cycle: Cycle
    checks: tuple[Check, ...]

    def ask(self, check: Check) -> Generator[None, None, Evidence]:
        """What a check finds, with pauses where it takes long.

        Of checks of single points, what they say of bodies that are not judged in this round is
        left out; a check of the figure may well blame the mover.
        """
        found = yield from check.in_steps(self.basis, self.cycle)
        found = as_the_ball_tells(self.basis, self.cycle, check, found)
        return self._judged(found) if check.info.asked_of == "points" else found

    def _judged(self, found: Evidence) -> Evidence:
        bodies = self.basis.bodies
        events = [e for e in found.events if e.body is None or bodies[e.body].judged]
        looks = [e for e in found.looks if e.body is None or bodies[e.body].judged]
        return replace(found, events=tuple(events), looks=tuple(looks))


@dataclass(frozen=True, eq=False)
class Rounds:
    """All rounds, checks that none of them can ask, and a sentence for what is not on ones."""

    asked: tuple[Round, ...]
    skipped: tuple[tuple[str, str], ...] = ()
    says: str = ""


def plan_rounds(basis: Basis, cycle: Cycle, checks: Sequence[Check]) -> Rounds:
    """How to ask checks of a clip, given its basis in the world, every frame of it."""
    if basis.settings.space == "camera":
        return _on_picture(basis, checks)
    found = find_exposures(basis)
    if (found.steps == 1).all():
        return Rounds((Round(basis, cycle, tuple(checks)),), says=holds_text(basis))
    return _by_step(basis, cycle, found, checks)


def _by_step(basis: Basis, cycle: Cycle, found: Exposures, checks: Sequence[Check]) -> Rounds:
    """A round for the parts of each step, and one for the checks of every frame."""
    lead = int(found.steps[basis.lead])
    rounds: list[Round] = []
    skipped: list[tuple[str, str]] = []
    of_shot = tuple(check for check in checks if check.info.asked_of == "shot")
    if of_shot:
        rounds.append(Round(basis, cycle, of_shot))
    of_body = tuple(check for check in checks if check.info.asked_of == "body")
    if lead == 0:  # whatever stage is stated, that is blocking
        skipped = [
            (check.info.name, "the body is stepped blocking")
            for check in of_body
            if "blocking" not in check.info.stages
        ]
        blocked = tuple(check for check in of_body if "blocking" in check.info.stages)
        rounds.append(Round(basis, cycle, blocked))
    else:
        base = _thinned(basis, found, lead)
        rounds.append(Round(base, find_cycle(base) if base is not basis else cycle, of_body))
    of_points = tuple(check for check in checks if check.info.asked_of == "points")
    groups = [step for step in found.groups if _judged(basis, found, step).any()]
    for step in groups:
        thin = _thinned(basis, found, step)
        own = _only(thin, _judged(basis, found, step))
        rounds.append(Round(own, find_cycle(own), of_points))
    off = [
        replace(check, find=partial(_off_step, found=found))
        for check in of_points
        if check.info.name == "pop" and found.firsts
    ]
    if off:
        rounds.append(Round(basis, cycle, tuple(off)))
    if not groups:
        skipped += [(check.info.name, "every part is stepped blocking") for check in of_points]
    says = [exposure_text(basis, found), "" if not groups else holds_text(basis)]
    return Rounds(tuple(rounds), tuple(skipped), " ".join(text for text in says if text))


def _off_step(basis: Basis, _cycle: Cycle, *, found: Exposures) -> Evidence:
    """`find_off_step` as a check's function."""
    return find_off_step(basis, found)


def _judged(basis: Basis, found: Exposures, step: int) -> Bools:
    judged = np.array([body.judged for body in basis.bodies])
    return np.asarray(judged & (found.steps == step))


def _thinned(basis: Basis, found: Exposures, step: int) -> Basis:
    """The basis of one sample in `step`; the same where that would leave too few."""
    first = found.firsts.get(step, 0)
    if step < 2 or len(basis.frames) - first < 2 * step:
        return basis
    same = SAME_SHARE * basis.height.scene_m
    return build_basis(thin(basis.clip, step, first, same, LONGEST), basis.settings, basis.memory)


def _only(basis: Basis, judged: Bools) -> Basis:
    """The basis with only some bodies judged."""
    bodies = tuple(
        replace(body, judged=bool(wanted))
        for body, wanted in zip(basis.bodies, judged, strict=True)
    )
    return replace(basis, bodies=bodies)


def _on_picture(basis: Basis, checks: Sequence[Check]) -> Rounds:
    """Rounds between cuts, of the checks that can be asked of a picture."""
    fit = tuple(check for check in checks if "camera" in check.info.spaces)
    skipped = [(check.info.name, "asked in the world only") for check in checks if check not in fit]
    if not has_camera(basis.clip):
        return Rounds((), tuple(skipped + [(check.info.name, NO_CAMERA) for check in fit]))
    of_shot = tuple(check for check in fit if check.info.asked_of == "shot")
    of_points = tuple(check for check in fit if check.info.asked_of != "shot")
    rounds = [Round(basis, _NO_LOOP, of_shot)] if of_shot else []
    says = ""
    for piece in between_cuts(basis.clip):
        world = basis if piece is basis.clip else build_basis(piece, basis.settings, basis.memory)
        found = find_exposures(world)
        says = says or exposure_text(world, found)
        for step in found.groups:
            judged = _judged(world, found, step)
            if judged.any():
                seen = on_picture(_only(_thinned(world, found, step), judged))
                rounds.append(Round(seen, _NO_LOOP, of_points))
    return Rounds(tuple(rounds), tuple(skipped), says)
