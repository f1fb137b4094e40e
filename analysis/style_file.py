# SPDX-License-Identifier: GPL-3.0-or-later
"""The file of a house style: written by `learn`, read by `--like`."""

import json
import os
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Any

from ._version import __version__
from .errors import SettingsError
from .files import refuse_loss, write_whole
from .house_style import PERCENTILE, Learned, known_checks

FORMAT = "plumbline-style/1"
_START = re.compile(rb'\s*\{\s*"style"\s*:\s*"plumbline-style/')
# A style that multiplies limits by more than this was not learned.
_LARGEST = 100.0


def write_style(
    path: str | os.PathLike[str], learned: Sequence[Learned], shots: Sequence[str]
) -> Path:
    """Write a style over nothing or an older one; raises PlumblineError otherwise."""
    content = {
        "style": FORMAT,
        "plumbline": __version__,
        "percentile": PERCENTILE,
        "shots": list(shots),
        "checks": {each.check: _to_json(each) for each in learned},
    }
    text = json.dumps(content, ensure_ascii=False, indent=1, allow_nan=False) + "\n"
    data = text.encode("utf-8", errors="backslashreplace")
    return write_whole(path, data, what="style", is_ours=_is_style)


def refuse_style_place(path: str | os.PathLike[str]) -> None:
    """Raise PlumblineError where a style would replace something that is none."""
    refuse_loss(path, what="style", is_ours=_is_style)


def read_style(path: str | os.PathLike[str]) -> Mapping[str, float]:
    """Factors on the limits of checks; raises SettingsError, one sentence, for what is no style.

    Checks that this version does not know are left out.
    """
    try:
        return _factors(path)
    except SettingsError as error:
        raise SettingsError(
            f"{path} {error}, expected a style: make one with `learn CLIP ... --out STYLE.json`."
        ) from None


def read_picked_style(path: str | os.PathLike[str]) -> Mapping[str, float]:
    """The same for a file that was picked in a panel, whose folder its reader knows."""
    try:
        return _factors(path)
    except SettingsError as error:
        raise SettingsError(
            f"{Path(path).name} {error}, expected a house style that was learned from approved "
            "shots: pick another file, or drop it."
        ) from None


def _factors(path: str | os.PathLike[str]) -> Mapping[str, float]:
    """Raises SettingsError, what is wrong with the file, without its name."""
    try:
        data = json.loads(Path(path).read_bytes())
    except (OSError, ValueError, RecursionError) as error:
        reason = getattr(error, "strerror", None) or "it is no JSON"
        raise SettingsError(f"cannot be read ({reason})") from None
    if not isinstance(data, dict) or data.get("style") != FORMAT:
        raise SettingsError(f"does not say that it is {FORMAT}")
    checks = data.get("checks")
    if not isinstance(checks, dict):
        raise SettingsError("holds no checks")
    factors = {name: _factor(name, each) for name, each in checks.items()}
    known = known_checks()
    return MappingProxyType({name: each for name, each in factors.items() if name in known})


def _factor(name: str, each: Any) -> float:
    factor = each.get("factor") if isinstance(each, dict) else None
    number = 0.0 if isinstance(factor, bool) or not isinstance(factor, (int, float)) else factor
    if 0.0 < number <= _LARGEST:
        return float(number)
    raise SettingsError(f"has no factor above 0 and up to {_LARGEST:g} for {name}")


def _to_json(each: Learned) -> dict[str, Any]:
    name, factor = each.widest
    return {
        "factor": each.factor,
        "shots": each.shots,
        "widest": {"shot": name, "factor": round(factor, 3)},
        "beyond": list(each.beyond),
    }


def _is_style(path: Path) -> bool:
    with path.open("rb") as stream:
        return _START.match(stream.read(200)) is not None
