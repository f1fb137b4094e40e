# SPDX-License-Identifier: GPL-3.0-or-later
"""The fixed stages: clip -> basis -> evidence -> merge -> severity -> order."""

from collections.abc import Generator
from dataclasses import dataclass

from .basis import Basis, build_basis
from .basis.loads import loads_text
from .checks import REGISTRY, Check
from .clip import Clip
from .com_point import com_alone
from .errors import SettingsError
from .evidence import Evidence
from .finding import Finding, Shot, ToldLook, fixing_order
from .in_steps import at_once
from .loop import Cycle, find_cycle
from .measures import measures_of
from .merge import merge
from .notices import declared_text, notices_of
from .point_measures import point_measures, restless_look
from .rounds import Round, Rounds, plan_rounds
from .settings import Settings
from .telling import finding_of, look_of
from .with_camera import with_the_camera


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
    rounds, answers = at_once(_asking(basis, cycle, asked))
    evidence = [found for _round, each in answers for found in each]
    skipped += [*rounds.skipped, *((f.check, f.skipped) for f in evidence if f.skipped)]
    style = [each for each in (declared_text(basis), loads_text(basis), rounds.says) if each]
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
        findings=_in_order(clip, answers),
        skipped=tuple(dict.fromkeys(skipped)),
        good=tuple(found.good for found in evidence if found.good),
        style=(*style, *(each for found in evidence for each in _style(found))),
        looks=tuple(looks),
        measures=measures_of(basis, cycle, evidence, points),
        notices=notices_of(basis),
    )
    return Examination(shot, basis, cycle)


def _style(found: Evidence) -> list[str]:
    return [each for each in (found.declared, found.habit) if each]


def findings_of(clip: Clip, settings: Settings) -> tuple[Finding, ...]:
    """The findings of `check_clip` alone, for those who only count them: measures take time."""
    return at_once(findings_in_steps(clip, settings))


def findings_in_steps(clip: Clip, settings: Settings) -> Generator[None, None, tuple[Finding, ...]]:
    """`findings_of` with a pause after each check."""
    asked, _skipped = choose_checks(settings)
    basis = build_basis(clip, settings)
    cycle = find_cycle(basis)
    yield
    _rounds, answers = yield from _asking(basis, cycle, asked)
    return _in_order(clip, answers)


Answers = list[tuple[Round, list[Evidence]]]


def _asking(
    basis: Basis, cycle: Cycle, asked: list[Check]
) -> Generator[None, None, tuple[Rounds, Answers]]:
    rounds = plan_rounds(basis, cycle, asked)
    answers: Answers = []
    for each in rounds.asked:
        answers.append((each, []))
        for evidence in each.asking():
            answers[-1][1].append(evidence)
            yield
    return rounds, answers


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


def choose_checks(settings: Settings) -> tuple[list[Check], list[tuple[str, str]]]:
    """The checks to ask, and why the others are not; raises SettingsError for unknown names."""
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
