# SPDX-License-Identifier: GPL-3.0-or-later
"""Inside Blender: installs, enables and disables the extension, and makes sure that it did.

`bpy` is imported late: the variable that isolates Blender's user folder must be set before.
"""

import os
import sys
from pathlib import Path
from types import ModuleType

from .errors import HarnessError
from .staging import EXTENSION_ID, stage

REPOSITORY = "user_default"
PACKAGE = f"bl_ext.{REPOSITORY}.{EXTENSION_ID}"
USER_FOLDER = "BLENDER_USER_RESOURCES"
RUNNER_PLUGIN = "plumbline-runner"  # the name of the pytest plugin that in_blender.py registers


def install_zip(path: Path) -> None:
    """Install and enable the built zip, as a user does from a file."""
    import bpy

    install = bpy.ops.extensions.package_install_files
    try:
        install(filepath=str(path), repo=REPOSITORY, enable_on_install=False)
    except RuntimeError as error:  # how an operator reports an error
        raise HarnessError(f"Blender refuses to install {path.name}. {error}".strip()) from error
    enable()


def enable_checkout(user_folder: Path) -> None:
    """Start Blender's module with that empty user folder, the checkout linked into it."""
    os.environ[USER_FOLDER] = str(user_folder)
    stage(user_folder / "extensions" / REPOSITORY / EXTENSION_ID, link=True)
    enable()


def enable() -> None:
    """Enable the installed extension, if it is not enabled; raises what its register() raises."""
    import bpy  # noqa: F401 - it brings addon_utils
    import addon_utils  # isort: skip

    if is_enabled():
        return
    errors: list[Exception] = []
    addon_utils.enable(PACKAGE, default_set=True, handle_error=errors.append)
    _raise_first(errors)
    _check_enabled()


def disable() -> None:
    """Disable the extension; raises what its unregister() raises."""
    import addon_utils

    errors: list[Exception] = []
    addon_utils.disable(PACKAGE, default_set=True, handle_error=errors.append)
    _raise_first(errors)


def is_enabled() -> bool:
    """Whether Blender counts the extension as enabled and its module has registered.

    Blender's operator answers FINISHED whatever happened, so its answer is not asked.
    """
    import bpy

    module = sys.modules.get(PACKAGE)
    listed = PACKAGE in bpy.context.preferences.addons
    return listed and bool(getattr(module, "__addon_enabled__", False))


def package() -> ModuleType:
    """The enabled extension's package, with `addon` and `analysis` in it."""
    return sys.modules[PACKAGE]


def _raise_first(errors: list[Exception]) -> None:
    if errors:
        raise errors[0]


def _check_enabled() -> None:
    if not is_enabled():
        raise HarnessError("The extension is not enabled; Blender's messages above say why.")
    user_folder = os.environ.get(USER_FOLDER)
    place = Path(package().__file__ or "")
    if user_folder and Path(user_folder).absolute() not in place.absolute().parents:
        raise HarnessError(f"The extension was loaded from {place}, not from {user_folder}.")
