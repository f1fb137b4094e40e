# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs one script of this folder in a Blender with a window, and keeps the picture that it makes.

    python3 tests/window/run.py trixie trails.py jump.blend out.png [the script's options]

trixie or sid is the Debian release whose Blender is used; it is made in the cache where it lacks
(tests/harness/windows.py). `build_scenes.py` makes jump.blend and others. Exit code: Blender's.
"""

import argparse
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.harness.blenders import home_blender
from tests.harness.children import child_environment
from tests.harness.errors import run_main
from tests.harness.extension_zip import build_zip
from tests.harness.window_tests import WindowOptions, script_command
from tests.harness.windows import system_of


def main() -> int:
    """Do what the command line asks for."""
    options, script_options = _parser().parse_known_args()
    (wanted,) = WindowOptions(release=options.release).wanted
    system = system_of(wanted)
    with tempfile.TemporaryDirectory(prefix="plumbline-window-") as temporary:
        work = Path(temporary)
        build_zip(work, home_blender()).rename(work / "plumbline.zip")
        shutil.copyfile(options.blend, work / "shot.blend")
        command = script_command(system, work, options.script, script_options)
        code = subprocess.run(command, env=child_environment(), check=False).returncode
        if (work / "out.png").is_file():
            shutil.copyfile(work / "out.png", options.picture)
    return code


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0], allow_abbrev=False)
    parser.add_argument("release", help="the Debian release that carries the Blender")
    parser.add_argument("script", help="a script of this folder")
    parser.add_argument("blend", type=Path, help="the file to open")
    parser.add_argument("picture", type=Path, help="where the picture goes")
    return parser


if __name__ == "__main__":
    run_main(main)
