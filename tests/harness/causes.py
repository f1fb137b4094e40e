# SPDX-License-Identifier: GPL-3.0-or-later
"""The bench of causes as the runner starts it; it starts its own Blenders."""

import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from . import ROOT
from .children import child_environment


@dataclass(frozen=True, kw_only=True)
class CauseOptions:
    """What is asked of the bench: a share of its cases, a half, some kinds, files to write."""

    share: float = 1.0
    half: str | None = None
    kinds: str | None = None
    jobs: int = 2
    json: Path | None = None
    markdown: Path | None = None

    @property
    def arguments(self) -> list[str]:
        """The bench's own arguments."""
        found = ["--gate", f"--share={self.share:g}", f"--jobs={self.jobs}"]
        found += [f"--{n}={v}" for n in ("half", "kinds") if (v := getattr(self, n))]
        for name in ("json", "markdown"):
            path = getattr(self, name)
            if path is not None:
                found.append(f"--{name}={path.absolute()}")
        return found


def run_causes(options: CauseOptions) -> int:
    """Run the bench; its exit code is 1 on a gross regression."""
    command = [sys.executable, "-m", "tests.causes.bench", *options.arguments]
    sys.stdout.flush()
    return subprocess.run(command, cwd=ROOT, env=child_environment(), check=False).returncode
