# SPDX-License-Identifier: GPL-3.0-or-later
"""Shaders that widen points and lines to pixels as they draw them.

What is handed over are places in the scene, so that turning a view, moving the playhead and
choosing another span of frames build nothing anew: these are numbers that a shader is told.
"""

from dataclasses import dataclass
from functools import cache
from typing import Any

import gpu

from . import glsl

# What shaders are told, in the 128 bytes that every graphics card takes at once: the view, and as a
# second matrix all else (see `glsl.TOLD` for what stands where), since each call has its price.
TOLD = ("seen", "told")
_FIGURE = (
    "pos VEC3",
    "other VEC3",
    "corner VEC2",
    "colour VEC4",
    "shape VEC4",
    "frame FLOAT",
    "until FLOAT",
)
_TEXT = ("pos VEC3", "away VEC2", "letter VEC2", "colour VEC4", "frame FLOAT")


@dataclass(frozen=True, eq=False)
class Program:
    """A shader; it is told `TOLD`."""

    name: str
    shader: Any


@cache
def figure_shader() -> Program:
    """Lines, dots, rings and bars: pos, other, corner, colour, shape, frame, until."""
    passed = ("away VEC2", "fill VEC4", "radii VEC4")
    return _made("figure", _FIGURE, passed, glsl.FIGURE_VERTEX, glsl.FIGURE_FRAGMENT)


@cache
def text_shader() -> Program:
    """Texts of a picture of letters: pos, away, letter, colour, frame; sampler letters."""
    passed = ("texel VEC2", "fill VEC4")
    return _made("text", _TEXT, passed, glsl.TEXT_VERTEX, glsl.TEXT_FRAGMENT, sampler="letters")


def _made(
    name: str,
    given: tuple[str, ...],
    passed: tuple[str, ...],
    vertex: str,
    fragment: str,
    sampler: str = "",
) -> Program:
    types: Any = gpu.types
    between, info = types.GPUStageInterfaceInfo(f"plumbline_{name}"), types.GPUShaderCreateInfo()
    for word in TOLD:
        info.push_constant("MAT4", word)
    for slot, words in enumerate(given):
        attribute, kind = words.split()
        info.vertex_in(slot, kind, attribute)
    for words in passed:
        varying, kind = words.split()
        between.no_perspective(kind, varying)
    if sampler:
        info.sampler(0, "FLOAT_2D", sampler)
    info.vertex_out(between)
    info.fragment_out(0, "VEC4", "drawn")
    info.vertex_source(glsl.TOLD + glsl.VERTEX + vertex)
    info.fragment_source(glsl.TOLD + glsl.FRAGMENT + fragment)
    return Program(name, gpu.shader.create_from_info(info))
