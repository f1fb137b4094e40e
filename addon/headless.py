# SPDX-License-Identifier: GPL-3.0-or-later
"""The command for `blender --python` and for the bpy wheel, with or without installation.

    blender --background --python addon/headless.py -- check shot.blend --json out.json
    python addon/headless.py check shot.blend --json out.json

Nothing relative is imported at the top: this file runs as a script. It uses the enabled
extension where there is one, enables an installed one, and else runs the code beside it.
"""

import importlib
import os
import sys
import traceback
import types
from pathlib import Path

import bpy

ID = "plumbline"
ROOT = Path(__file__).resolve().parent.parent


def find_package() -> str:
    """Name of the package that holds `addon` and `analysis` as siblings."""
    import addon_utils  # the wheel finds it only once bpy is imported

    enabled = [name for name in bpy.context.preferences.addons.keys() if _is_ours(name)]  # noqa: SIM118
    if enabled:
        return enabled[0]
    for module in addon_utils.modules(refresh=True):
        if _is_ours(module.__name__) and addon_utils.enable(module.__name__) is not None:
            return module.__name__
    return _from_checkout()


def _is_ours(name: str) -> bool:
    return name.startswith("bl_ext.") and name.rpartition(".")[2] == ID


def _from_checkout() -> str:
    """Make the folder above a package of its own, under a name nothing else has."""
    package = types.ModuleType("plumbline_checkout")
    package.__path__ = [str(ROOT)]
    sys.modules[package.__name__] = package
    return package.__name__


def _arguments() -> list[str]:
    """What follows `--`; run by plain Python, everything after the script."""
    if "--" in sys.argv:
        return sys.argv[sys.argv.index("--") + 1 :]
    return [] if bpy.app.binary_path else sys.argv[1:]


def main() -> int:
    """Run the command; an error that nobody expected is told with its traceback, code 1."""
    try:
        command = importlib.import_module(f"{find_package()}.addon.command")
        return int(command.main(_arguments()))
    except Exception:
        traceback.print_exc()
        return 1


if __name__ == "__main__":
    code = main()
    sys.stdout.flush()
    sys.stderr.flush()
    # The bpy wheels of 4.2 and 4.5 crash or hang in the interpreter's own exit.
    os._exit(code)
