# SPDX-License-Identifier: GPL-3.0-or-later
"""The bench's figures as JSON for machines and as Markdown for DEVELOPERS.md."""

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import Any

from .plant import KINDS
from .report import ALL, Rate, Recall

SCHEMA = "plumbline-quality/1"


def to_json(recalls: Sequence[Recall], rates: Sequence[Rate], share: float) -> dict[str, Any]:
    """Every row; shares and rates with their 95 % bounds."""
    return {
        "schema": SCHEMA,
        "share": share,
        "recall": [
            {**asdict(row), "interval": [round(bound, 4) for bound in row.interval]}
            for row in recalls
        ],
        "clean": [
            {**asdict(row), "per_10_s": round(row.per_10_s, 4), "at_most": round(row.upper, 4)}
            for row in rates
        ],
    }


def to_markdown(recalls: Sequence[Recall], rates: Sequence[Rate]) -> str:
    """Tables: recall of the smallest promised sizes, and findings on clean motion."""
    return "\n".join([*_recall_tables(recalls), *_rate_table(rates), ""])


def _recall_tables(rows: Sequence[Recall]) -> Iterable[str]:
    """A table for all kinds of faults that are planted into the same sets."""
    headline = [row for row in rows if row.headline and row.registered and row.cases]
    groups: dict[tuple[str, ...], list[Recall]] = {}
    for kind in dict.fromkeys(row.kind for row in headline):
        ours = [row for row in headline if row.kind == kind]
        sets = {row.set for row in ours}
        in_order = tuple(each for each in dict.fromkeys(r.set for r in headline) if each in sets)
        groups.setdefault(in_order, []).extend(ours)
    for sets, ours in groups.items():
        yield from _recall_table(ours, sets)
        yield ""


def _recall_table(rows: Sequence[Recall], sets: Sequence[str]) -> Iterable[str]:
    """A row a kind, part and size; a column a set, with both halves in it."""
    yield f"| fault | part | from | {' | '.join(sets)} |"
    yield "|---" * (3 + len(sets)) + "|"
    for kind, part, size in dict.fromkeys((r.kind, r.part, r.size) for r in rows):
        ours = [r for r in rows if (r.kind, r.part, r.size) == (kind, part, size)]
        entries = [_entry([row for row in ours if row.set == which]) for which in sets]
        yield f"| {kind} | {part} | {size:g} {KINDS[kind].unit} | {' | '.join(entries)} |"


def _entry(rows: Sequence[Recall]) -> str:
    """`A 0.97, B 0.95`, and of how many cases where there are fewer than planned."""
    texts = []
    for row in rows:
        few = f" of {row.cases}" if row.cases < row.planned else ""
        texts.append(f"{row.half} {row.found / row.cases:.2f}{few}")
    return ", ".join(texts)


def _rate_table(rows: Sequence[Rate]) -> Iterable[str]:
    checks = [c for c in dict.fromkeys(r.check for r in rows) if c != ALL]
    checks = [check for check in checks if any(r.events for r in rows if r.check == check)]
    head = ["clean set", "half", "seconds", "all per 10 s", "at most", "major", *checks]
    yield f"| {' | '.join(head)} |"
    yield "|---" * len(head) + "|"
    for which, half in dict.fromkeys((row.set, row.half) for row in rows):
        ours = {row.check: row for row in rows if (row.set, row.half) == (which, half)}
        total = ours[ALL]
        row = [which, half, f"{total.seconds:.0f}", f"{total.per_10_s:.2f}", f"{total.upper:.2f}"]
        row += [str(total.majors), *(str(ours[check].events) for check in checks)]
        yield f"| {' | '.join(row)} |"
