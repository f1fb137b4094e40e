# SPDX-License-Identifier: GPL-3.0-or-later
"""Plants one case by hand and saves it, inside Blender's Python.

    python -m tests.causes.one --kind late --seed 3 --save /tmp/x.blend --clip /tmp/x.npz

With --clip, x.clean.npz and x.truth.json are written beside it.
"""

import argparse
import json
import os
import sys
import tempfile
from pathlib import Path

from tests.causes import inside

inside.set_up()

import bpy  # noqa: E402

from analysis.clip_io import save_clip  # noqa: E402
from analysis.pipeline import examine  # noqa: E402
from tests.causes.bases import BASES  # noqa: E402
from tests.causes.case import Faulted, planted  # noqa: E402
from tests.causes.kinds import KINDS  # noqa: E402
from tests.causes.plan import TRIPLE  # noqa: E402
from tests.causes.run_case import with_causes  # noqa: E402
from tests.causes.takes import takes  # noqa: E402


def main() -> int:
    """Plant what is asked for, and tell what a check says of it."""
    options = _parser().parse_args()
    bases = [base for base in BASES if options.base in base.name]
    base = bases[options.seed % len(bases)]
    folder = options.bases or Path(tempfile.gettempdir()) / "plumbline-cause-bases"
    (take,) = takes([base], folder)
    with planted(take, options.kind, options.seed // len(bases)) as faulted:
        if faulted is None:
            print(f"{base.name} has no place for {options.kind}: try another seed.")
            return 1
        _tell(faulted)
        if options.save:
            bpy.ops.wm.save_as_mainfile(filepath=str(options.save.absolute()), copy=True)
        if options.clip:
            save_clip(options.clip, faulted.clip)
            save_clip(options.clip.with_suffix(".clean.npz"), faulted.clean)
            truths = [truth.to_json() for truth in faulted.truths]
            options.clip.with_suffix(".truth.json").write_text(json.dumps(truths, indent=1))
    return 0


def _tell(faulted: Faulted) -> None:
    print(faulted.take.base.name)
    for truth in faulted.truths:
        print(json.dumps(truth.to_json()))
    shot, cost = with_causes(faulted, examine(faulted.clip))
    for finding in shot.findings:
        print(f"{finding.severity}: {finding.id}: {finding.says}")
        for cause in finding.causes:
            print(f"    {cause.share:.2f} {cause.title}: {cause.why} {cause.mend}")
    print(json.dumps(cost))


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.causes.one", description=__doc__)
    parser.add_argument("--kind", choices=[*KINDS, TRIPLE], default="late")
    parser.add_argument("--seed", type=int, default=0, help="chooses the shot, then the case")
    parser.add_argument("--base", default="", help="shots with this in their name alone")
    parser.add_argument("--save", type=Path, metavar="FILE", help="the faulted scene")
    parser.add_argument("--clip", type=Path, metavar="FILE", help="the faulted clip")
    parser.add_argument("--bases", type=Path, metavar="DIR", help="keep the clean shots here")
    return parser


if __name__ == "__main__":
    code = main()
    sys.stdout.flush()
    os._exit(code)  # Blender's Python module may hang or crash at a plain exit
