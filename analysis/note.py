# SPDX-License-Identifier: GPL-3.0-or-later
"""What somebody says of a frame of a shot: kept with the findings, and in the check JSON."""

from dataclasses import dataclass
from typing import Any

from .words import frame_number


@dataclass(frozen=True, kw_only=True)
class Note:
    """What somebody says of a frame.

    frame     as it was when the note was made; `Outcome.note_frames` says where it is now
    part      whose motion it is about, or None; mark: that motion, see `note_mark`
    finding   id of the finding that it is about, or None
    strokes   drawn targets: points in the world, metres
    """

    id: str
    frame: float
    part: str | None
    text: str
    mark: str = ""
    finding: str | None = None
    by: str = ""
    done: bool = False
    strokes: tuple[tuple[tuple[float, float, float], ...], ...] = ()

    def to_json(self) -> dict[str, Any]:
        """The note as it stands in the check JSON."""
        return {
            "id": self.id,
            "frame": frame_number(self.frame),
            "part": self.part,
            "text": self.text,
            "by": self.by,
            "done": self.done,
            "finding": self.finding,
            "mark": self.mark,
            "strokes": [[[round(x, 4) for x in at] for at in stroke] for stroke in self.strokes],
        }
