# SPDX-License-Identifier: GPL-3.0-or-later
"""Words for what was found: sentences with their parts named, and where the point would be."""

from collections.abc import Sequence
from dataclasses import replace

from .ball.asked import BALL
from .basis import Basis, Body
from .basis.body_marks import JOINT_NAMES, TIP
from .com_point import COM
from .evidence import Look, RawEvent, Suggestion
from .finding import WHOLE_FIGURE, Finding, Measured, ToldLook
from .mark import mark_at
from .merged import Merged
from .parts import fix_rank, label, limb_of, split_part
from .plain_text import number_text
from .screen import ScreenBasis
from .severity import severity
from .words import capital


def finding_of(basis: Basis, merged: Merged) -> Finding:
    """A merged event as it is told: parts named, sizes and frames as people count them."""
    lead = merged.lead
    body = None if merged.owner is None else basis.bodies[merged.owner]
    part = lead.part if body is None else body.part
    peak_frame = float(basis.frames[lead.peak])
    also = {(event.check, event.part or _part(basis, event.body)) for event in merged.members}
    also.discard((lead.check, part))
    return Finding(
        id=f"{lead.check}:{_title(merged, body)}:{number_text(peak_frame)}",
        mark=mark_at(basis, merged.owner, lead.peak),
        check=lead.check,
        part=part,
        point=_point(basis, lead.body, lead.point),
        space=basis.space,
        frames=(float(basis.frames[lead.first]), float(basis.frames[lead.last])),
        peak_frame=peak_frame,
        severity=severity(basis, merged),
        amount=lead.amount,
        limit=lead.limit,
        unit=lead.unit,
        says=_sentence(basis, merged),
        also=tuple(sorted(also, key=lambda pair: (pair[0], fix_rank(pair[1])))),
        suggestion=_suggestion(basis, merged),
        body=_title(merged, body),
        who=capital(BALL) if basis.clip.is_ball else "",
        besides=_besides(basis, merged, _title(merged, body)),
    )


def _besides(basis: Basis, merged: Merged, title: str) -> tuple[Measured, ...]:
    """What its members measured, of each check and body the largest; without the line's own."""
    found: dict[tuple[str, str], list[RawEvent]] = {}
    for event in merged.members:
        body = None if event.body is None else basis.bodies[event.body].title
        found.setdefault((event.check, body or event.part or WHOLE_FIGURE), []).append(event)
    found.pop((merged.lead.check, title), None)
    return tuple(_measured(basis, body, events) for (_check, body), events in found.items())


def _measured(basis: Basis, body: str, events: Sequence[RawEvent]) -> Measured:
    largest = max(events, key=lambda each: each.amount)
    first, last = min(each.first for each in events), max(each.last for each in events)
    return Measured(
        check=largest.check,
        body=body,
        frames=(float(basis.frames[first]), float(basis.frames[last])),
        amount=largest.amount,
        unit=largest.unit,
    )


def _title(merged: Merged, body: Body | None) -> str:
    """What stands for the part in an id."""
    return (merged.lead.part or WHOLE_FIGURE) if body is None else body.title


def look_of(basis: Basis, look: Look) -> ToldLook:
    """A look as it is told."""
    says = look.says if look.body is None else look.says.replace("{who}", _name(basis, look.body))
    frames = (float(basis.frames[look.first]), float(basis.frames[look.last]))
    return ToldLook(
        check=look.check, part=_part(basis, look.body), frames=frames, says=capital(says)
    )


def _sentence(basis: Basis, merged: Merged) -> str:
    """The check's sentence with its part named; a carried part says what carries it."""
    lead = merged.lead
    if lead.body is None:
        return capital(lead.says)
    text = lead.says.replace("{who}", _shown(basis, lead.body, lead.point))
    if merged.owner is None:
        text = f"{text.removesuffix('.')}, and most of the body with it."
    elif merged.owner != lead.body:
        text = f"{text.removesuffix('.')}, carried by the {_name(basis, merged.owner)}."
    return capital(text)


def _suggestion(basis: Basis, merged: Merged) -> Suggestion | None:
    """The check's advice, with the part to mend named."""
    advice = merged.lead.suggestion
    if advice is None:
        return None
    who = "whole body" if merged.owner is None else _name(basis, merged.owner)
    text = advice.text.replace("{who}", who).replace("{it}", _it(basis, merged))
    if advice.own_text and _is_limbs_own(basis, merged):
        text = f"{text} {advice.own_text}"
    return _in_world(basis, merged, replace(advice, text=text))


def _is_limbs_own(basis: Basis, merged: Merged) -> bool:
    """Whether the part to mend is the one that shows the event, or another of its limb."""
    owner, shows = (_part(basis, body) for body in (merged.owner, merged.lead.body))
    return owner is not None and (owner == shows or owner in limb_of(shows or ""))


def _in_world(basis: Basis, merged: Merged, advice: Suggestion) -> Suggestion:
    """Where the point should be in the world, for what was found on the picture."""
    lead = merged.lead
    if not isinstance(basis, ScreenBasis) or lead.body is None:
        return advice
    body, at = lead.body, lead.peak
    offset, position = advice.offset, advice.position
    if offset is not None:
        offset = basis.to_world(offset, at, body)
    if position is not None:
        way = basis.to_world(position - basis.positions[at, body], at, body)
        position = basis.world.positions[at, body] + way
    return replace(advice, offset=offset, position=position)


def _it(basis: Basis, merged: Merged) -> str:
    """What to move, in the words of the advice: the part that shows it, or what carries it."""
    lead = merged.lead
    if merged.owner == lead.body or lead.body is None:
        return "it"
    if merged.owner is None:
        return "the whole body, and with it this point,"
    return (
        f"the {_name(basis, merged.owner)}, and with it the {_shown(basis, lead.body, lead.point)},"
    )


def _name(basis: Basis, body: int) -> str:
    """Words for a body. A prop goes by its own name; the body's control is named beside."""
    if basis.clip.is_ball:
        return BALL
    each = basis.bodies[body]
    kind = split_part(each.part or "")[0]
    if each.part is None or kind == "prop":
        return each.name
    own_name = kind in ("root", "mover") and each.name.lower() != kind
    return f"{label(each.part)} ({each.name})" if own_name else label(each.part)


def _shown(basis: Basis, body: int, point: str) -> str:
    """Words for the point that shows an event, where the eye has a name for it."""
    each = basis.bodies[body]
    kind = split_part(each.part or "")[0]
    if point and point == JOINT_NAMES.get(kind):
        return label(each.part or "").replace(label(kind), point)
    if kind in ("prop", "") and point == basis.mark_name(body, TIP):
        if each.name in point or (point != "tip" and each.part is None):
            return point
        if kind == "prop":
            return f"{each.name}'s {point}"
    return _name(basis, body)


def _part(basis: Basis, body: int | None) -> str | None:
    return None if body is None else basis.bodies[body].part


def _point(basis: Basis, body: int | None, mark: str) -> str:
    if body is None:
        return ""
    if mark == COM:
        return mark
    name = basis.bodies[body].name
    return f"{name} ({mark})" if mark else name
