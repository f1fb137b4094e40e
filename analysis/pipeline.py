# SPDX-License-Identifier: GPL-3.0-or-later
"""The fixed stages: clip -> basis -> evidence -> merge -> severity -> order."""

from dataclasses import dataclass, replace

from .basis import Basis, Body, build_basis
from .basis.body_marks import JOINT_NAMES, TIP
from .checks import REGISTRY, Check
from .clip import Clip
from .com_point import COM, com_alone
from .errors import SettingsError
from .evidence import Evidence, Look, Suggestion
from .finding import WHOLE_FIGURE, Finding, Shot, ToldLook, fixing_order
from .loop import Cycle, find_cycle
from .mark import mark_at
from .measures import measures_of
from .merge import merge
from .merged import Merged
from .parts import fix_rank, label, split_part
from .plain_text import number_text
from .point_measures import point_measures, restless_look
from .rounds import Round, plan_rounds
from .screen import ScreenBasis
from .settings import Settings
from .severity import severity
from .with_camera import with_the_camera
from .words import capital


@dataclass(frozen=True, eq=False)
class Examination:
    """A shot's answers, and the basis and cycle that they were found on."""

    shot: Shot
    basis: Basis
    cycle: Cycle


def check_clip(
    clip: Clip, settings: Settings | None = None, *, file: str = "", scene: str | None = None
) -> Shot:
    """Ask a clip all checks of the settings; returns a Shot.

    file and scene are carried into the result as they are. Raises SettingsError for the
    name of an unknown check.
    """
    return examine(clip, settings, file=file, scene=scene).shot


def examine(
    clip: Clip, settings: Settings | None = None, *, file: str = "", scene: str | None = None
) -> Examination:
    """`check_clip` with what the answers were found on, for those who draw it."""
    settings = settings or Settings()
    asked, skipped = choose_checks(settings)
    basis = build_basis(clip, settings)
    cycle = find_cycle(basis)
    rounds = plan_rounds(basis, cycle, asked)
    answers = [(each, each.ask()) for each in rounds.asked]
    found_all = [finding for each, evidence in answers for finding in _findings(each, evidence)]
    findings = with_the_camera(found_all, float(clip.frames[1] - clip.frames[0]))
    evidence = [found for _round, each in answers for found in each]
    skipped += [*rounds.skipped, *((f.check, f.skipped) for f in evidence if f.skipped)]
    style = [rounds.says] if rounds.says else []
    points = point_measures(basis)
    looks = [look for each, found in answers for look in _looks(each.basis, found)]
    looks += [_told_look(basis, look) for look in restless_look(basis, points)]
    shot = Shot(
        file=file,
        scene=scene,
        rig=clip.meta.name,
        fps=clip.fps,
        frames=(float(clip.frames[0]), float(clip.frames[-1])),
        cycle=cycle.plays,
        height_m=basis.height.story_m,
        findings=tuple(sorted(findings, key=fixing_order)),
        skipped=tuple(dict.fromkeys(skipped)),
        good=tuple(found.good for found in evidence if found.good),
        style=(*style, *(found.habit for found in evidence if found.habit)),
        looks=tuple(looks),
        measures=measures_of(basis, cycle, evidence, points),
    )
    return Examination(shot, basis, cycle)


def _findings(asked: Round, evidence: list[Evidence]) -> list[Finding]:
    basis, cycle = asked.basis, asked.cycle
    loop = len(basis.frames) - cycle.repeats if cycle.plays else 0
    merged = merge(basis, evidence, loop=loop)
    habits = {found.check for found in evidence if found.habit}
    checks = [check for check in asked.checks if check.info.name not in habits]
    merged += com_alone(basis, cycle, checks, merged)
    return [_finding(basis, each) for each in merged]


def choose_checks(settings: Settings) -> tuple[list[Check], list[tuple[str, str]]]:
    """The checks to ask, and why the others are not; raises SettingsError for unknown names."""
    known = [check.info.name for check in REGISTRY]
    unknown = sorted(set(settings.checks or ()) - set(known))
    if unknown:
        raise SettingsError(
            f"there is no check called {', '.join(unknown)}; expected some of "
            f"{', '.join(known)}: choose from these."
        )
    asked, skipped = [], []
    for check in REGISTRY:
        if settings.checks is not None and check.info.name not in settings.checks:
            skipped.append((check.info.name, "not asked for"))
        elif settings.checks is None and settings.stage not in check.info.stages:
            skipped.append((check.info.name, f"not asked in the {settings.stage} stage"))
        else:
            asked.append(check)
    return asked, skipped


def _finding(basis: Basis, merged: Merged) -> Finding:
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
    )


def _title(merged: Merged, body: Body | None) -> str:
    """What stands for the part in an id."""
    return (merged.lead.part or WHOLE_FIGURE) if body is None else body.title


def _looks(basis: Basis, evidence: list[Evidence]) -> tuple[ToldLook, ...]:
    """The looks of all checks, each check's likeliest first."""
    looks = [look for found in evidence for look in sorted(found.looks, key=lambda x: -x.score)]
    return tuple(_told_look(basis, look) for look in looks)


def _told_look(basis: Basis, look: Look) -> ToldLook:
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
    return _in_world(basis, merged, replace(advice, text=text))


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
