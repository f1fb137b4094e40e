# SPDX-License-Identifier: GPL-3.0-or-later
"""Shaders that widen points and lines to pixels as they draw them.

What is handed over are places in the scene, so that turning a view, moving the playhead and
choosing another span of frames build nothing anew: these are numbers that a shader is told.
"""

import re
from dataclasses import dataclass
from functools import cache
from typing import Any

import gpu

from . import glsl

# What shaders are told, in the 128 bytes that every graphics card takes at once (Blender counts 8
# for a number): the view, the dark edge, a paint with pixels for its alpha (see `glsl`), the view's
# pixels, which frames, from which frame on what is ahead and how strong that is, how strong all is.
_TOLD = (
    ("MAT4", "seen"),
    ("VEC4", "edge"),
    ("VEC4", "paint"),
    ("VEC2", "viewport"),
    ("VEC2", "span"),
    ("VEC2", "future"),
    ("FLOAT", "strength"),
)
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
    """A shader, and what it is told; it knows no more than it uses."""

    name: str
    shader: Any
    told: tuple[str, ...]


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
    source = glsl.VERTEX + vertex + glsl.FRAGMENT + fragment
    told = [(kind, word) for kind, word in _TOLD if re.search(rf"\b{word}\b", source)]
    for kind, word in told:
        info.push_constant(kind, word)
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
    info.vertex_source(glsl.VERTEX + vertex)
    info.fragment_source(glsl.FRAGMENT + fragment)
    return Program(name, gpu.shader.create_from_info(info), tuple(word for _kind, word in told))
