# SPDX-License-Identifier: GPL-3.0-or-later
"""What is said of a walk or run beside another one of the same figure."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePath

from .evidence import Suggestion
from .finding import Finding, Shot, ToldLook
from .plain_text import number_text
from .words import size_text, speed_text

# Speeds nearer to each other than this are the same.
SAME_SPEED = 1.05
_PARTS = ((0.22, 0.28, "a quarter"), (0.31, 0.36, "a third"))


@dataclass(frozen=True, eq=False)
class Told:
    """A shot beside another one: m/s and metres of it and of the other.

    axis   side or up; what: too far, or flatter
    limit_m, wanted_m   from where on it is told, and what the other says that it should be
    """

    shot: Shot
    other: Shot
    axis: str
    what: str
    speeds: tuple[float, float]
    amounts: tuple[float, float]
    limit_m: float
    wanted_m: float
    running: bool


def finding_of(told: Told, *, taken: Sequence[Finding]) -> Finding:
    """A minor finding of `sway` on the whole range of the shot; `taken` have ids already."""
    ids = {finding.id for finding in taken}
    first, last = told.shot.frames
    peak = next(frame for frame in (first, last, 0.5 * (first + last)) if _id(frame) not in ids)
    amount, limit = (100.0 * metres for metres in (told.amounts[0], told.limit_m))
    keep = told.wanted_m / told.amounts[0]
    verb = "its way to the sides" if told.axis == "side" else "its rise and fall"
    return Finding(
        id=_id(peak),
        mark="",
        check="sway",
        part="root",
        point="",
        space="world",
        frames=told.shot.frames,
        peak_frame=peak,
        severity="minor",
        amount=amount,
        limit=limit,
        unit="cm",
        says=_says(told),
        suggestion=Suggestion(
            f"Bring it to {keep:.2f} of {verb}, about {size_text(told.wanted_m)}, if this is to be "
            "the same character."
        ),
    )


def look_of(told: Told) -> ToldLook:
    """A place worth an eye: a faster walk that rises less."""
    return ToldLook(check="sway", part="root", frames=told.shot.frames, says=_says(told))


def _id(frame: float) -> str:
    return f"sway:root:{number_text(frame)}"


def _says(told: Told) -> str:
    """The sentence: who goes how fast beside whom, and what that should do."""
    both = " against ".join(size_text(metres) for metres in told.amounts)
    pace, faster = _pace(told), told.speeds[0] >= SAME_SPEED * told.speeds[1]
    if told.what == "flatter":
        return f"{pace}, yet rises less ({both}): faster walks rise more."
    times = told.amounts[0] / told.amounts[1]
    how = f"{times:.1f} times as far" if times >= 1.05 else "as far"
    if told.axis == "side" and faster and not told.running:
        wide = f"{times:.1f} times as wide" if times >= 1.05 else "as wide"
        return f"{pace}, yet sways {wide} ({both}): faster walks are narrower."
    way = "sways" if told.axis == "side" else "rises and falls"
    return f"{pace}, and {way} {how} ({both})."


def _pace(told: Told) -> str:
    """`walk_fast goes a quarter faster than walk (1.5 m/s against 1.2 m/s)`."""
    name, other = _names(told)
    mine, theirs = told.speeds
    ratio = max(mine / theirs, theirs / mine)
    if ratio < SAME_SPEED:
        return f"{name} goes as fast as {other} ({speed_text(mine)})"
    parts = [words for low, high, words in _PARTS if low <= ratio - 1.0 <= high]
    if mine < theirs:
        much = f"{100.0 * (1.0 - mine / theirs):.0f} % slower than"
    else:
        much = f"{parts[0] if parts else f'{100.0 * (ratio - 1.0):.0f} %'} faster than"
    return f"{name} goes {much} {other} ({speed_text(mine)} against {speed_text(theirs)})"


def _names(told: Told) -> tuple[str, str]:
    """What the two shots are called: by file, else by rig and scene."""
    stems = [PurePath(shot.file).stem or shot.rig for shot in (told.shot, told.other)]
    if stems[0] == stems[1]:
        stems = [
            f"{stem} ({', '.join(part for part in (shot.rig, shot.scene) if part)})"
            for stem, shot in zip(stems, (told.shot, told.other), strict=True)
        ]
    return stems[0], stems[1]
