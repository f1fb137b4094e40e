# SPDX-License-Identifier: GPL-3.0-or-later
"""What every check has in common."""

from collections.abc import Callable, Generator
from dataclasses import dataclass

from ..basis import Basis
from ..evidence import Evidence
from ..loop import Cycle


@dataclass(frozen=True, kw_only=True)
class CheckInfo:
    """name        as in the JSON and on the command line
    question    what it asks, one sentence
    definition  how it is measured, in a few sentences
    unit        of a finding's amount
    limit       from when on it is a finding, in words: one line of a terminal
    limit_in_full  all its rules, parted by "; ", where one line cannot hold them
    source      where the statistic comes from
    stages      blocking, spline, polish: when it is asked
    mend        what an animator does about it
    asked_of    points: of each followed point, at the step that it is animated on; body: of the
                figure, at the step of the body that leads; shot: of every frame
    spaces      where it can be asked: in the world, on the picture that the camera sees
    """

    name: str
    question: str
    definition: str
    unit: str
    limit: str
    source: str
    stages: tuple[str, ...]
    mend: str
    asked_of: str = "body"
    spaces: tuple[str, ...] = ("world",)
    limit_in_full: str = ""


Finder = Callable[[Basis, Cycle], Evidence]
Steps = Generator[None, None, Evidence]


@dataclass(frozen=True)
class Check:
    """A check's description and its function; `steps` is the same with pauses, where it is long."""

    info: CheckInfo
    find: Finder
    steps: Callable[[Basis, Cycle], Steps] | None = None

    def in_steps(self, basis: Basis, cycle: Cycle) -> Steps:
        """What `find` gives, with a pause wherever some of it is done."""
        if self.steps is None:
            return self.find(basis, cycle)
        return (yield from self.steps(basis, cycle))
