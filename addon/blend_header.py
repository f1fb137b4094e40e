# SPDX-License-Identifier: GPL-3.0-or-later
"""Which Blender saved a file, read from its first bytes, also where this Blender cannot open it.

The header is `BLENDER`, then either one letter for the size of pointers, one for the order of bytes
and three digits (`-v402`: up to 4.5), or since 5.0 `17-01v0502`: its own length, the version of
the format and four digits. Files may be packed with Zstandard (since 3.0) or gzip (before).
"""

import gzip
import re
import zlib
from pathlib import Path
from typing import IO, Any

_MAGIC = b"BLENDER"
_OLD = re.compile(rb"BLENDER[-_][vV](\d)(\d\d)")
_NEW = re.compile(rb"BLENDER\d\d-\d\dv(\d\d)(\d\d)")
_LENGTH = 17
_GZIP = b"\x1f\x8b"
_ZSTANDARD = b"\x28\xb5\x2f\xfd"


def saved_by(path: Path) -> tuple[int, int] | None:
    """The Blender, such as (5, 2), that saved a file; None for what is none, or cannot be read."""
    try:
        with path.open("rb") as file:
            start = _start(file)
    except (OSError, EOFError, zlib.error):
        return None
    found = _NEW.match(start) or _OLD.match(start)
    return (int(found[1]), int(found[2])) if found else None


def _start(file: IO[bytes]) -> bytes:
    """The first bytes, unpacked; empty where they cannot be."""
    start = file.read(_LENGTH)
    file.seek(0)
    if start.startswith(_GZIP):
        with gzip.GzipFile(fileobj=file) as unpacked:
            return unpacked.read(_LENGTH)
    if start.startswith(_ZSTANDARD):
        return _unpacked(file)
    return start if start.startswith(_MAGIC) else b""


def _unpacked(file: IO[bytes]) -> bytes:
    """The first bytes of what Zstandard packed, by the module that comes with Blender."""
    try:
        import zstandard
    except ModuleNotFoundError:  # a Blender of a distribution may lack it
        return b""
    stream: Any = zstandard.ZstdDecompressor().stream_reader(file)
    try:
        return bytes(stream.read(_LENGTH))
    except zstandard.ZstdError:
        return b""
