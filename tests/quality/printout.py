# SPDX-License-Identifier: GPL-3.0-or-later
"""The bench's printout: a table a check and half with a column a set, then the false alarms."""

from collections.abc import Sequence

from .plant import KINDS
from .report import ALL, EVERY_SET, Rate, Recall, is_cycles
from .work import CellResult, CleanResult

# No line is wider than this.
WIDTH = 100


def recall_text(rows: Sequence[Recall]) -> str:
    """One table a check, kind and half; `*` marks what is promised, `<` what falls short."""
    lines: list[str] = []
    for check in dict.fromkeys(row.check for row in rows):
        ours = [row for row in rows if row.check == check]
        lines += ["", check.upper()]
        if not ours[0].registered:
            lines.append("  not there yet: nothing planted for it")
            continue
        for kind, half in dict.fromkeys((row.kind, row.half) for row in ours):
            lines += _table([r for r in ours if (r.kind, r.half) == (kind, half)])
    return "\n".join(lines)


def _column(which: str) -> str:
    """A set's name; of a family of a set the family's, with the rate that the set has."""
    name, _, family = which.partition("/")
    rate = name.rpartition("_")[2]
    return name if not family else f"{family}_{rate}" if rate.isdecimal() else family


def _table(rows: Sequence[Recall]) -> list[str]:
    kind, sets = KINDS[rows[0].kind], list(dict.fromkeys(row.set for row in rows))
    head = f"  {'part':6}{'size':>9} {'n':>6}" + "".join(f" {_column(which):>12}" for which in sets)
    lines = [
        "",
        f"  {kind.name}, half {rows[0].half}: {kind.says}",
        f"{head}  {'part':>4} {'off':>4}",
    ]
    for part, size in dict.fromkeys((row.part, row.size) for row in rows):
        ours = {row.set: row for row in rows if (row.part, row.size) == (part, size)}
        counts = sorted({row.cases for row in ours.values()})
        count = f"{counts[0]}" if len(counts) == 1 else f"{counts[0]}-{counts[-1]}"
        text = f"  {part:6}{f'{size:g} {kind.unit}':>9} {count:>6}"
        text += "".join(f" {_entry(ours.get(which)):>12}" for which in sets)
        lines.append(f"{text}  {_pooled(list(ours.values()))}")
    lines += _directions(rows)
    known, already = sum(row.comparable for row in rows), sum(row.already for row in rows)
    if already:
        lines.append(
            f"  {_share(already / known)} of the places have a finding near them without the fault"
        )
    return lines


def _directions(rows: Sequence[Recall]) -> list[str]:
    """How far the said directions are off the planted ones: a line a size."""
    lines = []
    for size in dict.fromkeys(row.size for row in rows):
        ours = [row for row in rows if row.size == size and row.median_aside_deg is not None]
        if ours:
            told = ", ".join(f"{_column(row.set)} {row.median_aside_deg:.1f}" for row in ours)
            lines.append(
                f"  directions at {size:g} {rows[0].unit}, median degrees off from above: {told}"
            )
    return lines


def _entry(row: Recall | None) -> str:
    """`.97 .93-.99`: the share that is found and its 95 % interval."""
    if row is None or row.cases == 0:
        return "no place "
    low, high = row.interval
    mark = "<" if row.falls_short else "*" if row.promised else " "
    return f"{_share(row.found / row.cases)} {_share(low)}-{_share(high)}{mark}"


def _pooled(rows: Sequence[Recall]) -> str:
    """The share of those found with the right part; frames off: median of the sets, and worst."""
    found = sum(row.found for row in rows)
    if not found:
        return f"{'-':>4} {'-':>4}"
    right = _share(sum(row.right_part for row in rows) / found)
    medians = [row.median_error for row in rows if row.median_error is not None]
    highest = [row.high_error for row in rows if row.high_error is not None]
    return f"{right:>4} {f'{max(medians):.0f}/{max(highest):.0f}':>4}"


def _share(value: float) -> str:
    """`.97`, and `1.0` only where nothing was rounded up to it."""
    if value >= 1.0:
        return "1.0"
    return f"{min(value, 0.994):.2f}"[1:]


def rate_text(rows: Sequence[Rate]) -> str:
    """Findings on clean motion: of all checks together by set, then of each check."""
    lines = ["", "CLEAN MOTION: findings per 10 s, with their 95 % upper bound (Poisson, exact)"]
    lines += ["", "  all checks together (< more than 2 per 10 s, or more than .3 major)", _HEAD]
    lines += [_rate_line(row) for row in rows if row.check == ALL]
    for check in dict.fromkeys(row.check for row in rows if row.check != ALL):
        ours = [row for row in rows if row.check == check]
        lines += ["", f"  {check}", _HEAD]
        shown = [row for row in ours if row.events or row.set == EVERY_SET or is_cycles(row.set)]
        lines += map(_rate_line, shown)
    return "\n".join(lines)


_HEAD = (
    f"  {'set':16}{'half':5}{'clips':>5}{'seconds':>9}{'found':>8}{'per 10 s':>10}"
    f"{'at most':>9}{'major':>7}{'clips with':>12}"
)


def _rate_line(row: Rate) -> str:
    return (
        f"  {row.set:16}{row.half:5}{row.clips:5}{row.seconds:9.1f}{row.events:8}"
        f"{row.per_10_s:10.2f}{row.upper:9.2f}{row.majors:7}{row.clips_with:12}"
        f"{' <' if row.falls_short else ''}"
    )


def listing(
    cells: Sequence[CellResult], clean: Sequence[CleanResult], checks: Sequence[str] | None
) -> str:
    """Every fault that was missed and every finding on clean motion, a line each."""
    lines = ["", "MISSED"]
    for result in cells:
        cell = result.cell
        begin = f"  {cell.kind} {cell.part} {cell.size:g}"
        lines += [f"{begin} {each.told}" for each in result.outcomes if not each.found]
    lines += ["", "FOUND ON CLEAN MOTION"]
    for result in clean:
        for alarm in result.alarms:
            if checks is None or alarm.check in checks:
                lines.append(f"  {alarm.case} [{alarm.check}, {alarm.severity}] {alarm.told}")
    return "\n".join(lines)
