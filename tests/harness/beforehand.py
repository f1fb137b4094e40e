# SPDX-License-Identifier: GPL-3.0-or-later
"""Fetches what later steps need while earlier ones run: most of it is waiting for the network."""

import contextlib
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor

from .errors import HarnessError

Fetch = Callable[[], object]


@contextlib.contextmanager
def fetched_beside(rows: Sequence[Sequence[Fetch]]) -> Iterator[None]:
    """Fetch while the block runs: rows beside each other, each in its order.

    A step that needs what is not there yet waits for it. A fetch that fails ends its row, and says
    nothing: the step that needs it tries again, and says why it cannot be had. What has not begun
    when the block ends is left out.
    """
    over = threading.Event()
    with ThreadPoolExecutor(max_workers=max(len(rows), 1)) as pool:
        for row in rows:
            pool.submit(_fetch, row, over)
        try:
            yield
        finally:
            over.set()


def _fetch(row: Sequence[Fetch], over: threading.Event) -> None:
    with contextlib.suppress(HarnessError):
        for fetch in row:
            if over.is_set():
                return
            fetch()
