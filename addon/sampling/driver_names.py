# SPDX-License-Identifier: GPL-3.0-or-later
"""Whether a scripted driver asks Blender for more than its own variables."""

import ast
import builtins
import math
from contextlib import suppress
from functools import lru_cache
from types import BuiltinFunctionType, CodeType, FunctionType, ModuleType
from typing import Any

import bpy

# What Blender's driver language knows besides the functions of `math` and a driver's variables.
_KNOWN = {*dir(math), "frame", "noise", "clamp", "lerp", "smoothstep", "self", "bl_math"}
_HARMLESS = {*dir(builtins)} - {"__import__", "eval", "exec", "globals", "locals", "vars", "open"}
# By these an expression reaches all data; Blender brings them itself.
_BLENDER = ("bpy", "depsgraph", "__import__")
_PLAIN_MODULES = ("builtins", "cmath", "math", "mathutils", "numpy", "random", "statistics")
_PLAIN_VALUES = (bool, int, float, complex, str, bytes, tuple, list, dict, set, type(None))


def asking_name(driver: Any) -> str:
    """A name by which a driver may read what its variables do not tell; empty where none does.

    A name that is neither a variable nor part of Blender's driver language is a function or
    value that an add-on or a script has put into the driver namespace. Built-in functions
    compute, and so do Python functions that name nothing but such functions, plain values and
    the modules of `_PLAIN_MODULES`; all others may ask for anything. A name that nothing defines
    makes the driver fail in every scene alike.
    """
    if driver.type != "SCRIPTED":
        return ""
    own = {variable.name for variable in driver.variables}
    return next((name for name in sorted(_names(driver.expression) - own) if _is_open(name)), "")


def is_lent(name: str) -> bool:
    """Whether a script of this Blender has put a name into the driver namespace."""
    return name not in _BLENDER and name in bpy.app.driver_namespace


@lru_cache(maxsize=4096)
def _names(expression: str) -> frozenset[str]:
    """Names in an expression; none where it is no Python, which Blender does not run either."""
    try:
        tree = ast.parse(expression.strip(), mode="eval")
    except (SyntaxError, ValueError):
        return frozenset()
    return frozenset(node.id for node in ast.walk(tree) if isinstance(node, ast.Name))


def _is_open(name: str) -> bool:
    if name in _BLENDER:
        return True
    space = bpy.app.driver_namespace
    if name not in space:
        return name not in _KNOWN and name not in _HARMLESS and hasattr(builtins, name)
    return name not in _KNOWN and _may_ask(space[name], set())


def _may_ask(value: Any, seen: set[int]) -> bool:
    """Whether a value, or a function with all that it names, can reach Blender's data."""
    if id(value) in seen:
        return False
    seen.add(id(value))
    if isinstance(value, ModuleType):
        return value.__name__.partition(".")[0] not in _PLAIN_MODULES
    if isinstance(value, FunctionType):
        known, names = value.__globals__, _code_names(value.__code__)
        if names & {"bpy", "__import__"}:
            return True
        named = [known[name] for name in names & {*known}]
        return any(_may_ask(each, seen) for each in [*_cells(value), *named])
    if isinstance(value, type):
        return value.__module__ not in _PLAIN_MODULES
    # Instances of other classes may do anything when they are called or asked.
    return not isinstance(value, (BuiltinFunctionType, *_PLAIN_VALUES))


def _cells(function: FunctionType) -> list[Any]:
    """What a function has closed over; a cell that is still empty holds nothing."""
    found = []
    for cell in function.__closure__ or ():
        with suppress(ValueError):
            found.append(cell.cell_contents)
    return found


def _code_names(code: CodeType) -> set[str]:
    inner = [_code_names(each) for each in code.co_consts if isinstance(each, CodeType)]
    return set(code.co_names).union(*inner)
