# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs a script of this folder in a real Blender with a window, on a machine without a screen.

    python3 tests/window/run.py --chroot DIR trails.py jump.blend out.png [the script's options]

`build_jump.py` makes jump.blend. This builds the extension's zip, starts Xvfb and then Blender with
the script, and copies the capture out. Blender, Xvfb and ImageMagick's `import` are this machine's
own, or those of a folder that `--chroot` names (Debian's stable and unstable each carry a Blender).
Exit code: Blender's.
"""

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SIZE = "1600x900"


def main() -> int:
    """Do what the command line asks for."""
    options, script_options = _parser().parse_known_args()
    root = Path(options.chroot) if options.chroot else Path("/")
    inner = Path("/") / tempfile.mkdtemp(dir=root / "tmp", prefix="plumbline-window-").removeprefix(
        str(root)
    ).lstrip("/")
    folder = root / inner.relative_to("/")
    try:
        _fill(folder, options)
        code = _run(options, folder, inner, script_options)
        if (folder / "out.png").is_file():
            shutil.copyfile(folder / "out.png", options.picture)
        return code
    finally:
        shutil.rmtree(folder)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0], allow_abbrev=False)
    parser.add_argument("script", help="a script of this folder")
    parser.add_argument("blend", type=Path, help="the file to open")
    parser.add_argument("picture", type=Path, help="where the capture goes")
    parser.add_argument("--chroot", metavar="DIR", help="a folder that holds a whole system")
    return parser


def _fill(folder: Path, options: argparse.Namespace) -> None:
    """The zip, the script and the file, where Blender can see them."""
    build = [sys.executable, str(ROOT / "blender_test_runner.py"), "--build", str(folder)]
    subprocess.run(build, check=True, stdout=subprocess.DEVNULL)
    (built,) = folder.glob("*.zip")
    built.rename(folder / "plumbline.zip")
    for path in Path(__file__).parent.glob("*.py"):
        shutil.copy(path, folder)
    shutil.copyfile(options.blend, folder / "shot.blend")


def _run(options: argparse.Namespace, folder: Path, inner: Path, script_options: list[str]) -> int:
    enter = ["chroot", options.chroot] if options.chroot else []
    screen = [*enter, "Xvfb", "-displayfd", "1", "-screen", "0", f"{SIZE}x24"]
    server = subprocess.Popen(screen, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    try:
        display = server.stdout.readline().strip()  # it takes a number that nobody has
        if not display:
            print("Xvfb did not start, expected a display's number from it.", file=sys.stderr)
            return 2
        environment = {
            **os.environ,
            "DISPLAY": f":{display}",
            "HOME": str(inner),
            "LIBGL_ALWAYS_SOFTWARE": "1",
            "BLENDER_USER_RESOURCES": str(inner / "user"),
        }
        command = [*enter, "blender", "--factory-startup", "--gpu-backend", "opengl"]
        command += ["--window-geometry", "0", "0", *SIZE.split("x")]
        command += ["--python", str(inner / options.script), "--", str(inner), *script_options]
        return subprocess.run(command, env=environment, check=False, timeout=300).returncode
    finally:
        server.terminate()
        server.wait()


if __name__ == "__main__":
    raise SystemExit(main())
