# SPDX-License-Identifier: GPL-3.0-or-later
"""The version, read from the extension's manifest: the one place that states it."""

import tomllib
from pathlib import Path


def _read_version() -> str:
    """The manifest lies beside this package in a staged extension, in addon/ in a checkout."""
    root = Path(__file__).resolve().parent.parent
    for manifest in (root / "blender_manifest.toml", root / "addon" / "blender_manifest.toml"):
        if manifest.is_file():
            return str(tomllib.loads(manifest.read_text(encoding="utf-8"))["version"])
    raise FileNotFoundError(f"no blender_manifest.toml in {root} or {root / 'addon'}")


__version__ = _read_version()
