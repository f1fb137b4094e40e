# SPDX-License-Identifier: GPL-3.0-or-later
"""A check JSON read back: shots as they were found, and what was said of them."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..cause import Cause, KeyEdit
from ..checks import REGISTRY
from ..errors import PlumblineError
from ..evidence import Suggestion
from ..finding import SEVERITIES, WHOLE_FIGURE, Finding, Shot, ToldLook
from .choices import asked_in
from .kept import Intended, Said, kept_of
from .reader import Reader
from .stored import note_from

WHERE = "this check report"
SCHEMA = "plumbline/1"


@dataclass(frozen=True, eq=False)
class ReadShot:
    """A shot of a report, and what was said of it: its notes, and what is kept on purpose; asked:
    what the report was asked with, see `asked_in`."""

    shot: Shot
    said: Said
    asked: str = ""


def read_report(data: Any) -> tuple[ReadShot, ...]:
    """The shots of a check JSON; raises PlumblineError, one sentence, for what is none."""
    reader = Reader(data, what="it", where=WHERE)
    schema = reader.data.get("schema")
    if schema != SCHEMA:
        if _is_newer(schema):
            raise PlumblineError(
                f"{WHERE} cannot be used: it is {schema}, expected {SCHEMA}, as a newer Plumbline "
                "has written it: update Plumbline."
            )
        raise reader.wrong(f"does not say that it is {SCHEMA}")
    asked = asked_in(reader.mapping("settings"))
    return tuple(replace(each, asked=asked) for each in reader.each("shots", "shot", _shot))


def _is_newer(schema: Any) -> bool:
    kind, _, number = str(schema).partition("/")
    known, _, ours = SCHEMA.partition("/")
    return kind == known and number.isdecimal() and int(number) > int(ours)


def _shot(reader: Reader) -> ReadShot:
    first, last = reader.span("frames")
    fps = reader.number("fps")
    if fps <= 0.0:
        raise reader.wrong(f"goes from frame {first:g} to {last:g} at {fps:g} frames a second")
    of = f"of {reader.what}"
    shot = Shot(
        file=reader.text("file"),
        scene=reader.text_or_none("scene"),
        rig=reader.text("rig"),
        fps=fps,
        frames=(first, last),
        cycle=reader.flag("cycle"),
        height_m=reader.number_or_none("height_m"),
        findings=reader.each("findings", f"{of}, finding", _finding),
        skipped=reader.each("skipped", f"{of}, skipped check", _skipped),
        good=reader.texts("good"),
        style=reader.texts("style"),
        looks=reader.each("looks", f"{of}, look", _look),
        measures=reader.mapping("measures"),
        notes=reader.each("notes", f"{of}, note", note_from),
    )
    kept = [each for each in shot.findings if each.intended is not None]
    intended = tuple(
        Intended(finding=kept_of(each, shot), reason=each.intended or "") for each in kept
    )
    return ReadShot(shot, Said(intended=intended, notes=shot.notes))


def _finding(reader: Reader) -> Finding:
    severity, check = reader.text("severity"), reader.name("check")
    if severity not in SEVERITIES:
        raise reader.wrong(f"is {severity!r}, neither minor nor major")
    if check not in {each.info.name for each in REGISTRY}:
        raise reader.wrong(f"is of a check {check!r} that does not exist")
    part = reader.part("part")
    has_advice = reader.data.get("suggest") is not None
    found = Finding(
        id=reader.name("id"),
        mark=reader.text("mark"),
        check=check,
        part=part,
        point=reader.text("point"),
        space=reader.text("space", "world"),
        frames=reader.span("frames"),
        peak_frame=reader.frame("peak_frame"),
        severity=severity,
        amount=reader.number("amount"),
        limit=reader.number("limit"),
        unit=reader.text("unit"),
        says=reader.text("says"),
        also=reader.each("also", f"{reader.what}, event", _also),
        suggestion=_advice(reader.inner("suggest", "its advice")) if has_advice else None,
        causes=reader.each("causes", f"{reader.what}, cause", _cause),
        clears=reader.texts("clears"),
        after=reader.text_or_none("after"),
        intended=reader.text_or_none("intended"),
    )
    return replace(found, body=_body(found))


def _body(found: Finding) -> str:
    """Title of the body to mend: the part, or the name of what shows it; an id that is not ours
    names no body, and stands for the whole figure."""
    if found.part is not None:
        return found.part
    named = f"{found.id}::".split(":")[1]
    return found.point.partition(" (")[0] if named not in ("", WHOLE_FIGURE) else WHOLE_FIGURE


def _advice(reader: Reader) -> Suggestion:
    return Suggestion(
        reader.text("text"),
        frame=reader.frame_or_none("frame"),
        position=_vector(reader, "position"),
        offset=_vector(reader, "offset"),
        edits=reader.each("edits", "edit", _edit),
    )


def _vector(reader: Reader, name: str) -> NDArray[np.float64] | None:
    return None if reader.data.get(name) is None else np.array(reader.numbers(name, 3))


def _edit(reader: Reader) -> KeyEdit:
    return KeyEdit(
        control=reader.text("control"),
        channel=reader.text("channel"),
        frame=reader.frame("frame"),
        before=reader.number("from"),
        after=reader.number("to"),
    )


def _cause(reader: Reader) -> Cause:
    return Cause(
        control=reader.text_or_none("control"),
        channel=reader.text_or_none("channel"),
        data_path=reader.text_or_none("data_path"),
        action=reader.text_or_none("action"),
        strip=reader.text_or_none("strip"),
        frame=reader.frame_or_none("frame"),
        action_frame=reader.number_or_none("action_frame"),
        share=reader.number("share"),
        why=reader.text("why"),
    )


def _also(reader: Reader) -> tuple[str, str | None]:
    return reader.text("check"), reader.part("part")


def _skipped(reader: Reader) -> tuple[str, str]:
    return reader.text("check"), reader.text("why")


def _look(reader: Reader) -> ToldLook:
    return ToldLook(
        check=reader.text("check"),
        part=reader.part("part"),
        frames=reader.span("frames"),
        says=reader.text("says"),
    )
