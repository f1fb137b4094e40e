# SPDX-License-Identifier: GPL-3.0-or-later
"""Inside Blender, `analysis` is the extension's own: one copy of every class."""

import subprocess
import sys

import pytest

from tests.harness import ROOT

# Runs apart: it changes how its process imports. The extension is an empty stand-in.
PRELUDE = """
import sys, warnings
from pathlib import Path
warnings.simplefilter("error")
root, extensions, harness_root = map(Path, sys.argv[1:])
sys.path.insert(0, str(harness_root))
from tests.harness.single_copy import take_over_imports
sys.path[:] = [str(root), str(extensions), *sys.path[2:]]
del sys.modules["tests"]
take_over_imports(root.resolve(), "bl_ext.user_default.plumbline")
"""


@pytest.fixture
def run(tmp_path):
    """Run code in a process where the extension is installed and the checkout is on the path."""
    files = {
        "checkout/analysis/__init__.py": "raise RuntimeError('the second copy')",
        "checkout/addon/__init__.py": "raise RuntimeError('the second copy')",
        "checkout/demo_scenes/__init__.py": "from analysis.clip import Clip",
        "checkout/tests/addon/helpers.py": "from analysis.clip import Clip",
        "ext/bl_ext/user_default/plumbline/__init__.py": "",
        "ext/bl_ext/user_default/plumbline/analysis/__init__.py": "from .clip import Clip",
        "ext/bl_ext/user_default/plumbline/analysis/clip.py": "class Clip: pass",
        "ext/bl_ext/user_default/plumbline/analysis/late.py": "from .clip import Clip",
        "ext/bl_ext/user_default/plumbline/analysis/broken.py": "import no_such_module",
    }
    for name, text in files.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)

    def run_code(code):
        arguments = [tmp_path / "checkout", tmp_path / "ext", ROOT]
        command = [sys.executable, "-c", PRELUDE + code, *map(str, arguments)]
        done = subprocess.run(command, capture_output=True, encoding="utf-8", check=False)
        assert done.returncode == 0, done.stderr
        return done.stdout.split()

    return run_code


def test_every_name_leads_to_the_same_class(run):
    assert (
        run("""
import analysis.clip
import bl_ext.user_default.plumbline.analysis.clip as real
from analysis.clip import Clip
from demo_scenes import Clip as InScenes
from tests.addon.helpers import Clip as InTests
print(analysis.clip is real, analysis.clip.Clip is real.Clip)
print(Clip is real.Clip, InScenes is real.Clip, InTests is real.Clip)
""")
        == ["True"] * 5
    )


def test_the_real_modules_keep_their_own_names(run):
    """A changed spec would break relative imports in modules that are imported later."""
    assert run("""
import analysis, analysis.late
print(analysis.__spec__.name)
print(analysis.late.__spec__.name)
print(analysis.late.Clip is analysis.Clip)
""") == [
        "bl_ext.user_default.plumbline.analysis",
        "bl_ext.user_default.plumbline.analysis.late",
        "True",
    ]


def test_the_add_on_has_no_second_name(run):
    assert run("""
for name in ("addon", "addon.ui"):
    try:
        __import__(name)
    except ModuleNotFoundError as error:
        print("second copy" in str(error))
""") == ["True", "True"]


def test_a_missing_module_keeps_its_name(run):
    """A real failure inside analysis must not read as if analysis were missing."""
    assert run("""
for name in ("analysis.nothing", "analysis.broken"):
    try:
        __import__(name)
    except ModuleNotFoundError as error:
        print(error.name)
""") == ["analysis.nothing", "no_such_module"]


def test_the_checkout_leaves_the_path(run):
    assert run("print(str(root) in sys.path, str(extensions) in sys.path)") == ["False", "True"]
