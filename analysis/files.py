# SPDX-License-Identifier: GPL-3.0-or-later
"""Writing files: whole or not at all, and never over something that is not ours."""

import os
from collections.abc import Callable
from pathlib import Path

from .errors import PlumblineError


def write_whole(
    path: str | os.PathLike[str], content: bytes, *, what: str, is_ours: Callable[[Path], bool]
) -> Path:
    """Write a file under another name beside its place, then rename it; returns the path.

    what      says in errors what is written, such as "report"
    is_ours   whether an existing file may be replaced; an empty one always may

    What is no regular file (a pipe, a device) is written to as it is. Raises PlumblineError
    where the place cannot be written, or holds something that would be lost.
    """
    path = Path(path)
    try:
        if os.path.exists(path) and not (os.path.isfile(path) or os.path.isdir(path)):
            path.write_bytes(content)
            return path
        refuse_loss(path, what=what, is_ours=is_ours)
        target = Path(os.path.realpath(path))  # a link stays a link
        target.parent.mkdir(parents=True, exist_ok=True)
        partial = target.with_name(f".{os.getpid()}.plumbline.part")
        try:
            partial.write_bytes(content)
            os.replace(partial, target)
        finally:
            partial.unlink(missing_ok=True)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise PlumblineError(
            f"{path} could not be written ({reason}), expected a place for a {what}: name a file "
            "in a folder that may be written."
        ) from None
    return path


def refuse_loss(
    path: str | os.PathLike[str], *, what: str, is_ours: Callable[[Path], bool]
) -> None:
    """Raise PlumblineError where `write_whole` would, so that long work is not done in vain."""
    target = Path(os.path.realpath(path))
    if os.path.isdir(target):
        raise PlumblineError(
            f"{path} is a folder, expected the name of a file for a {what}: add a name."
        )
    if os.path.isfile(target) and not _may_replace(target, is_ours):
        raise PlumblineError(
            f"{path} exists and is no Plumbline {what}, so it is not replaced; expected a new "
            f"name or an older {what}: choose another name."
        )
    if os.path.isfile(target) or not os.path.exists(target):  # into a pipe or a device it just goes
        refuse_folder(target.parent, what=f"the {what}")


def refuse_folder(folder: str | os.PathLike[str], *, what: str) -> None:
    """Raise PlumblineError where no files can be written into a folder, made where it is new."""
    there = Path(os.path.realpath(folder))
    while not os.path.exists(there) and there != there.parent:
        there = there.parent
    if not os.path.isdir(there):
        raise PlumblineError(f"{there} is a file, expected a folder for {what}: name another.")
    if not os.access(there, os.W_OK | os.X_OK):
        raise PlumblineError(
            f"the folder {there} may not be written, expected one for {what} that may: name "
            "another."
        )


def _may_replace(target: Path, is_ours: Callable[[Path], bool]) -> bool:
    try:
        return target.stat().st_size == 0 or is_ours(target)
    except OSError:  # it may not even be read
        return False
