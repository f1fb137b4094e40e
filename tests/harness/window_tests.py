# SPDX-License-Identifier: GPL-3.0-or-later
"""Tests in whole Blenders with a window: mouse and keys, as a user has them; see tests/window."""

import hashlib
import shutil
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from . import ROOT
from .blenders import Blender, environment_for, lowest_and_highest
from .cache import cache_folder, publish
from .captured_data import captured_variable
from .children import Output, run_into, run_quietly
from .errors import USAGE_EXIT, HarnessError, say
from .extension_zip import build_zip
from .steps import SKIPPED, Step, Steps
from .windows import WINDOWED, Windowed, inside, system_of

SCRIPTS = ROOT / "tests" / "window"
# Where Blender sees the checkout, and the folder of this run.
CHECKOUT, OURS = "opt", "mnt"
_SCENES_FROM = (
    "demo_scenes/captured",
    "demo_scenes/rigify_human",
    "demo_scenes/rigify_jump",
    "tests/addon/rigs.py",
    "tests/window/build_scenes.py",
    "tests/window/trail_scene.py",
)
_HASH_LENGTH = 10
AT_ONCE = 2


@dataclass(frozen=True)
class WindowOptions:
    """What is asked: scenarios whose names hold a text, a folder for pictures, one release, and
    whether those are played that time our work, which nothing else may disturb."""

    only: str = ""
    captures: Path | None = None
    release: str = ""
    timed: bool = True

    @property
    def wanted(self) -> list[Windowed]:
        """The Blenders to use; a sentence where the named release has none."""
        found = [each for each in WINDOWED if self.release in ("", each.release)]
        if not found:
            names = " and ".join(each.release for each in WINDOWED)
            raise HarnessError(f"--release is {self.release}, expected one of {names}.")
        return found


def run_windows(options: WindowOptions) -> int:
    """Run the scenarios alone; not one Blender that could be had is an error here."""
    steps = Steps(may_match_nothing=bool(options.only))
    with tempfile.TemporaryDirectory(prefix="plumbline-zip-") as folder:
        (lowest, *_others) = lowest_and_highest()
        path = build_zip(Path(folder), lowest)
        steps.run_beside(window_steps(path, lowest, options), jobs=AT_ONCE)
    steps.print_summary()
    if all(result.outcome == SKIPPED for result in steps.results):
        return USAGE_EXIT
    return steps.exit_code()


def window_steps(path: Path, lowest: Blender, options: WindowOptions) -> list[Step]:
    """A step for each Blender with a window; `lowest` builds the files that they open."""
    return [
        Step(f"scenarios in {each}", partial(_run, each, path, lowest, options), tests=True)
        for each in options.wanted
    ]


def fetches(lowest: Blender) -> list[Callable[[], object]]:
    """What makes all that `window_steps` of a full run need, one after the other."""
    systems = [partial(system_of, each) for each in WINDOWED]
    return [*systems, partial(_scenes, lowest)]


def _run(
    wanted: Windowed, path: Path, lowest: Blender, options: WindowOptions, output: Output
) -> int:
    system = system_of(wanted)
    scenes = _scenes(lowest)
    with tempfile.TemporaryDirectory(prefix="plumbline-window-") as temporary:
        work = Path(temporary)
        shutil.copyfile(path, work / "plumbline.zip")
        shutil.copytree(scenes, work / "scenes")
        (work / "captures").mkdir()
        arguments = [f"--only={options.only}"] if options.only else []
        arguments += [] if options.timed else ["--untimed"]
        code = run_into(script_command(system, work, "play.py", arguments), output)
        _keep_captures(work / "captures", wanted, options, failed=bool(code))
    return code


def script_command(system: Path, work: Path, script: str, arguments: Sequence[str]) -> list[str]:
    """The command that runs a script of tests/window in that system's Blender, on a screen."""
    folder = f"/{CHECKOUT}/tests/window"
    command = ["python3", f"{folder}/screen.py", f"{folder}/{script}", f"/{OURS}", *arguments]
    return inside(system, command, {ROOT: CHECKOUT, work: OURS})


def _keep_captures(made: Path, wanted: Windowed, options: WindowOptions, *, failed: bool) -> None:
    """Pictures are kept where that is asked, or where something failed."""
    if not any(made.iterdir()) or not (failed or options.captures):
        return
    above = options.captures or Path(tempfile.mkdtemp(prefix="plumbline-captures-"))
    kept = above.absolute() / wanted.release
    shutil.copytree(made, kept, dirs_exist_ok=True)
    say(f"Pictures are in {kept}")


def _scenes(blender: Blender) -> Path:
    """The folder with the files that scenarios open, built if the cache lacks them."""
    folder = cache_folder() / "windows" / f"scenes-{_scenes_key(blender)}"
    return publish(folder, partial(_build_scenes, blender))


def _build_scenes(blender: Blender, partial_folder: Path) -> None:
    say(f"Building the scenes for Blenders with a window in {partial_folder.parent}")
    script = SCRIPTS / "build_scenes.py"
    command = [str(environment_for(blender)), str(script), str(partial_folder)]
    code, printed = run_quietly(command, captured_variable())
    if code:
        raise HarnessError(f"{script.name} ended with {code}:\n{printed[-2000:]}")


def _scenes_key(blender: Blender) -> str:
    """A hash of all that decides what is built."""
    found = hashlib.sha256(blender.version.encode())
    for name in _SCENES_FROM:
        place = ROOT / name
        for path in sorted(place.rglob("*.py")) if place.is_dir() else [place]:
            found.update(path.relative_to(ROOT).as_posix().encode() + path.read_bytes())
    return found.hexdigest()[:_HASH_LENGTH]
