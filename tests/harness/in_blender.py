# SPDX-License-Identifier: GPL-3.0-or-later
"""The script that runs inside Blender: installs the zip, tests it, disables it, looks what is left.

The parent has isolated Blender's user folder through the environment. Exit codes are pytest's;
1 as well if the tests passed but something stays registered, 2 if the extension cannot be enabled.
"""

import argparse
import importlib
import os
import sys
import traceback
from pathlib import Path
from types import ModuleType
from typing import NoReturn

_ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(_ROOT))

from tests.harness.blenders import script_arguments  # noqa: E402
from tests.harness.errors import USAGE_EXIT, HarnessError, say  # noqa: E402
from tests.harness.extension import (  # noqa: E402
    PACKAGE,
    RUNNER_PLUGIN,
    disable,
    enable,
    install_zip,
)
from tests.harness.single_copy import take_over_imports  # noqa: E402

_FAILED_EXIT = 1


def main() -> int:
    """Test the zip that the command line names."""
    options = _parse(script_arguments(sys.argv, __file__))
    if options.packages:
        sys.path.insert(0, str(options.packages))
    from tests.harness.leftovers import Ledger

    ledger = Ledger()
    install_zip(options.zip)
    ledger.note_enabled()
    take_over_imports(_ROOT, PACKAGE)
    _check_single_copy()
    code = _run_pytest(options.pytest_args)
    enable()  # should a test have disabled it
    disable()
    left = _report_leftovers(ledger.leftovers())
    return code or left


def _parse(arguments: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser()
    parser.add_argument("--zip", type=Path, required=True)
    parser.add_argument("--packages", type=Path)
    parser.add_argument("pytest_args", nargs=argparse.REMAINDER)
    return parser.parse_args(arguments)


def _check_single_copy() -> None:
    """Two copies would make tests pass that must fail, so this is looked at before they run."""
    ours = importlib.import_module("analysis")
    if ours is not sys.modules[f"{PACKAGE}.analysis"]:
        raise HarnessError(f"analysis was imported from {ours.__file__}, not from the extension.")


def _run_pytest(arguments: list[str]) -> int:
    import pytest

    options = [f"--rootdir={_ROOT}", f"-c={_ROOT / 'pyproject.toml'}", "-o", "pythonpath="]
    mark = ModuleType(RUNNER_PLUGIN)  # tells conftest.py that Blender is set up
    return int(pytest.main([*options, *arguments], plugins=[mark]))


def _report_leftovers(left: list[str]) -> int:
    for line in left:
        say(f"Still registered after the extension was disabled: {line}")
    return _FAILED_EXIT if left else 0


def _leave(code: int) -> NoReturn:
    """End at once: with anything still registered, a normal exit of the module hangs or crashes."""
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)


if __name__ == "__main__":
    try:
        _code = main()
    except HarnessError as _error:
        print(_error, file=sys.stderr)
        _code = USAGE_EXIT
    except BaseException:
        traceback.print_exc()
        _code = _FAILED_EXIT
    _leave(_code)
