# SPDX-License-Identifier: GPL-3.0-or-later
"""The fixed stages: clip -> basis -> evidence -> merge -> severity -> order."""

from collections.abc import Generator
from dataclasses import dataclass

from .ball.asked import why_not
from .basis import Basis, build_basis
from .basis.loads import loads_text
from .checks import REGISTRY, Check
from .clip import Clip
from .com_point import com_alone
from .errors import SettingsError
from .evidence import Evidence
from .finding import Finding, Shot, ToldLook, fixing_order
from .in_steps import Progress, at_once, saying, within
from .loop import Cycle, find_cycle
from .measures import measures_of
from .memory import Memory
from .merge import merge
from .meta_ball import Ball
from .notices import declared_text, notices_of
from .point_measures import point_measures, restless_look
from .rounds import Round, Rounds, plan_rounds
from .settings import Settings
from .telling import finding_of, look_of
from .with_camera import with_the_camera

# How far an examination has come as checks are asked, as their answers are put together, and as
# measures are taken; which checks take how many times as long as the others.
ASKING, PUTTING, MEASURING = 0.05, 0.85, 0.93
WEIGHTS = {"off_arc": 12, "pop": 4, "slide": 2, "hitch": 2}


@dataclass(frozen=True, eq=False)
class Examination:
    """A shot's answers, and the basis and cycle that they were found on."""

    shot: Shot
    basis: Basis
    cycle: Cycle


def check_clip(
    clip: Clip,
    settings: Settings | None = None,
    *,
    file: str = "",
    scene: str | None = None,
    memory: Memory | None = None,
) -> Shot:
    """Ask a clip all checks of the settings; returns a Shot.

    file and scene are carried into the result as they are. A memory that was at work for a clip
    that is nearly the same makes it quicker, and changes nothing else. Raises SettingsError for
    the name of an unknown check.
    """
    return examine(clip, settings, file=file, scene=scene, memory=memory).shot


def examine(
    clip: Clip,
    settings: Settings | None = None,
    *,
    file: str = "",
    scene: str | None = None,
    memory: Memory | None = None,
) -> Examination:
    """`check_clip` with what the answers were found on, for those who draw it."""
    return at_once(examination_in_steps(clip, settings, file=file, scene=scene, memory=memory))


def examination_in_steps(
    clip: Clip,
    settings: Settings | None = None,
    *,
    file: str = "",
    scene: str | None = None,
    memory: Memory | None = None,
) -> Generator[Progress, None, Examination]:
    """`examine` with pauses that tell how far it has come."""
    settings = settings or Settings()
    asked, skipped = choose_checks(settings, ball=clip.meta.ball)
    yield Progress(0.0, "Judging: what moves")
    if memory is not None:
        memory.begin()
    basis = build_basis(clip, settings, memory)
    cycle = find_cycle(basis)
    rounds, answers = yield from within(_asking(basis, cycle, asked), ASKING, PUTTING)
    yield Progress(PUTTING, "Judging: what goes together")
    findings = _in_order(clip, answers)
    evidence = [found for _round, each in answers for found in each]
    skipped += [*rounds.skipped, *((f.check, f.skipped) for f in evidence if f.skipped)]
    style = [each for each in (declared_text(basis), loads_text(basis), rounds.says) if each]
    yield Progress(MEASURING, "Measuring")
    points = point_measures(basis)
    looks = [look for each, found in answers for look in _looks(each.basis, found)]
    looks += [look_of(basis, look) for look in restless_look(basis, points)]
    shot = Shot(
        file=file,
        scene=scene,
        rig=clip.meta.name,
        fps=clip.fps,
        frames=(float(clip.frames[0]), float(clip.frames[-1])),
        cycle=cycle.plays,
        height_m=basis.height.story_m,
        findings=findings,
        skipped=tuple(dict.fromkeys(skipped)),
        good=tuple(found.good for found in evidence if found.good),
        style=(*style, *(each for found in evidence for each in _style(found))),
        looks=tuple(looks),
        measures=measures_of(basis, cycle, evidence, points),
        notices=notices_of(basis),
    )
    if memory is not None:
        memory.end()
    return Examination(shot, basis, cycle)


