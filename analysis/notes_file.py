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
    """The shot of a rig, by any of its names; of several the one of the scene, else the first.

    Raises PlumblineError where the report is about other rigs.
    """
    meant = [each for each in read if each.shot.rig in names]
    if not meant:
        others = ", ".join(dict.fromkeys(repr(each.shot.rig) for each in read)) or "no shot"
        wanted = min(names, key=len)
        raise PlumblineError(
            f"{file} is about {others}, expected the rig {wanted!r}: pick that rig above, or open "
            "the notes of this one."
        )
    return next((each for each in meant if each.shot.scene == scene), meant[0])
