# SPDX-License-Identifier: GPL-3.0-or-later
"""Counts what the bench of causes found: shares with both denominators. Standard library only."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from tests.quality.intervals import binomial_interval

from .kinds import KINDS
from .plan import TRIPLE
from .score import tells
from .truth import Truth

Json = dict[str, Any]

DROP = 0.8  # the share of the way to the clean original that a mend has to take back
ELSEWHERE_M = 1e-4
ARC_M = 0.03  # from this size on `off_arc` is promised
SIZES_M = (0.0, 0.03, 0.045, 0.065, float("inf"))  # what single faults are told by
LONG = 200  # frames of the shots on which evaluated frames are counted
ALL = "all"
SINGLE = "single faults"


@dataclass(frozen=True)
class Share:
    """So many right of so many cases."""

    right: int
    cases: int

    @property
    def value(self) -> float:
        """The share; 0 where there are no cases."""
        return self.right / self.cases if self.cases else 0.0

    def __str__(self) -> str:
        if not self.cases:
            return "-"
        low, high = binomial_interval(self.right, self.cases)
        return f"{self.value:.2f} ({low:.2f}-{high:.2f}, n {self.cases})"

    def to_json(self) -> Json:
        """As JSON values, with the exact interval."""
        low, high = binomial_interval(self.right, self.cases)
        return {"right": self.right, "cases": self.cases, "low": low, "high": high}


@dataclass(frozen=True)
class Row:
    """The figures of some cases: `of` says which; shares by name."""

    of: str
    shares: dict[str, Share]


@dataclass(frozen=True)
class Figures:
    """All rows, and what is counted once."""

    rows: tuple[Row, ...]
    once: dict[str, float]

    def row(self, of: str) -> Row | None:
        """The row of that name."""
        return next((row for row in self.rows if row.of == of), None)

    def to_json(self) -> Json:
        """As JSON values."""
        rows = {row.of: {k: v.to_json() for k, v in row.shares.items()} for row in self.rows}
        return {"rows": rows, "once": self.once}


def counted(cases: Sequence[Json], clean: Sequence[Json]) -> Figures:
    """All figures of a run."""
    planted = [case for case in cases if case["planted"]]
    single = [case for case in planted if case["kind"] != TRIPLE]
    rows = [Row(of, _shares(each)) for of, each in _groups(single) if each]
    triple = [case for case in planted if case["kind"] == TRIPLE]
    if triple:
        rows += [Row(f"three at once, {of}", _three(each)) for of, each in _halves(triple) if each]
    return Figures(tuple(rows), _once(cases, planted, clean))


def _groups(cases: Sequence[Json]) -> Iterator[tuple[str, list[Json]]]:
    """Which cases are told of together: kinds, then what each shot is, then halves."""
    yield SINGLE, list(cases)
    for kind in KINDS:
        yield kind, [case for case in cases if case["kind"] == kind]
    for what in ("rig", "keying", "half"):
        for value in sorted({str(case[what]) for case in cases}):
            yield f"{what}: {value}", [case for case in cases if case[what] == value]
    for low, high in pairwise(SIZES_M):
        of = [case for case in cases if low <= case["truths"][0]["size_m"] < high]
        yield f"from {low * 100.0:g} cm" if low else f"under {high * 100.0:g} cm", of
    for kind in KINDS:
        for half in ("A", "B"):
            of = [case for case in cases if case["kind"] == kind and case["half"] == half]
            yield f"{kind}, {half}", of


def _halves(cases: Sequence[Json]) -> Iterator[tuple[str, list[Json]]]:
    yield ALL, list(cases)
    for half in ("A", "B"):
        yield half, [case for case in cases if case["half"] == half]


def _shares(cases: Sequence[Json]) -> dict[str, Share]:
    """Of single faults; names that end with `of told` leave out what no finding tells."""
    pairs = [(case, answer) for case in cases for answer in case["answers"]]
    told = [(case, answer) for case, answer in pairs if answer["told"]]
    looked = [(case, answer) for case, answer in told if answer["shares"] is not None]
    asked = [case["asked"] for case in cases if case.get("asked")]
    repaired = [case for case, _answer in told if case["mended"] and "error" not in case["mended"]]

    offered = [case for case in repaired if case["mended"].get("offered", True)]

    def share(of: Sequence[Any], right: Callable[[Json], bool]) -> Share:
        return Share(sum(right(answer) for _case, answer in of), len(of))

    return {
        "told": share(pairs, lambda a: a["told"]),
        "first": share(pairs, _is_first),
        "first of told": share(told, _is_first),
        "in three of told": share(told, lambda a: a["rank"] is not None and a["rank"] <= 3),
        "key of told": share(told, lambda a: a["on_key"]),
        "key or beside it of told": share(told, lambda a: a["near_key"]),
        "asked: first": Share(sum(map(_is_first, asked)), len(asked)),
        "asked: in three": Share(sum((each["rank"] or 9) <= 3 for each in asked), len(asked)),
        "asked: first, right key": Share(
            sum(_is_first(each) and each["on_key"] for each in asked), len(asked)
        ),
        "shares add up": share(looked, lambda a: abs(a["shares"] - 1.0) < 0.015),
        "mended of told": Share(sum(map(_is_mended, repaired)), len(told)),
        "mended of suggested": Share(sum(map(_is_mended, repaired)), len(repaired)),
        "mended of offered": Share(sum(map(_is_mended, offered)), len(offered)),
        "elsewhere kept": Share(sum(map(_is_kept, repaired)), len(repaired)),
        "elsewhere kept of offered": Share(sum(map(_is_kept, offered)), len(offered)),
        "no new major": Share(
            sum(not case["mended"]["new_major"] for case in repaired), len(repaired)
        ),
        "no new major of offered": Share(
            sum(not case["mended"]["new_major"] for case in offered), len(offered)
        ),
    }


def _is_first(answer: Json) -> bool:
    return bool(answer["rank"] == 1)


def _is_mended(case: Json) -> bool:
    made = case["mended"]
    return bool(made["after_m"] <= (1.0 - DROP) * made["before_m"])


def _is_kept(case: Json) -> bool:
    return bool(case["mended"]["elsewhere_m"] < ELSEWHERE_M)


def _three(cases: Sequence[Json]) -> dict[str, Share]:
    answers = [answer for case in cases for answer in case["answers"]]
    return {
        "told": Share(sum(each["told"] for each in answers), len(answers)),
        "named": Share(sum(each["named"] for each in answers), len(answers)),
        "named of told": Share(
            sum(each["named"] for each in answers), sum(each["told"] for each in answers)
        ),
        "every one told": Share(
            sum(all(a["told"] for a in c["answers"]) for c in cases), len(cases)
        ),
        "every one named": Share(
            sum(all(a["named"] for a in c["answers"]) for c in cases), len(cases)
        ),
        "every one named, where told": Share(
            sum(all(a["named"] for a in c["answers"]) for c in _all_told(cases)),
            len(_all_told(cases)),
        ),
    }


def _all_told(cases: Sequence[Json]) -> list[Json]:
    return [case for case in cases if all(each["told"] for each in case["answers"])]


def _once(cases: Sequence[Json], planted: Sequence[Json], clean: Sequence[Json]) -> Json:
    counts = [case for case in planted if case.get("evaluated") is not None]
    ratios = [case["evaluated"] / case["frames"] for case in counts]
    long = [case["evaluated"] / case["frames"] for case in counts if case["frames"] >= LONG]
    seconds = sum(each["seconds"] for each in clean)
    alarms = sum(f["check"] == "off_arc" for each in clean for f in each["findings"])
    arcs = arc_recall(planted)
    asked = [case["asked"]["seconds"] for case in planted if case.get("asked")]
    found = {
        "cases": len(cases),
        "planted": len(planted),
        "clean_s": seconds,
        "clean_findings": sum(len(each["findings"]) for each in clean),
        "off_arc_alarms_per_10_s": 10.0 * alarms / seconds if seconds else 0.0,
        "off_arc_recall": arcs.value,
        "off_arc_recall_n": arcs.cases,
    }
    if asked:
        found |= {"asked_s_mean": sum(asked) / len(asked), "asked_s_most": max(asked)}
    if ratios:
        found |= {"frames_evaluated_mean": sum(ratios) / len(ratios)}
        found |= {"frames_evaluated_most": max(ratios)}
    if long:
        found |= {"frames_evaluated_most_long": max(long), "frames_evaluated_long_n": len(long)}
    return found


def arc_recall(planted: Sequence[Json]) -> Share:
    """Keys off the arc of ARC_M and more that the check `off_arc` tells."""
    right = total = 0
    for case in planted:
        for each in case["truths"] if case["kind"] == "off_arc" else ():
            truth = Truth(**each)
            if truth.size_m >= ARC_M:
                total += 1
                right += any(_is_arc(f) and tells(f, truth) for f in case["findings"])
    return Share(right, total)


def _is_arc(finding: Json) -> bool:
    return "off_arc" in (finding["check"], *(each["check"] for each in finding["also"]))
