# SPDX-License-Identifier: GPL-3.0-or-later
"""Whole Blenders with a window: each in the folder of a small Debian system, kept in the cache.

Blender as a Python module has no window, so Debian's own Blenders are used. Everything runs in a
mount namespace of its own: what is mounted there nobody else sees, and it is gone with the last
process in it, however that ends. So no folder is ever removed through a mount.
"""

import contextlib
import hashlib
import os
import re
import shutil
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from .cache import cache_folder, publish
from .children import run_quietly
from .errors import HarnessError, SkippedError, say

MIRROR = "http://deb.debian.org/debian"
_PACKAGES = (
    "blender libgl1-mesa-dri libgl1 libegl1 xvfb xdotool imagemagick x11-utils "
    "python3-numpy python3-requests python3-zstandard python3-cattr"
)
_SIZE = "about 350 MB to download, 1.4 GB on disk, two to three minutes"
_SHOWN_LINES = 6
_HASH_LENGTH = 8
# Nobody else's mount namespace changes, and no process outlives the one that is asked for.
_ALONE = ("unshare", "--mount", "--propagation=private", "--pid", "--fork", "--kill-child")
_ENTER = """
system=$1; shift
mount --bind /dev "$system/dev"
mount -t proc proc "$system/proc"
mount -t tmpfs tmpfs "$system/tmp"
while [ "$1" != -- ]; do mount --bind "$1" "$system/$2"; shift 2; done
shift
exec chroot "$system" "$@"
"""
_INSTALL = (
    "apt-get update -q && apt-get install -y -q --no-install-recommends "
    f"{_PACKAGES} && apt-get clean"
)
_SYSTEM_FILES = {
    # The unstable release's own file may have lapsed.
    "etc/apt/apt.conf.d/99valid": 'Acquire::Check-Valid-Until "false";\n',
    "etc/dpkg/dpkg.cfg.d/fast": "force-unsafe-io\n",
    # No service is started there.
    "usr/sbin/policy-rc.d": "#!/bin/sh\nexit 101\n",
}


@dataclass(frozen=True)
class Windowed:
    """A Blender with a window: the Debian release that carries it, and its first two numbers."""

    release: str
    blender: str

    def __str__(self) -> str:
        return f"Blender {self.blender} (with a window, Debian {self.release})"

    @property
    def folder(self) -> Path:
        """Where its system lies, once it is there."""
        key = hashlib.sha256(_PACKAGES.encode()).hexdigest()[:_HASH_LENGTH]
        return cache_folder() / "windows" / f"{self.release}-{key}"


WINDOWED = (Windowed("trixie", "4.3"), Windowed("sid", "5.2"))


def system_of(wanted: Windowed) -> Path:
    """The folder of that Blender's system, made if the cache lacks it.

    Raises SkippedError, with why, where this machine cannot have it.
    """
    _refuse_machine()
    folder = wanted.folder
    with _locked(folder):
        if not folder.exists():
            _find_debootstrap()
            say(f"Making a Debian {wanted.release} with its Blender ({_SIZE}) in {folder}")
            publish(folder, lambda partial: _build(wanted, partial))
    return folder


def inside(system: Path, command: list[str], shared: Mapping[Path, str] | None = None) -> list[str]:
    """The command that runs another one inside that system.

    shared   folders of this machine, and where they are seen inside, from the system's root
    """
    pairs = [text for here, there in (shared or {}).items() for text in (str(here), there)]
    return [*_ALONE, "sh", "-euc", _ENTER, "sh", str(system), *pairs, "--", *command]


def _refuse_machine() -> None:
    if not sys.platform.startswith("linux"):
        raise SkippedError(
            "A Blender with a window is only tried on Linux, as it comes from Debian."
        )
    if os.geteuid() != 0:
        raise SkippedError(
            "A Blender with a window needs root, to enter a Debian of its own: use sudo."
        )
    for program in ("unshare", "mount", "chroot"):
        if shutil.which(program) is None:
            raise SkippedError(f"A Blender with a window needs the program {program}: install it.")
    code, _printed = run_quietly([*_ALONE, "mount", "-t", "tmpfs", "tmpfs", "/mnt"])
    if code:
        raise SkippedError(
            "A Blender with a window needs the right to mount, which is not given here."
        )


def _find_debootstrap() -> None:
    if shutil.which("debootstrap"):
        return
    if shutil.which("apt-get") is None:
        raise SkippedError(
            "A Blender with a window needs debootstrap, and this machine has no apt-get."
        )
    say("Installing debootstrap, which makes Debian systems")
    install = "apt-get update -q; apt-get install -y -q --no-install-recommends debootstrap"
    code, printed = run_quietly(["sh", "-c", install])
    if code or shutil.which("debootstrap") is None:
        raise SkippedError(f"debootstrap could not be installed.{_last(printed)}")


def _build(wanted: Windowed, partial: Path) -> None:
    """Fill a new folder with that Debian and its Blender."""
    partial.chmod(0o755)  # apt fetches as a user that is not root
    options = ["--variant=minbase", "--include=ca-certificates"]
    make = [*_ALONE, "--mount-proc", "debootstrap", *options, wanted.release, str(partial), MIRROR]
    code, printed = run_quietly(make)
    if code:
        raise SkippedError(f"Debian {wanted.release} could not be fetched.{_last(printed)}")
    for name, text in _SYSTEM_FILES.items():
        (partial / name).write_text(text, encoding="utf-8")
    (partial / "usr/sbin/policy-rc.d").chmod(0o755)
    code, printed = run_quietly(
        inside(partial, ["env", "DEBIAN_FRONTEND=noninteractive", "sh", "-c", _INSTALL])
    )
    if code:
        raise SkippedError(f"Debian {wanted.release} gives no Blender.{_last(printed)}")
    _refuse_version(wanted, partial)


def _refuse_version(wanted: Windowed, system: Path) -> None:
    code, printed = run_quietly(inside(system, ["blender", "--version"]))
    found = re.search(r"Blender (\d+\.\d+)", printed)
    if code or found is None:
        raise SkippedError(
            f"The Blender of Debian {wanted.release} does not start.{_last(printed)}"
        )
    if found[1] != wanted.blender:
        raise SkippedError(
            f"Debian {wanted.release} carries Blender {found[1]}, expected {wanted.blender}: name "
            "the one to use in tests/harness/windows.py."
        )


@contextlib.contextmanager
def _locked(folder: Path) -> Iterator[None]:
    """One at a time makes a folder; whoever comes second finds it made."""
    import fcntl  # not on Windows, where this module is imported too

    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        lock = folder.with_name(f"{folder.name}.lock").open("w", encoding="utf-8")
    except OSError as error:
        raise HarnessError(
            f"The cache folder {folder.parent} cannot be written ({error.strerror}); name another "
            "one in the environment variable PLUMBLINE_CACHE."
        ) from error
    with lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _last(printed: str) -> str:
    lines = [line.rstrip() for line in printed.splitlines() if line.strip()]
    if not lines:
        return ""
    return " Its last lines:\n" + "\n".join(f"    {line}" for line in lines[-_SHOWN_LINES:])
