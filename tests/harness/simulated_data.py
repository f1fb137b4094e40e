# SPDX-License-Identifier: GPL-3.0-or-later
"""Simulated falls, hops and throws for tests: made once by MuJoCo, in an environment of its own.

Tests find the file through the environment variable named by `VARIABLE`; they need no MuJoCo.
"""

import hashlib
import os
from pathlib import Path

from . import ROOT, pins, pythons
from .cache import cache_folder, publish
from .children import run_quietly
from .environments import environment
from .errors import HarnessError, say

VARIABLE = "PLUMBLINE_SIMULATED"
_SOURCE = ROOT / "tests" / "simulation"
_FILE = "motion.npz"
_HASH_LENGTH = 10
_SHOWN_LINES = 12


def simulated_file() -> Path:
    """The file with all simulated motion, made if the cache lacks it."""
    folder = cache_folder() / "simulated" / f"motion-{source_key(_SOURCE)}"

    def build(partial: Path) -> None:
        say(f"Simulating falls, hops and throws (a minute on 2 cores, 40 MB) into {folder}")
        _simulate(partial)

    return publish(folder, build) / _FILE


def simulated_variable() -> dict[str, str]:
    """The environment variable that tells a child where the simulated motion is.

    A file that the caller has named already is passed on as it is.
    """
    return {VARIABLE: os.environ.get(VARIABLE) or str(simulated_file())}


def source_key(source: Path) -> str:
    """A hash of all that decides what is simulated: the modules in a folder and the pins."""
    found = hashlib.sha256("\n".join(pins.SIMULATION).encode())
    for path in sorted(source.glob("*.py")):
        found.update(path.name.encode())
        found.update(path.read_text(encoding="utf-8").encode())
    return found.hexdigest()[:_HASH_LENGTH]


def _simulate(partial: Path) -> None:
    python = environment(
        "simulation", pins.SIMULATION, pythons.running(), size="26 MB to download, 0.1 GB on disk"
    )
    command = [str(python), "-m", "tests.simulation", str(partial / _FILE)]
    code, printed = run_quietly([*command, f"--jobs={os.cpu_count() or 1}"], folder=ROOT)
    if code:
        last = "\n".join(f"    {line}" for line in printed.splitlines()[-_SHOWN_LINES:])
        raise HarnessError(f"The simulation ended with {code}. Its last lines:\n{last}")
