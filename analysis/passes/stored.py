# SPDX-License-Identifier: GPL-3.0-or-later
"""What people said and what was measured as JSON, to be kept with the scene."""

from collections.abc import Mapping, Sequence
from typing import Any

from ..finding import Measured
from ..note import Note
from ..words import frame_number
from .kept import Intended, Kept, Pass, Said
from .reader import Reader
from .stored_motion import motion_from, motion_to_json

WHERE = "what Plumbline keeps of earlier passes"
_TEXTS = ("id", "mark", "check", "point", "severity", "unit", "title", "says", "body", "space")


def said_to_json(said: Said) -> dict[str, Any]:
    """What people said, as JSON values."""
    return {
        "intended": [
            {"reason": each.reason, "finding": _kept_to_json(each.finding)}
            for each in said.intended
        ],
        "notes": [note.to_json() for note in said.notes],
        **({"deleted": list(said.deleted)} if said.deleted else {}),
        **({"unkept": list(said.unkept)} if said.unkept else {}),
    }


def said_from_json(data: Any) -> Said:
    """The same read back; raises PlumblineError, one sentence, for what is not ours."""
    reader = Reader(data, what="what was said", where=WHERE)
    return Said(
        intended=reader.each("intended", "intended finding", _intended),
        notes=reader.each("notes", "note", note_from),
        deleted=reader.texts("deleted"),
        unkept=reader.texts("unkept"),
    )


def pass_to_json(done: Pass) -> dict[str, Any]:
    """A pass as JSON values."""
    return {
        "rig": done.rig,
        "frames": [frame_number(frame) for frame in done.frames],
        "fps": done.fps,
        "findings": [_kept_to_json(each) for each in done.findings],
        "fixed": [_kept_to_json(each) for each in done.fixed],
        "unseen": [_kept_to_json(each) for each in done.unseen],
        "note_frames": _frames_to_json(done.note_frames),
        "kept_frames": _frames_to_json(done.kept_frames),
        "factors": dict(done.factors),
        "asked": done.asked,
        "motion": None if done.motion is None else motion_to_json(done.motion),
    }


def pass_from_json(data: Any) -> Pass:
    """The same read back; raises PlumblineError, one sentence, for what is not ours."""
    reader = Reader(data, what="the last pass", where=WHERE)
    first, last = reader.numbers("frames", 2)
    fps = reader.number("fps")
    if fps <= 0.0 or last < first:
        raise reader.wrong(f"goes from frame {first:g} to {last:g} at {fps:g} frames a second")
    has_motion = reader.data.get("motion") is not None
    return Pass(
        rig=reader.text("rig"),
        frames=(first, last),
        fps=fps,
        findings=reader.each("findings", "finding", kept_from),
        fixed=reader.each("fixed", "fixed finding", kept_from),
        unseen=reader.each("unseen", "unseen finding", kept_from),
        note_frames=_numbers(reader.inner("note_frames", "the list of the notes' frames")),
        kept_frames=_numbers(reader.inner("kept_frames", "the list of kept frames")),
        factors=_numbers(reader.inner("factors", "the list of factors")),
        asked=reader.text("asked", ""),
        motion=motion_from(reader.inner("motion", "its motion")) if has_motion else None,
    )


def note_from(reader: Reader) -> Note:
    """A note out of JSON."""
    return Note(
        id=reader.name("id"),
        frame=reader.frame("frame"),
        part=reader.part("part"),
        text=reader.text("text"),
        mark=reader.text("mark", ""),
        finding=reader.text_or_none("finding"),
        by=reader.text("by", ""),
        done=reader.flag("done"),
        strokes=tuple(_stroke(reader, each) for each in reader.items("strokes")),
    )


def kept_from(reader: Reader) -> Kept:
    """A finding out of JSON that `said_to_json` or `pass_to_json` has written."""
    first, last = reader.numbers("frames", 2)
    span = None if reader.data.get("span") is None else reader.numbers("span", 2)
    return Kept(
        **{name: reader.text(name) for name in _TEXTS if name != "id"},
        id=reader.name("id"),
        part=reader.part("part"),
        frames=(first, last),
        frame=reader.frame("frame"),
        amount=reader.number("amount"),
        limit=reader.number("limit"),
        fps=reader.number("fps"),
        span=None if span is None else (span[0], span[1]),
        asked=reader.text("asked", ""),
        besides=_besides(reader),
    )


def _besides(reader: Reader) -> tuple[Measured, ...]:
    return tuple(
        each
        for group in reader.each("besides", f"what {reader.what} tells besides, group", _measured)
        for each in group
    )


def _measured(reader: Reader) -> tuple[Measured, ...]:
    first, last = reader.span("frames")
    amounts = _numbers(reader.inner("amounts", f"the list of amounts of {reader.what}"))
    check, unit = reader.text("check"), reader.text("unit")
    return tuple(
        Measured(check=check, body=body, frames=(first, last), amount=amount, unit=unit)
        for body, amount in amounts.items()
    )


def _frames_to_json(frames: Mapping[str, float]) -> dict[str, int | float]:
    return {name: frame_number(frame) for name, frame in frames.items()}


def _numbers(reader: Reader) -> dict[str, float]:
    return {name: reader.number(name) for name in reader.data}


def _intended(reader: Reader) -> Intended:
    finding = kept_from(reader.inner("finding", f"the finding of {reader.what}"))
    return Intended(finding=finding, reason=reader.text("reason"))


def _stroke(reader: Reader, value: Any) -> tuple[tuple[float, float, float], ...]:
    if not isinstance(value, list):
        raise reader.wrong("has a stroke that is no list of points")
    points = [reader.point(each, "a point of a stroke") for each in value]
    return tuple((x, y, z) for x, y, z in points)


def _kept_to_json(kept: Kept) -> dict[str, Any]:
    return {
        **{name: getattr(kept, name) for name in _TEXTS},
        "part": kept.part,
        "frames": [frame_number(frame) for frame in kept.frames],
        "frame": frame_number(kept.frame),
        "amount": kept.amount,
        "limit": kept.limit,
        "fps": kept.fps,
        "span": None if kept.span is None else [frame_number(frame) for frame in kept.span],
        **({"asked": kept.asked} if kept.asked else {}),
        **({"besides": _besides_to_json(kept.besides)} if kept.besides else {}),
    }


def _besides_to_json(besides: Sequence[Measured]) -> list[dict[str, Any]]:
    """What was measured, of one check on the same frames together."""
    groups: dict[Any, dict[str, float]] = {}
    for each in besides:
        amounts = groups.setdefault((each.check, each.unit, each.frames), {})
        amounts[each.body] = round(each.amount, 4)
    return [
        {
            "check": check,
            "unit": unit,
            "frames": [frame_number(frame) for frame in frames],
            "amounts": amounts,
        }
        for (check, unit, frames), amounts in groups.items()
    ]
