# SPDX-License-Identifier: GPL-3.0-or-later
"""What a pass remembers of its motion as JSON."""

import base64
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..words import frame_number
from .kept import Keyed, Motion, Prints
from .reader import Reader


def motion_to_json(motion: Motion) -> dict[str, Any]:
    """A motion as JSON values: arrays as base64 of little-endian numbers."""
    return {
        "step": frame_number(motion.step),
        "tracks": {title: _encoded(track, np.int8) for title, track in motion.tracks.items()},
        "prints": _prints_to_json(motion.prints),
        "keyed": None if motion.keyed is None else _keyed_to_json(motion.keyed),
    }


def _keyed_to_json(keyed: Keyed) -> dict[str, Any]:
    return {
        "stretch": keyed.stretch,
        "first": keyed.first,
        "prints": _prints_to_json(keyed.prints),
    }


def _prints_to_json(prints: Mapping[str, Prints]) -> dict[str, str]:
    return {limb: _encoded(each, np.uint16) for limb, each in prints.items()}


def _encoded(values: NDArray[Any], kind: type) -> str:
    little = np.ascontiguousarray(values, dtype=np.dtype(kind).newbyteorder("<"))
    return base64.b64encode(little.tobytes()).decode()


def motion_from(reader: Reader) -> Motion:
    """The same read back; raises PlumblineError, one sentence, for what is not ours."""
    tracks = {
        title: _decoded(reader, title, text, np.int8, (-1, 3))
        for title, text in reader.mapping("tracks").items()
    }
    prints = _prints(reader)
    _check_lengths(reader, [*tracks.values(), *prints.values()])
    step = reader.number("step")
    if step <= 0.0:
        raise reader.wrong(f"goes {step:g} frames a sample")
    has_keys = reader.data.get("keyed") is not None
    keyed = _keyed(reader.inner("keyed", "what its keys say")) if has_keys else None
    return Motion(step=step, tracks=tracks, prints=prints, keyed=keyed)


def _keyed(reader: Reader) -> Keyed | None:
    prints, stretch = _prints(reader), reader.number("stretch")
    _check_lengths(reader, list(prints.values()))
    if stretch <= 0.0:
        raise reader.wrong(f"has {stretch:g} scene frames for one of animation")
    return Keyed(stretch=stretch, first=int(reader.number("first")), prints=prints)


def _prints(reader: Reader) -> dict[str, Prints]:
    return {
        limb: _decoded(reader, limb, text, np.uint16, (-1,))
        for limb, text in reader.mapping("prints").items()
    }


def _check_lengths(reader: Reader, tracks: Sequence[NDArray[Any]]) -> None:
    if len({len(each) for each in tracks}) > 1:
        raise reader.wrong("has tracks of different lengths")


def _decoded(
    reader: Reader, name: str, text: Any, kind: type, shape: tuple[int, ...]
) -> NDArray[Any]:
    try:
        data = base64.b64decode(text, validate=True)
        return np.frombuffer(data, dtype=np.dtype(kind).newbyteorder("<")).reshape(shape)
    except (TypeError, ValueError):
        raise reader.wrong(f"has no steps for {name}") from None
