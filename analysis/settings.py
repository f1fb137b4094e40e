# SPDX-License-Identifier: GPL-3.0-or-later
"""How a check is asked: the same settings on the command line and in the panel."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from .errors import SettingsError
from .meta import STAGES
from .story_height import why_no_height

CYCLES = ("auto", "yes", "no")
TOLERANCES = ("strict", "normal", "loose")
# Tables of segment masses, see basis/mass.py.
MASSES = ("winter", "de_leva", "dumas")
# Where point checks are asked: in the world, or on the picture that the active camera sees.
SPACES = ("world", "camera")

# A tolerance widens every limit by this factor; it never switches a check off.
TOLERANCE_FACTORS = {"strict": 0.75, "normal": 1.0, "loose": 1.5}


@dataclass(frozen=True, kw_only=True)
class Settings:
    """stage      blocking | spline | polish: which checks are asked
    tolerance  strict | normal | loose: limits times .75, 1 or 1.5
    cycle      yes | no | auto: does the range play as a loop? auto: as the clip says, else guessed
    height_m   the height that the character has in the story, or None
    checks     names of the checks to ask, or None for all of the stage
    off        checks that are not asked, whatever the stage: name -> why, as `skipped` says it
    masses     winter | de_leva | dumas: the table that the centre of mass is found by
    space      world | camera: where points are followed
    style      factors on the limits of checks, learned from approved shots; 1 where none

    Raises SettingsError for a value that is none of these.
    """

    stage: str = "polish"
    tolerance: str = "normal"
    cycle: str = "auto"
    height_m: float | None = None
    checks: tuple[str, ...] | None = None
    masses: str = "winter"
    space: str = "world"
    style: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    off: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))

    def __post_init__(self) -> None:
        for name, value, allowed in (
            ("stage", self.stage, STAGES),
            ("tolerance", self.tolerance, TOLERANCES),
            ("cycle", self.cycle, CYCLES),
            ("masses", self.masses, MASSES),
            ("space", self.space, SPACES),
        ):
            if value not in allowed:
                raise SettingsError(
                    f"{name} is {value!r}, expected {' or '.join(allowed)}: choose one of these."
                )
        if self.height_m is not None and (why := why_no_height(self.height_m)):
            raise SettingsError(f"height is {why}.")

    @property
    def limit_factor(self) -> float:
        """What the tolerance multiplies every limit by."""
        return TOLERANCE_FACTORS[self.tolerance]

    def factor(self, check: str) -> float:
        """What the limits of a check are multiplied by: tolerance times house style."""
        return self.limit_factor * self.style.get(check, 1.0)

    def at_stage(self, stage: str) -> "Settings":
        """The same settings for another stage."""
        return replace(self, stage=stage)

    def to_json(self) -> dict[str, Any]:
        """The settings as they stand in the check JSON."""
        return {
            "stage": self.stage,
            "tolerance": self.tolerance,
            "cycle": self.cycle,
            "height_m": self.height_m,
            "checks": None if self.checks is None else list(self.checks),
            "masses": self.masses,
            "space": self.space,
            "style": dict(self.style),
        }


def run_json(settings: Settings, used: Sequence[Settings]) -> dict[str, Any]:
    """A run's settings in the check JSON, with the stage that its shots were judged at.

    Clips may state their own stage: where the shots differ in it, it is null.
    """
    stages = {each.stage for each in used} or {settings.stage}
    return {**settings.to_json(), "stage": stages.pop() if len(stages) == 1 else None}
