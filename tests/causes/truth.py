# SPDX-License-Identifier: GPL-3.0-or-later
"""What is true of a planted fault: whose key, how large, where and when; no numpy here."""

from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True)
class Truth:
    """One planted fault.

    control, channel, frame   the key to blame, as it stands in the faulted action
    size_m                    the largest way of a followed joint or tip against the clean motion
    wanted_m                  what was wanted, None where the kind gives what it gives
    frames                    those on which anything followed is off by more than a millimetre
    part                      where the largest way is; `shows`: all that go or turn half as far
    """

    kind: str
    control: str
    channel: str
    frame: float
    size_m: float
    frames: tuple[int, ...]
    part: str
    shows: tuple[str, ...]
    wanted_m: float | None = None
    note: str = ""

    def to_json(self) -> dict[str, Any]:
        """As JSON values."""
        return asdict(self)
