# SPDX-License-Identifier: GPL-3.0-or-later
"""Count how findings are followed: `python -m tests.passes.bench [--half A] [--share .1]`."""

import argparse
import json
import sys
import zlib
from collections import Counter, defaultdict

import numpy as np

from analysis import Settings
from analysis.finding import Finding
from analysis.parts import limb_of
from analysis.passes import (
    Intended,
    Note,
    Said,
    kept_of,
    next_pass,
    note_mark,
    pass_from_json,
    pass_of,
    pass_to_json,
)
from analysis.pipeline import examine

from .kinds import Second, seconds_of
from .shots import Made, shots
from .told_before import SAME, was_part

# An id further off than so many frames is somebody else's.
ELSEWHERE = 6.0
# Seconds around a finding that its mark sees, and a little more.
SEEN_S = 0.35
# Poses between two frames take a part of a fault of one frame: there amounts do change.
FLATTENED = ("played in .9 of the time", "played in 1.1 of the time", "at 4 : 5 of the rate")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--half")
    parser.add_argument("--share", type=float, default=1.0)
    parser.add_argument("--list", action="store_true", help="tell each miss")
    parser.add_argument("--reports", action="store_true", help="the first pass by its report alone")
    options = parser.parse_args()
    counts: dict[str, Counter] = defaultdict(Counter)
    for made in shots(options.half, options.share):
        try:
            misses = count(made, counts, reports=options.reports)
        except Exception as error:
            print(made.name, type(error).__name__, error, file=sys.stderr)
            continue
        for each in misses if options.list else []:
            print(each)
    print(table(counts))


