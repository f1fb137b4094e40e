# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean sets on disk for as long as one run of the test runner takes.

The tests without Blender and the bench are processes of their own that need the same clips, and
to build them takes as long as to judge a fortieth. The runner names a new folder in `VARIABLE`
and removes it at the end, so that nothing is ever read that other code has built. Without it
every process builds its own.
"""

import os
import pickle
import tempfile
from collections.abc import Callable
from pathlib import Path
from types import MappingProxyType

import numpy as np

from .case import Case

VARIABLE = "PLUMBLINE_CLEAN_SETS"


def kept(name: str, build: Callable[[], list[Case]]) -> tuple[Case, ...]:
    """The cases of a set: read where this run has built them, else built, and kept for others."""
    folder = os.environ.get(VARIABLE)
    if not folder:
        return tuple(build())
    path = Path(folder) / f"{name}.pickle"
    if path.exists():
        return read(path)
    cases = tuple(build())
    write(path, cases)
    return cases


def read(path: Path) -> tuple[Case, ...]:
    """What `write` has written, bit for bit."""
    with path.open("rb") as file:
        cases: tuple[Case, ...] = pickle.load(file)
    return cases


def write(path: Path, cases: tuple[Case, ...]) -> None:
    """Write cases whole or not at all: another process may look for them meanwhile."""
    with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as file:
        _Pickler(file, pickle.HIGHEST_PROTOCOL).dump(cases)
    Path(file.name).replace(path)


class _Pickler(pickle.Pickler):
    """Knows read-only dictionaries as well, in which a clip's facts are, and how arrays lie.

    As pickle has them, arrays lose an order of axes other than the usual two, in which sums may
    differ in their last bits, and that a clip's own may not be written to.
    """

    def reducer_override(self, thing: object) -> object:
        if isinstance(thing, MappingProxyType):
            return _read_only, (dict(thing),)
        if type(thing) is np.ndarray and not thing.dtype.hasobject:
            order = sorted(range(thing.ndim), key=lambda axis: -abs(thing.strides[axis]))
            inner = thing.transpose(order)
            facts = (inner.tobytes(), thing.dtype, inner.shape, order, thing.flags.writeable)
            return _array, facts
        return NotImplemented


def _read_only(entries: dict[object, object]) -> MappingProxyType[object, object]:
    return MappingProxyType(entries)


def _array(
    data: bytes, dtype: np.dtype, shape: tuple[int, ...], order: list[int], writeable: bool
) -> np.ndarray:
    """An array whose axes lie in that order, the one with the longest stride first."""
    inner = np.frombuffer(data, dtype).reshape(shape)
    return (inner.copy() if writeable else inner).transpose(np.argsort(order))
