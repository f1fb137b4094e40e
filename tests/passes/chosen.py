# SPDX-License-Identifier: GPL-3.0-or-later
"""Second passes under other choices: what these alone hide or tell is neither fixed nor new.

`python -m tests.passes.chosen [--half A] [--share .1]`
"""

import argparse
from collections import Counter, defaultdict
from dataclasses import replace

from analysis import Settings
from analysis.meta import Event
from analysis.parts import limb_of
from analysis.passes import Said, next_pass
from analysis.pipeline import examine

from .bench import table
from .edits import cut
from .shots import Made, shots

# Frames around a fault in which what goes with it is found.
BESIDE = 8.0


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--half")
    parser.add_argument("--share", type=float, default=1.0)
    options = parser.parse_args()
    counts: dict[str, Counter] = defaultdict(Counter)
    for made in shots(options.half, options.share):
        for each in count_choices(made, counts):
            print(made.name, each)
    print(table(counts))


def count_choices(made: Made, counts: dict[str, Counter]) -> list[str]:
    """Count, for a shot's first pass: other choices, these with a fault mended, and turned back."""
    settings = Settings(cycle="yes" if made.loop else "no")
    first = next_pass(examine(made.with_faults(), settings), None, Said())
    told: list[str] = []
    for name, other in (
        ("stricter", replace(settings, tolerance="strict")),
        ("looser", replace(settings, tolerance="loose")),
        ("no pops asked", replace(settings, off={"pop": "switched off"})),
        ("spline", replace(settings, stage="spline")),
    ):
        clip = made.with_faults()
        two = next_pass(examine(clip, other), first.record, Said())
        told += _nothing(f"{name}, same motion", two, counts)
        one = next_pass(examine(clip, settings), two.record, Said())
        told += _nothing(f"{name}, turned back", one, counts)
        if name != "no pops asked":
            told += _mended(made, other, first, counts[f"{name}, one mended"])
    count = len(made.clip.frames)
    for name, beside in (("first half", (0, count // 2)), ("last third", (count * 2 // 3, 0))):
        part = cut(made.with_faults(), *beside).clip
        two = next_pass(examine(part, settings), first.record, Said())
        told += _nothing(f"the {name} alone, same motion", two, counts)
        one = next_pass(examine(made.with_faults(), settings), two.record, Said())
        told += _nothing(f"the {name} alone, turned back", one, counts)
    event = Event(frames=(made.clip.frames[0], made.clip.frames[-1]), part=None)
    clip = made.with_faults()
    declared = replace(clip, meta=replace(clip.meta, events=(event,)))
    two = next_pass(examine(declared, settings), first.record, Said())
    return told + _nothing("event declared, same motion", two, counts)


def _nothing(kind: str, outcome, counts: dict[str, Counter]) -> list[str]:
    """What is told or gone by choices, and how much of it is told as that."""
    count, states = counts[kind], list(outcome.states.values())
    wrong = len(outcome.fixed) + states.count("new") + states.count("back")
    count["states"] += len(states) + len(outcome.fixed) + len(outcome.not_told)
    count["states_right"] += len(states) + len(outcome.not_told) + len(outcome.fixed) - wrong
    count["findings"] += len(states)
    return [f"{made_wrong} by choice: {kind}" for made_wrong in [wrong] if wrong]


def _mended(made: Made, other: Settings, first, count: Counter) -> list[str]:
    """One fault taken out under other choices: what was told of it is fixed where it would still
    be told."""
    which = len(made.faults) // 2
    fault = made.faults[which]
    place = float(made.clip.frames[0]) + fault.at
    still = {
        each.id
        for each in next_pass(
            examine(made.with_faults(), other), first.record, Said()
        ).shot.findings
    }
    two = next_pass(examine(made.with_faults({which: 0.0}), other), first.record, Said())
    told = []
    there, fixed = {each.id for each in two.shot.findings}, {each.id for each in two.fixed}
    for each in first.record.findings:
        limb = limb_of(fault.part) or (fault.part,)
        if each.part in limb and abs(each.frame - place) <= BESIDE and each.id in still - there:
            count["states"] += 1
            count["states_right"] += each.id in fixed
            if each.id not in fixed:
                told.append(f"not fixed: {each.id}, of {fault.part} at {place:g}")
    return told


if __name__ == "__main__":
    main()