def count(
    made: Made,
    counts: dict[str, Counter],
    *,
    reports: bool = False,
    checks: tuple[str, ...] | None = None,
    kinds: tuple[str, ...] | None = None,
) -> list[str]:
    """Make all second passes of a shot and count by kind; returns what went wrong.

    reports   the first pass is known by its report alone; checks: those that are asked
    kinds     those that are made, all where None
    """
    rng = np.random.default_rng(zlib.crc32(made.name.encode()) + 1)
    settings = Settings(cycle="yes" if made.loop else "no", checks=checks)
    told: list[str] = []
    one = examine(made.with_faults(), settings)
    first = next_pass(one, None, Said())
    frames = [
        float(one.basis.frames[k])
        for k in (len(one.basis.frames) // 3, len(one.basis.frames) * 2 // 3)
    ]
    notes = tuple(
        Note(id=f"n{f}", frame=f, part="head", text="?", mark=note_mark(one.basis, "head", f))
        for f in frames
    )
    intended = tuple(Intended(finding=kept_of(f, one.shot), reason="so") for f in one.shot.findings)
    before = pass_from_json(json.loads(json.dumps(pass_to_json(first.record))))
    if reports:
        before = pass_of(one.shot)
    for second in seconds_of(made, rng):
        if kinds is not None and second.kind not in kinds:
            continue
        two = examine(second.edited.clip, settings)
        found = next_pass(two, before, Said(intended=intended, notes=notes))
        misses = score(made, one.shot.findings, second, found, counts[second.kind])
        for note in notes:
            where = second.edited.where(note.frame)
            if where is not None and two.shot.frames[0] <= where <= two.shot.frames[1]:
                counts[second.kind]["notes"] += 1
                counts[second.kind]["notes_right"] += (
                    abs(found.note_frames[note.id] - where) <= SAME
                )
                if abs(found.note_frames[note.id] - where) > SAME:
                    misses.append(f"note {note.frame} at {found.note_frames[note.id]}, not {where}")
        if second.kind == "one mended":
            _again(two, one, made, found, intended, settings, counts["mended, then back"])
        told += [f"{made.name} | {second.kind} | {each}" for each in misses]
    return told


def _again(two, one, made, found, intended, settings, count) -> None:
    """The first pass once more after the mended one: what was fixed is back."""
    third = next_pass(one, found.record, Said(intended=intended))
    fixed = {each.id for each in found.fixed}
    for was, now in zip(one.shot.findings, third.shot.findings, strict=True):
        count["ought"] += 1
        count["kept"] += was.id == now.id
        count["states"] += 1
        right = "back" if was.id in fixed else "unchanged"
        count["states_right"] += third.states[now.id] == right
        count["quiet"] += 1
        count["quiet_right"] += now.intended is not None


def score(
    made: Made, olds: tuple[Finding, ...], second: Second, found, count: Counter
) -> list[str]:
    news = found.shot.findings
    partner = pairs_of(olds, news, second)
    misses = []
    by_id = {each.id: each for each in olds}
    count["findings"] += len(news)
    for n, new in enumerate(news):
        old = partner.get(n)
        if old is not None:
            count["ought"] += 1
            count["kept"] += new.id == old.id
            if new.id != old.id:
                misses.append(f"lost {old.id} at {new.peak_frame}: {new.id}")
            count["states"] += 1
            count["states_right"] += found.states[new.id] == "unchanged"
            _score_quiet(made, old, new, second, count, misses)
            continue
        was = by_id.get(new.id)
        if was is not None and not _near(was, new, second, ELSEWHERE):
            count["wrong"] += 1
            misses.append(f"wrong {new.id} at {new.frames} {new.peak_frame}, was {was.frames}")
        if not any(_alike(o, new) and _near(o, new, second, 12.0) for o in olds):
            count["states"] += 1
            expected = "unchanged" if was_part(olds, news, new, second.edited) else "new"
            count["states_right"] += found.states[new.id] == expected
            if found.states[new.id] != expected:
                misses.append(f"not {expected}: {new.id} at {new.peak_frame}")
    return misses


def _score_quiet(made, old, new, second, count, misses) -> None:
    """Whether what is kept on purpose is quiet where nothing was done to it, and wakes else."""
    expected = _expected(made, old, second)
    if expected is None:
        return
    name = "quiet" if expected else "wakes"
    right = (new.intended is not None) == expected
    count[name] += 1
    count[f"{name}_right"] += right
    if not right:
        misses.append(f"{name} not: {old.id} {old.amount:.2f} now {new.amount:.2f}")


def _expected(made: Made, old: Finding, second: Second) -> bool | None:
    """True where it ought to be quiet, False where it ought to wake, None where nobody can tell."""
    if second.kind in FLATTENED:
        return None
    near = SEEN_S * made.clip.dt_s**-1
    for frame, part in second.changed.items():
        beside = old.frames[0] - near <= frame <= old.frames[1] + near
        if second.louder is not None and abs(frame - old.peak_frame) <= 1.0 and old.part == part:
            return False if old.check == "pop" else None
        if beside or old.part is None:
            return None
        if part is not None and (old.part in limb_of(part) or old.part == part):
            return None
    return True


def pairs_of(olds, news, second) -> dict[int, Finding]:
    """By the number of a new finding the old one that it is, as the edit says."""
    pairs = []
    for n, new in enumerate(news):
        for m, old in enumerate(olds):
            where = second.edited.where(old.peak_frame)
            if where is not None and (old.check, old.part) == (new.check, new.part):
                off = abs(where - new.peak_frame)
                if off <= SAME:
                    pairs.append((off, n, m))
    found: dict[int, Finding] = {}
    used: set[int] = set()
    for _off, n, m in sorted(pairs):
        if n not in found and m not in used:
            found[n] = olds[m]
            used.add(m)
    return found


def _alike(old: Finding, new: Finding) -> bool:
    parts = {old.part, new.part}
    return old.check == new.check and (len(parts) == 1 or parts <= set(limb_of(old.part or "")))


def _near(old: Finding, new: Finding, second: Second, frames: float) -> bool:
    places = [second.edited.where(f) for f in (*old.frames, old.peak_frame)]
    known = [place for place in places if place is not None]
    if not known:
        return False
    return min(known) - frames <= new.frames[1] and new.frames[0] - frames <= max(known)


def table(counts: dict[str, Counter]) -> str:
    lines = [
        "| second pass | ids kept | ids of others, of all findings | states right | stays quiet "
        "| wakes | notes go along |",
        "|---|---|---|---|---|---|---|",
    ]
    total: Counter = Counter()
    for kind, count in counts.items():
        total.update(count)
        lines.append(_row(kind, count))
    return "\n".join([*lines, _row("all", total)])


def _row(kind: str, c: Counter) -> str:
    def of(right: str, all_: str) -> str:
        return f"{c[right]} of {c[all_]}" if c[all_] else ""

    cells = (
        of("kept", "ought"),
        f"{c['wrong']} of {c['findings']}",
        of("states_right", "states"),
        of("quiet_right", "quiet"),
        of("wakes_right", "wakes"),
        of("notes_right", "notes"),
    )
    return f"| {kind} | {' | '.join(cells)} |"


if __name__ == "__main__":
    main()
