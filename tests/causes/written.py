# SPDX-License-Identifier: GPL-3.0-or-later
"""Tables of the bench of causes, for the terminal and for reading. Standard library only."""

from collections.abc import Sequence
from typing import Any

from .report import Figures

Json = dict[str, Any]


def to_text(figures: Figures) -> str:
    """Every share by line: right of cases, with its exact interval."""
    lines = []
    for row in figures.rows:
        lines.append(row.of)
        lines += [f"  {name:26} {share}" for name, share in row.shares.items() if share.cases]
    lines += [f"{name:28} {value:.3g}" for name, value in figures.once.items()]
    return "\n".join(lines)


def to_markdown(figures: Figures) -> str:
    """A table of single faults, one of three at once, and what is counted once."""
    single = [row for row in figures.rows if not row.of.startswith("three")]
    three = [row for row in figures.rows if row.of.startswith("three")]
    tables = [_table(rows) for rows in (single, three) if rows]
    once = ["| counted once | |", "|---|---|"]
    once += [f"| {name.replace('_', ' ')} | {value:.3g} |" for name, value in figures.once.items()]
    return "\n\n".join([*tables, "\n".join(once)]) + "\n"


def _table(rows: Sequence[Any]) -> str:
    names = list(rows[0].shares)
    lines = ["| of | " + " | ".join(names) + " |", "|---" * (len(names) + 1) + "|"]
    for row in rows:
        lines.append("| " + " | ".join([row.of, *(str(row.shares[n]) for n in names)]) + " |")
    return "\n".join(lines)


def listing(cases: Sequence[Json]) -> str:
    """One line for each fault that is not told, or for which another key is blamed first."""
    lines = []
    for case in cases:
        where = f"{case['base']}, {case['kind']} {case['number']}"
        if not case["planted"]:
            lines.append(f"{where}: no place gives its size")
            continue
        for truth, answer in zip(case["truths"], case["answers"], strict=True):
            if answer["rank"] != 1:
                lines.append(f"{where}: {_fault(truth)}: {_what(case, answer)}")
        if case.get("asked") and case["asked"]["rank"] != 1:
            lines.append(f"{where}: {_fault(case['truths'][0])}: {_asked(case['asked'])}")
    return "\n".join(lines)


def _fault(truth: Json) -> str:
    size = f"{100.0 * truth['size_m']:.1f} cm at {truth['part']}"
    return f"{truth['control']} {truth['channel']} key {truth['frame']:g}, {size}"


def _what(case: Json, answer: Json) -> str:
    if not answer["told"]:
        return "not told"
    finding = next(each for each in case["findings"] if each["id"] == answer["finding"])
    return f"{finding['id']} blames {_blamed(finding['causes'])}"


def _asked(asked: Json) -> str:
    return f"asked: {asked['joint']}, {asked['frame']:g} blames {_blamed(asked['causes'])}"


def _blamed(causes: Sequence[Json]) -> str:
    told = [
        f"{each['control']} {each['channel']} {each['frame']} ({each['share']})"
        for each in causes[:3]
    ]
    return "; ".join(told) or "nobody"
