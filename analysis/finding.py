# SPDX-License-Identifier: GPL-3.0-or-later
"""Findings and shots: the answers, as they stand in the check JSON."""

from dataclasses import dataclass, field
from typing import Any

from .cause import Cause
from .evidence import Suggestion
from .note import Note
from .parts import fix_rank, label, split_part
from .words import capital, frame_number, frame_text

SEVERITIES = ("minor", "major")
# What stands in an id where a part would, when a finding is the whole figure's.
WHOLE_FIGURE = "-"


@dataclass(frozen=True, kw_only=True)
class Measured:
    """What a check measured on a body of an event that is told by another line, at its largest.

    body    its title, as of `Finding.body`; amount is in `unit`
    """

    check: str
    body: str
    frames: tuple[float, float]
    amount: float
    unit: str


@dataclass(frozen=True, kw_only=True)
class Finding:
    """One answer. Frames are frame numbers; amount and limit are in `unit`.

    id      check:part:frame in a first pass
    mark    the local motion around it, quantised: matches findings from pass to pass
    part    the part to mend, or None for the whole figure or a rig without roles
    point   what shows it: a joint, or a joint and its tip
    also    other (check, part) pairs that are the same event
    causes  what made it, the largest share first; empty before causes were looked for
    clears  ids of the other findings that go when the first cause is mended
    after   id of the finding whose cause, mended, takes this one with it, or None
    body    title of the body to mend, its part or name, `-` for the whole figure; where it is
            empty, the id says so
    who     what the title calls the part, where not by its own words
    intended  why it is kept on purpose, or None: then it stands in the list and counts nowhere
    besides   what was measured of the pairs in `also`; no part of the JSON
    """

    id: str
    mark: str
    check: str
    part: str | None
    point: str
    space: str
    frames: tuple[float, float]
    peak_frame: float
    severity: str
    amount: float
    limit: float
    unit: str
    says: str
    also: tuple[tuple[str, str | None], ...] = ()
    suggestion: Suggestion | None = None
    causes: tuple[Cause, ...] = ()
    clears: tuple[str, ...] = ()
    after: str | None = None
    body: str = ""
    who: str = ""
    intended: str | None = None
    besides: tuple[Measured, ...] = field(default=(), compare=False, repr=False)

    @property
    def owner(self) -> str:
        """Title of the body to mend: a part, a joint's name, or `-` for the whole figure."""
        return self.body or self.id.split(":")[1]

    @property
    def is_whole_figure(self) -> bool:
        """Whether nobody is to blame but the whole figure, or the range itself."""
        return self.owner == WHOLE_FIGURE

    @property
    def counts(self) -> bool:
        """Whether it is a fault, and not kept on purpose."""
        return self.intended is None

    @property
    def title(self) -> str:
        """A few words that fit into a list: `Right upper arm: loop seam`."""
        what = self.check.replace("_", " ")
        if self.who:
            return f"{self.who}: {what}"
        if self.part is not None:
            kind, _side = split_part(self.part)
            if kind == "prop" and self.point:  # a prop goes by its own name
                return f"{self.point.partition(' (')[0]}: {what}"
            if what.startswith(f"{kind} "):  # the camera's jump
                return capital(what)
            return f"{capital(label(self.part))}: {what}"
        if self.is_whole_figure:
            return f"Whole body: {what}" if self.point else capital(what)
        return f"{self.point}: {what}"  # the name of a bone stays as it is

    def to_json(self) -> dict[str, Any]:
        """The finding as it stands in the check JSON."""
        return {
            "id": self.id,
            "mark": self.mark,
            "check": self.check,
            "part": self.part,
            "point": self.point,
            "space": self.space,
            "frames": [frame_number(self.frames[0]), frame_number(self.frames[1])],
            "peak_frame": frame_number(self.peak_frame),
            "severity": self.severity,
            "amount": round(self.amount, 2),
            "limit": round(self.limit, 2),
            "unit": self.unit,
            "says": self.says,
            "also": [{"check": check, "part": part} for check, part in self.also],
            "suggest": None if self.suggestion is None else _suggestion(self.suggestion),
            "causes": [cause.to_json() for cause in self.causes],
            "clears": list(self.clears),
            "after": self.after,
            "intended": self.intended,
        }