def _style(found: Evidence) -> list[str]:
    return [each for each in (found.declared, found.habit) if each]


def findings_of(clip: Clip, settings: Settings) -> tuple[Finding, ...]:
    """The findings of `check_clip` alone, for those who only count them: measures take time."""
    return at_once(findings_in_steps(clip, settings))


def findings_in_steps(clip: Clip, settings: Settings) -> Generator[None, None, tuple[Finding, ...]]:
    """`findings_of` with a pause before each check, and inside of long ones."""
    asked, _skipped = choose_checks(settings, ball=clip.meta.ball)
    basis = build_basis(clip, settings)
    cycle = find_cycle(basis)
    _rounds, answers = yield from saying(_asking(basis, cycle, asked), None)
    return _in_order(clip, answers)


Answers = list[tuple[Round, list[Evidence]]]


def _asking(
    basis: Basis, cycle: Cycle, asked: list[Check]
) -> Generator[Progress, None, tuple[Rounds, Answers]]:
    rounds = plan_rounds(basis, cycle, asked)
    answers: Answers = [(each, []) for each in rounds.asked]
    total = sum(_weight(check) for each in rounds.asked for check in each.checks)
    done = 0
    for each, found in answers:
        for check in each.checks:
            told = Progress(done / total, f"Judging: {check.info.name.replace('_', ' ')}")
            yield told
            found.append((yield from saying(each.ask(check), told)))
            done += _weight(check)
    return rounds, answers


def _weight(check: Check) -> int:
    return WEIGHTS.get(check.info.name, 1)


def _in_order(clip: Clip, answers: Answers) -> tuple[Finding, ...]:
    found = [finding for each, evidence in answers for finding in _findings(each, evidence)]
    told = with_the_camera(found, float(clip.frames[1] - clip.frames[0]))
    return tuple(sorted(told, key=fixing_order))


def _findings(asked: Round, evidence: list[Evidence]) -> list[Finding]:
    basis, cycle = asked.basis, asked.cycle
    loop = len(basis.frames) - cycle.repeats if cycle.plays else 0
    merged = merge(basis, evidence, loop=loop)
    habits = {found.check for found in evidence if found.habit}
    checks = [check for check in asked.checks if check.info.name not in habits]
    merged += com_alone(basis, cycle, checks, merged)
    return [finding_of(basis, each) for each in merged]


def choose_checks(
    settings: Settings, *, ball: Ball | None = None
) -> tuple[list[Check], list[tuple[str, str]]]:
    """The checks to ask, of a figure or a ball, and why the others are not; raises SettingsError
    for unknown names."""
    known = [check.info.name for check in REGISTRY]
    unknown = sorted({*(settings.checks or ()), *settings.off} - set(known))
    if unknown:
        raise SettingsError(
            f"there is no check called {', '.join(unknown)}; expected some of "
            f"{', '.join(known)}: choose from these."
        )
    asked, skipped = [], []
    for check in REGISTRY:
        if settings.checks is not None and check.info.name not in settings.checks:
            skipped.append((check.info.name, "not asked for"))
        elif why := why_not(ball, check.info.name):
            skipped.append((check.info.name, why))
        elif check.info.name in settings.off:
            skipped.append((check.info.name, settings.off[check.info.name]))
        elif settings.checks is None and settings.stage not in check.info.stages:
            skipped.append((check.info.name, f"not asked in the {settings.stage} stage"))
        else:
            asked.append(check)
    return asked, skipped


def _looks(basis: Basis, evidence: list[Evidence]) -> tuple[ToldLook, ...]:
    """The looks of all checks, each check's likeliest first."""
    looks = [look for found in evidence for look in sorted(found.looks, key=lambda x: -x.score)]
    return tuple(look_of(basis, look) for look in looks)
