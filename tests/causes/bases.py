# SPDX-License-Identifier: GPL-3.0-or-later
"""The clean shots that faults are planted in: which there are. Standard library only."""

from dataclasses import dataclass

HALVES = ("A", "B")
GRID, OFFSET = "one grid", "offset"


@dataclass(frozen=True)
class Base:
    """A clean shot.

    rig      `rigify`: the Rigify human, a captured motion keyed on its controls; `porter`: our rig
    source   the captured motion, or the demo scene, whose polished pass it is
    keying   GRID: all main controls are keyed on the same pose frames; OFFSET: they are not
    half     A for setting limits, B for reporting; no source is in both
    fps      frames a second; None where the scene says
    arms     whether the Rigify human's arms are keyed by `ik` or `fk`
    long     a shot of some 250 frames, on which it is counted how many frames are evaluated
    """

    rig: str
    source: str
    keying: str
    half: str
    fps: float | None = None
    arms: str = "ik"
    long: bool = False

    @property
    def name(self) -> str:
        """A name of its own, for seeds and lists."""
        rate = "" if self.fps is None else f" {self.fps:g}"
        arms = " fk" if self.arms == "fk" else ""
        return f"{self.rig} {self.source}{rate}{arms}, {self.keying}"


def _rigify(source: str, half: str, arms: str) -> tuple[Base, ...]:
    """A motion at both rates, on one grid and with offset keys; its arms by IK at one of them."""
    other = "fk" if arms == "ik" else "ik"
    return (
        Base("rigify", source, GRID, half, 24.0, arms),
        Base("rigify", source, OFFSET, half, 30.0, other),
    )


def _porter(source: str, half: str) -> tuple[Base, ...]:
    return (Base("porter", source, OFFSET, half), Base("porter", source, GRID, half))


BASES: tuple[Base, ...] = (
    *_rigify("walk", "A", "ik"),
    *_rigify("dance_a", "A", "ik"),
    *_rigify("jump", "A", "fk"),
    *_rigify("punch", "B", "fk"),
    *_rigify("dance_b", "B", "ik"),
    *_rigify("spin", "B", "ik"),
    Base("rigify", "getup_faceup", GRID, "A", 60.0, long=True),
    *_porter("hop_crate", "A"),
    *_porter("brisk_walk", "A"),
    *_porter("sidestep", "A"),
    *_porter("stop_short", "B"),
    *_porter("run", "B"),
    *_porter("boathook_swing", "B"),
)
