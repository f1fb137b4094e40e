# SPDX-License-Identifier: GPL-3.0-or-later
"""The command for `blender --python` and for the bpy wheel, with or without installation.

    blender --background --python addon/headless.py -- check shot.blend --json out.json
    python addon/headless.py check shot.blend --json out.json

Nothing relative is imported at the top: this file runs as a script. It uses the enabled
extension where there is one, enables an installed one, and else runs the code beside it.
"""

import importlib
import importlib.util
import os
import sys
import traceback
import types
from pathlib import Path


def _fill_closed_streams() -> None:
    """Else a file that Blender opens gets the number of a closed stream, and prints go into it."""
    number = 0
    while number <= 2:
        number = os.open(os.devnull, os.O_RDWR)
    os.close(number)


def tell(text: str) -> None:
    """One line on standard error, where that is open."""
    if sys.stderr is not None:
        print(text, file=sys.stderr)


if "bpy" not in sys.modules and importlib.util.find_spec("bpy") is None:
    tell(
        f"addon/headless.py needs Blender, and {sys.executable} has no bpy: run it as `blender "
        "--background --python addon/headless.py -- check shot.blend`, or with a Python that has."
    )
    sys.exit(2)
_fill_closed_streams()

import bpy  # noqa: E402

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
    except KeyboardInterrupt:  # before or after the command, which tells its own
        tell("plumbline: interrupted")
        return 130
    except Exception:
        traceback.print_exc()
        return 1


if __name__ == "__main__":
    code = main()
    for stream in (sys.stdout, sys.stderr):
        if stream is not None:
            stream.flush()
    # The bpy wheels of 4.2 and 4.5 crash or hang in the interpreter's own exit.
    os._exit(code)
