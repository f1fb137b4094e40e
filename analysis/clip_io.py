# SPDX-License-Identifier: GPL-3.0-or-later
"""Clip files: NumPy `.npz` archives without pickles, written whole or not at all."""

import io
import os
import zipfile
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .clip import Clip
from .errors import ClipError
from .files import write_whole
from .meta import Meta

REQUIRED = ("frames", "fps", "joints", "parents", "positions", "rotations")
_REMEDY = "write it with `plumbline check --clips` in Blender"


def load_clip(path: str | os.PathLike[str]) -> Clip:
    """Read a clip file; raises ClipError with the file's name for anything unusable."""
    path = Path(path)
    if not os.path.isfile(path):  # unlike Path.is_file, it takes a name that is too long
        what = "is a folder" if os.path.isdir(path) else "does not exist"
        raise ClipError(f"{path} {what}, expected a clip file (.npz): check the path.")
    arrays = _read_arrays(path)
    missing = [name for name in REQUIRED if name not in arrays]
    if missing:
        raise ClipError(
            f"{path} holds no {', '.join(missing)}, expected at least {', '.join(REQUIRED)}: "
            f"{_REMEDY}."
        )
    known = {item.name for item in fields(Clip)}
    meta = arrays.pop("meta", np.array(""))
    try:
        return Clip(
            **{name: value for name, value in arrays.items() if name in known},
            meta=Meta.from_json(str(meta)),
        )
    except ClipError as error:
        raise ClipError(f"{path}: {error}") from None


def _read_arrays(path: Path) -> dict[str, Any]:
    try:
        with path.open("rb") as stream, np.load(stream, allow_pickle=False) as archive:
            return {name: _readable(archive[name]) for name in archive.files}
    except PermissionError:
        raise ClipError(f"{path} may not be read: allow reading it.") from None
    except Exception:  # a broken archive makes numpy, zipfile and zlib raise whatever they like
        raise ClipError(
            f"{path} is no clip file or a damaged one, expected the plain arrays of a clip "
            f"(.npz): {_REMEDY}."
        ) from None


def _readable(array: NDArray[Any]) -> NDArray[Any]:
    """The array; one of text is read once, as letters beyond Unicode raise only then."""
    if array.dtype.kind == "U":
        array.tolist()
    return array


def save_clip(path: str | os.PathLike[str], clip: Clip) -> Path:
    """Write a clip file over nothing or an older clip; raises PlumblineError otherwise.

    It is written beside its place and then renamed, so it is never half there.
    """
    arrays: dict[str, Any] = {}
    for item in fields(clip):
        value = getattr(clip, item.name)
        if item.name == "meta":
            arrays["meta"] = np.array(clip.meta.to_json())
        elif isinstance(value, tuple):
            if value:
                arrays[item.name] = np.array(value)
        elif value is not None:
            arrays[item.name] = np.asarray(value)
    content = io.BytesIO()
    np.savez_compressed(content, **arrays)
    return write_whole(path, content.getvalue(), what="clip", is_ours=_is_clip)


def _is_clip(path: Path) -> bool:
    try:
        with zipfile.ZipFile(path) as archive:
            return {f"{name}.npy" for name in REQUIRED} <= set(archive.namelist())
    except (zipfile.BadZipFile, NotImplementedError):
        return False
