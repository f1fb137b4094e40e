# SPDX-License-Identifier: GPL-3.0-or-later
"""Starts a screen that nobody sees, and Blender on it with a script; inside a Debian system.

    python3 screen.py SCRIPT [the script's arguments]

Exit code: Blender's; 124 where it does not end in time, and 3 where there is no screen.
"""

import os
import subprocess
import sys
import tempfile

SIZE = ("1600", "900")
# Only ends what hangs: some three minutes are usual.
LONGEST_S = 2400
NO_SCREEN, TOO_LONG = 3, 124


def main() -> int:
    """Both, one after the other."""
    script, *arguments = sys.argv[1:]
    screen = ["Xvfb", "-displayfd", "1", "-screen", "0", f"{'x'.join(SIZE)}x24"]
    with subprocess.Popen(screen, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as server:
        try:
            display = server.stdout.readline().decode().strip()  # it takes a number nobody has
            if not display:
                print("Xvfb did not start, expected a display's number from it.", file=sys.stderr)
                return NO_SCREEN
            return _blender(display, script, arguments)
        finally:
            server.terminate()


def _blender(display: str, script: str, arguments: list[str]) -> int:
    with tempfile.TemporaryDirectory(prefix="plumbline-home-") as home:
        environment = {
            **os.environ,
            "DISPLAY": f":{display}",
            "HOME": home,
            "LIBGL_ALWAYS_SOFTWARE": "1",
            "BLENDER_USER_RESOURCES": f"{home}/user",
            "PYTHONDONTWRITEBYTECODE": "1",
        }
        command = ["blender", "--factory-startup", "--gpu-backend", "opengl"]
        command += ["--window-geometry", "0", "0", *SIZE]
        command += ["--python-exit-code", "1", "--python", script, "--", *arguments]
        try:
            return subprocess.run(
                command, env=environment, check=False, timeout=LONGEST_S
            ).returncode
        except subprocess.TimeoutExpired:
            print(f"Blender did not end within {LONGEST_S} seconds.", file=sys.stderr)
            return TOO_LONG


if __name__ == "__main__":
    raise SystemExit(main())
