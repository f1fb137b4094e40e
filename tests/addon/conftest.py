# SPDX-License-Identifier: GPL-3.0-or-later
"""Fixtures for the tests inside Blender.

`blender_test_runner.py` installs the built zip and then runs these tests. Run by itself, in an
environment with Blender's module, `pytest tests/addon` links the checkout as the extension.
"""

import os
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from types import ModuleType

import pytest

from tests.harness import ROOT, extension
from tests.harness.single_copy import take_over_imports

_exit_code = pytest.StashKey[int]()
_user_folder = pytest.StashKey[Path]()
# Whether the file that is open is the empty one that the last test has left.
_left_empty = pytest.StashKey[bool]()


# Reading an old property warns from inside Blender; as an error it becomes a SystemError there.
_BLENDER_WARNINGS = "default:.*expected to be removed in Blender.*:DeprecationWarning"


def pytest_configure(config: pytest.Config) -> None:
    """Without the runner: start Blender's module and enable the linked checkout."""
    config.addinivalue_line("filterwarnings", _BLENDER_WARNINGS)
    config.addinivalue_line("markers", "rigify: builds a Rigify rig; such tests run last")
    if config.pluginmanager.hasplugin(extension.RUNNER_PLUGIN):
        return
    folder = Path(tempfile.mkdtemp(prefix="plumbline-user-"))
    config.stash[_user_folder] = folder
    try:
        extension.enable_checkout(folder)
    except ModuleNotFoundError as error:
        shutil.rmtree(folder, ignore_errors=True)
        if error.name not in ("bpy", "addon_utils"):
            raise
        pytest.exit("tests/addon runs inside Blender: python3 blender_test_runner.py", returncode=4)
    take_over_imports(ROOT, extension.PACKAGE)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests that build a Rigify rig run last.

    Once Rigify has built a rig in a process, 4.2 crashes now and then (7 of 70 runs here) when
    the window is given another scene or view layer: it tags memory that is no longer there.
    """
    items.sort(key=lambda item: item.get_closest_marker("rigify") is not None)


def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """Keep the exit code for `pytest_unconfigure`, which is not told it."""
    session.config.stash[_exit_code] = int(exitstatus)


@pytest.hookimpl(trylast=True)
def pytest_unconfigure(config: pytest.Config) -> None:
    """Without the runner: end here, since Blender's module may crash or hang at a normal exit."""
    folder = config.stash.get(_user_folder, None)
    if folder is None:
        return
    shutil.rmtree(folder, ignore_errors=True)
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(config.stash.get(_exit_code, 1))


def pytest_fixture_setup(
    fixturedef: pytest.FixtureDef[object], request: pytest.FixtureRequest
) -> None:
    """What lasts longer than a test is made between two of them, in whatever file is open."""
    if fixturedef.scope != "function":
        request.config.stash[_left_empty] = False


def pytest_fixture_post_finalizer(
    fixturedef: pytest.FixtureDef[object], request: pytest.FixtureRequest
) -> None:
    """And it ends between two tests as well."""
    if fixturedef.scope != "function":
        request.config.stash[_left_empty] = False


@pytest.fixture(autouse=True)
def empty_file(request: pytest.FixtureRequest) -> Iterator[None]:
    """Every test begins in an empty file with the extension enabled, and leaves an empty file.

    It opens one only where the test before it has left none: that takes 10 ms, 1600 times.
    """
    if not request.config.stash.get(_left_empty, False) or not extension.is_enabled():
        _open_empty_file()
    request.config.stash[_left_empty] = False
    yield
    _open_empty_file()
    request.config.stash[_left_empty] = True


@pytest.fixture
def ext() -> ModuleType:
    """The extension's package: `ext.addon`, `ext.analysis`."""
    return extension.package()


@pytest.fixture
def analysis() -> ModuleType:
    """The extension's analysis; `import analysis` in a test gives the same module."""
    return extension.package().analysis


def _open_empty_file() -> None:
    """Empty, with the preferences kept: read_factory_settings would disable the extension."""
    import bpy

    extension.enable()
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)


@pytest.fixture(scope="session", autouse=True)
def scenes_folder(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Demo scenes that are built for one test are kept for the others."""
    import stepped

    stepped.scenes_folder = tmp_path_factory.mktemp("scenes")


@pytest.fixture(scope="session")
def human_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Blender's bundled human, "human", without keys: to generate its rig takes seconds."""
    import bpy

    from demo_scenes.rigify_human.build import build_human

    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    build_human(height_m=1.7)
    path = tmp_path_factory.mktemp("rigify") / "human.blend"
    bpy.ops.wm.save_as_mainfile(filepath=str(path))
    return path


@pytest.fixture
def main(ext: ModuleType) -> Callable[[Sequence[str]], int]:
    """The command inside this process: `main(["check", ...])` gives the exit code."""
    return ext.addon.command.main


@pytest.fixture
def walking(tmp_path: Path) -> Path:
    """A saved file with one animated biped, still open."""
    import rigs
    from command_line import save

    rigs.biped()
    return save(tmp_path / "walking.blend")
