# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs inside Blender: the cases that a file lists, one line of JSON for each into another file.

`worker.py TASKS RESULTS FOLDER`; the clean shots are built into the folder, or found there.
"""

import json
import os
import sys
import traceback
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.causes import inside  # noqa: E402

inside.set_up()

from analysis.pipeline import examine  # noqa: E402
from tests.causes.bases import BASES  # noqa: E402
from tests.causes.plan import Task  # noqa: E402
from tests.causes.run_case import findings_json, run_case  # noqa: E402
from tests.causes.takes import takes  # noqa: E402
from tests.harness.blenders import script_arguments  # noqa: E402


def main() -> int:
    """Run the cases, base by base."""
    wanted, results, folder = script_arguments(sys.argv, __file__)
    named = {base.name: base for base in BASES}
    cases = [
        Task(named[name], kind, number)
        for name, kind, number in json.loads(Path(wanted).read_text("utf-8"))
    ]
    bases = list(dict.fromkeys(case.base for case in cases))
    with Path(results).open("w", encoding="utf-8") as out:
        for take in takes(bases, Path(folder)):
            clean = findings_json(examine(take.clip))
            seconds = (take.last - take.first) / take.clip.fps
            line = {"clean_base": take.base.name, "half": take.base.half, "rig": take.base.rig}
            line |= {"keying": take.base.keying, "seconds": seconds, "findings": clean}
            print(json.dumps(line), file=out, flush=True)
            for case in cases:
                if case.base == take.base:
                    print(json.dumps(run_case(take, case, clean)), file=out, flush=True)
    return 0


if __name__ == "__main__":
    try:
        code = main()
    except Exception:
        traceback.print_exc()
        code = 1
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)  # Blender's Python module may hang or crash at a plain exit