@dataclass(frozen=True, kw_only=True)
class ToldLook:
    """A place worth an eye, never an alarm. Frames are frame numbers."""

    check: str
    part: str | None
    frames: tuple[float, float]
    says: str

    def to_json(self) -> dict[str, Any]:
        """The look as it stands in the check JSON."""
        frames = [frame_number(frame) for frame in self.frames]
        return {"check": self.check, "part": self.part, "frames": frames, "says": self.says}


@dataclass(frozen=True, kw_only=True)
class Shot:
    """Everything that was found out about one character in one range.

    good     sentences for what holds
    style    sentences for what the whole shot does alike, and how it was judged for it
    looks    places worth an eye, the likeliest first
    notices  sentences about what was declared for it and could not be used; no part of the JSON
    notes    what people say of its frames
    """

    file: str
    scene: str | None
    rig: str
    fps: float
    frames: tuple[float, float]
    cycle: bool
    height_m: float | None
    findings: tuple[Finding, ...]
    skipped: tuple[tuple[str, str], ...] = ()
    good: tuple[str, ...] = ()
    style: tuple[str, ...] = ()
    looks: tuple[ToldLook, ...] = ()
    measures: dict[str, Any] = field(default_factory=dict)
    notices: tuple[str, ...] = ()
    notes: tuple[Note, ...] = ()

    @property
    def is_unjudged(self) -> bool:
        """Whether no check had an answer: silence is not good news."""
        return not self.findings and not self.good

    @property
    def reasons(self) -> dict[str, list[str]]:
        """Why checks were not judged: each reason once, with all checks that it is true of."""
        found: dict[str, list[str]] = {}
        for check, why in self.skipped:
            found.setdefault(why, []).append(check)
        return found

    @property
    def good_briefly(self) -> tuple[str, ...]:
        """What holds, without the range that stands in every headline."""
        whole = f" from frame {frame_text(self.frames[0])} to {frame_text(self.frames[1])}."
        return tuple(_without(sentence, whole) for sentence in self.good)

    def to_json(self) -> dict[str, Any]:
        """The shot as it stands in the check JSON; `notes` only where there are any."""
        notes = {"notes": [note.to_json() for note in self.notes]} if self.notes else {}
        return {
            "file": self.file,
            "scene": self.scene,
            "rig": self.rig,
            "fps": round(self.fps, 4),
            "frames": [frame_number(self.frames[0]), frame_number(self.frames[1])],
            "cycle": self.cycle,
            "height_m": None if self.height_m is None else round(self.height_m, 3),
            "skipped": [{"check": check, "why": why} for check, why in self.skipped],
            "measures": _rounded(self.measures),
            "good": list(self.good),
            "style": list(self.style),
            "looks": [look.to_json() for look in self.looks],
            "findings": [finding.to_json() for finding in self.findings],
            **notes,
        }


def _without(sentence: str, end: str) -> str:
    """A sentence that ends before `end`, where it has that."""
    return f"{sentence.removesuffix(end)}." if sentence.endswith(end) else sentence


def fixing_order(finding: Finding) -> tuple[bool, tuple[int, int, str], float, str]:
    """The whole figure, the body outwards, then what is no part of it."""
    added = finding.part is None and not finding.is_whole_figure
    return (added, fix_rank(finding.part), finding.peak_frame, finding.check)


def _suggestion(suggestion: Suggestion) -> dict[str, Any]:
    """Text, frame, and the place or the way to it in metres, rounded to a tenth of a mm."""
    edits = [edit.to_json() for edit in suggestion.edits]
    data: dict[str, Any] = {"text": suggestion.text, "frame": None, "edits": edits}
    if suggestion.frame is not None:
        data["frame"] = frame_number(suggestion.frame)
    for name in ("position", "offset"):
        value = getattr(suggestion, name)
        if value is not None:
            data[name] = [round(float(number), 4) for number in value]
    return data


def _rounded(measures: dict[str, Any]) -> dict[str, Any]:
    """Measures with four decimals, by name; groups of measures alike."""
    return {
        name: _rounded(value) if isinstance(value, dict) else round(value, 4)
        for name, value in sorted(measures.items())
    }
