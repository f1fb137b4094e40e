# SPDX-License-Identifier: GPL-3.0-or-later
"""What several checks work out from one basis, worked out once, as its own properties are."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar

Of = TypeVar("Of")
More = ParamSpec("More")
Result = TypeVar("Result")

_NAME = "_worked_out"


def once(
    function: Callable[Concatenate[Of, More], Result],
) -> Callable[Concatenate[Of, More], Result]:
    """The function of a basis, and of objects that don't change, which keeps what it gave on it.

    Whoever asks gets the same object: it is read, and never written to. A basis that is made from
    another one begins anew.
    """

    @wraps(function)
    def answer(of: Of, /, *args: More.args, **named: More.kwargs) -> Result:
        known: dict[Any, tuple[Any, Result]] = vars(of).setdefault(_NAME, {})
        given = (*args, *named.items())
        key = (function, *map(id, args), *((name, id(value)) for name, value in named.items()))
        if key not in known:
            known[key] = given, function(of, *args, **named)  # what is kept keeps its id
        return known[key][1]

    return answer
