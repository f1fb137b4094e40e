# SPDX-License-Identifier: GPL-3.0-or-later
"""A check JSON as a way to hand notes over: read whole, and only for the rig that it is about."""

import json
import os
from collections.abc import Collection, Sequence
from pathlib import Path

from .errors import PlumblineError
from .passes import ReadShot, read_report


def read_notes(path: str | os.PathLike[str]) -> tuple[ReadShot, ...]:
    """The shots of a check JSON; raises PlumblineError, one sentence that names the file."""
    name = Path(path).name
    try:
        data = json.loads(Path(path).read_bytes())
    except (OSError, ValueError, RecursionError) as error:
        reason = getattr(error, "strerror", None) or "it is no JSON"
        raise PlumblineError(
            f"{name} cannot be read ({reason}), expected a check report: pick the file that was "
            "sent, or ask for it again."
        ) from None
    try:
        return read_report(data)
    except PlumblineError as error:
        raise PlumblineError(f"{name}: {error}") from None


def shot_for(read: Sequence[ReadShot], names: Collection[str], scene: str, file: str) -> ReadShot:
    """The shot of a rig, by any of its names, or of another rig where none is of that one; of
    several the one of the scene, else the first.

    Raises PlumblineError where the report holds no shot.
    """
    if not read:
        raise PlumblineError(
            f"{file} holds no shot, expected the notes of one: save them again where they were "
            "made, or pick another file."
        )
    meant = [each for each in read if each.shot.rig in names] or read
    return next((each for each in meant if each.shot.scene == scene), meant[0])


def why_other_rig(
    read: Sequence[ReadShot], names: Collection[str], here: Collection[str], file: str, anyway: str
) -> str:
    """Why a report is not about a rig, one sentence; empty where it is.

    names   all names of the rig; here: the rigs that can be picked
    anyway  the label of what takes it all the same, as a rig may have been renamed
    """
    rigs = list(dict.fromkeys(each.shot.rig for each in read))
    if any(rig in names for rig in rigs):
        return ""
    pick = "pick that rig above" if any(rig in here for rig in rigs) else "open those of this one"
    return (
        f"{file} is about {', '.join(map(repr, rigs))}, expected notes of the rig "
        f"{min(names, key=len)!r}: {pick}, or choose {anyway} where it was only renamed."
    )
