# SPDX-License-Identifier: GPL-3.0-or-later
"""The clean sets of the quality corpus, each reported on its own.

`python -m tests.quality.sets --out DIR [--set NAME ...]` writes their clips as files.
"""

import argparse
import sys
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from types import MappingProxyType

from analysis import save_clip

from . import (
    armed,
    arrivals,
    attack,
    captured,
    cycles,
    gaits,
    graphic,
    holds,
    hops,
    hops_keyed,
    keyed,
    simulated,
    spines,
    swings,
    two_handed,
    twos,
    walks,
)
from .case import Case
from .kept import kept

_BUILDERS: MappingProxyType[str, Callable[[], list[Case]]] = MappingProxyType(
    {
        "captured": captured.captured,
        "captured_24": captured.captured_24,
        "captured_30": captured.captured_30,
        "keyed_24": keyed.keyed_24,
        "keyed_30": keyed.keyed_30,
        "holds": holds.holds,
        "twos": twos.twos,
        "attack": attack.attack,
        "travelling": gaits.travelling,
        "two_handed": two_handed.two_handed,
        "armed_24": armed.armed_24,
        "armed_30": armed.armed_30,
        "swings": swings.swings,
        "strike_seam": gaits.strike_seam,
        "graphic": graphic.graphic,
        "arrivals": arrivals.arrivals,
        "spines_24": spines.spines_24,
        "spines_30": spines.spines_30,
        "cycles": cycles.cycles,
        "walks_24": walks.walks_24,
        "walks_30": walks.walks_30,
        "hops_24": hops.hops_24,
        "hops_30": hops.hops_30,
        "keyed_hops_24": hops_keyed.keyed_hops_24,
        "keyed_hops_30": hops_keyed.keyed_hops_30,
        "simulated_24": simulated.simulated_24,
        "simulated_30": simulated.simulated_30,
    }
)
SETS = tuple(_BUILDERS)


def clean_cases(names: Sequence[str] | None = None) -> list[Case]:
    """The cases of the named sets, or of all; always the same, in the same order.

    Raises ValueError for a set that there is not.
    """
    unknown = sorted(set(names or ()) - set(SETS))
    if unknown:
        raise ValueError(
            f"there is no set {', '.join(unknown)}; expected some of {', '.join(SETS)}: "
            "choose from these."
        )
    asked = SETS if names is None else [name for name in SETS if name in names]
    return [case for name in asked for case in _built(name)]


@cache
def _built(name: str) -> tuple[Case, ...]:
    return kept(name, _BUILDERS[name])


def main(arguments: Sequence[str] | None = None) -> int:
    """Write clips and print how long each set is."""
    parser = argparse.ArgumentParser(prog="python -m tests.quality.sets", description=__doc__)
    parser.add_argument("--out", type=Path, help="folder for the clips (made where missing)")
    parser.add_argument("--set", dest="sets", nargs="+", choices=SETS, help="these sets alone")
    options = parser.parse_args(arguments)
    for name in options.sets or SETS:
        cases = clean_cases([name])
        for half in ("A", "B"):
            ours = [case for case in cases if case.half == half]
            seconds = sum(case.seconds for case in ours)
            print(f"{name:14}{half}  {len(ours):4} clips  {seconds:7.1f} s")
        if options.out:
            for case in cases:
                path = options.out / f"{case.name}.npz"
                path.parent.mkdir(parents=True, exist_ok=True)
                save_clip(path, case.clip)
    return 0


if __name__ == "__main__":
    sys.exit(main())
