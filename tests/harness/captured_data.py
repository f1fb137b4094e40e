# SPDX-License-Identifier: GPL-3.0-or-later
"""Captured human motion for tests: the data files of the pybullet package, never its code.

Tests find the folder through the environment variable named by `VARIABLE`.
"""

import os
import shutil
import zipfile
from pathlib import Path

from .cache import cache_folder, publish
from .environments import pip_environment
from .errors import HarnessError, say
from .pins import CAPTURED
from .pip import run_pip

VARIABLE = "PLUMBLINE_CAPTURED"
_MOTIONS = "pybullet_data/data/motions/"
_BODY = "pybullet_data/humanoid/humanoid.urdf"
_LICENSE = ".dist-info/LICENSE.txt"
# The package has wheels for old Pythons only; the data in this one is the same for everybody.
_ANY_WHEEL = ["--python-version=311", "--platform=manylinux2014_x86_64"]


def captured_folder() -> Path:
    """The `pybullet_data` folder with the captured motions, fetched if the cache lacks it."""
    folder = cache_folder() / "captured" / CAPTURED.replace("==", "-")
    return publish(folder, _fetch) / "pybullet_data"


def captured_variable() -> dict[str, str]:
    """The environment variable that tells a child where the captured motions are.

    A folder that the caller has named already is passed on as it is.
    """
    return {VARIABLE: os.environ.get(VARIABLE) or str(captured_folder())}


def unpack(wheel: Path, dest: Path) -> None:
    """Take the motions, the body they belong to and the licence out of the wheel."""
    with zipfile.ZipFile(wheel) as archive:
        names = [name for name in archive.namelist() if _is_wanted(name)]
        if not any(name.startswith(_MOTIONS) for name in names) or _BODY not in names:
            raise HarnessError(f"{wheel.name} does not hold the captured motions any more.")
        archive.extractall(dest, members=names)


def _is_wanted(name: str) -> bool:
    if name.endswith("/"):
        return False
    return name.startswith(_MOTIONS) or name == _BODY or name.endswith(_LICENSE)


def _fetch(partial: Path) -> None:
    say(f"Fetching captured motion from {CAPTURED} (100 MB, 2 MB of it kept) into {partial.parent}")
    download = partial / "download"
    arguments = ["download", "--no-deps", "--only-binary=:all:", *_ANY_WHEEL]
    arguments += [f"--dest={download}", CAPTURED]
    run_pip(pip_environment(), arguments, purpose=f"download {CAPTURED}")
    for wheel in download.glob("*.whl"):
        unpack(wheel, partial)
    shutil.rmtree(download)
