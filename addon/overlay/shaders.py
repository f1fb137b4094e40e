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

# What every shader is told, 128 bytes, as much as every graphics card takes at once: the view,
# the dark edge, a colour instead of the own ones, pixels of the view, frames that are shown, how
# strong, the current frame, how strong frames after it, and how many pixels wider.
_TOLD = (
    ("MAT4", "seen"),
    ("VEC4", "edge"),
    ("VEC4", "paint"),
    ("VEC2", "viewport"),
    ("VEC2", "span"),
    ("FLOAT", "strength"),
    ("FLOAT", "playhead"),
    ("FLOAT", "ahead"),
    ("FLOAT", "wider"),
)
_VERTEX = """
const vec4 NOWHERE = vec4(2.0, 2.0, 2.0, 1.0);

bool is_shown(float at)
{
  return at < -1.0e29 || (at >= span.x && at < span.y);
}

vec4 faded(vec4 own, float at)
{
  return vec4(own.rgb, own.a * strength * (at > playhead + 0.5 ? ahead : 1.0));
}
"""
# The screen takes light, and colours are told as sRGB (IEC 61966-2-1).
_FRAGMENT = """
vec4 to_light(vec3 colour, float alpha)
{
  vec3 dark = colour / 12.92;
  vec3 bright = pow((colour + 0.055) / 1.055, vec3(2.4));
  return vec4(mix(bright, dark, lessThanEqual(colour, vec3(0.04045))), alpha);
}
"""
# A square around a point. `shape` in pixels: the radius of the core, where a ring begins and
# ends, and 1 for a bar with its ends turned down above the point instead of them. Where a paint is
# told, the core has a ring of it.
_MARK_VERTEX = """
void main()
{
  vec4 at = seen * vec4(pos, 1.0);
  vec3 sizes = shape.xyz + vec3(wider) * vec3(greaterThan(shape.xyz, vec3(0.0)));
  if (paint.a > 0.0) {
    sizes.yz = sizes.xx * vec2(1.0, 1.32);
  }
  float reach = max(sizes.x, sizes.z) + 2.0;
  at.xy += corner * reach * 2.0 / viewport * at.w;
  gl_Position = is_shown(frame) && at.w > 0.0 ? at : NOWHERE;
  away = corner * reach;
  fill = faded(colour, frame);
  radii = vec4(sizes, shape.w);
}
"""
_MARK_FRAGMENT = """
float disc(float radius, float d)
{
  return clamp(radius + 0.5 - d, 0.0, 1.0);
}

float box(vec2 at, vec2 low, vec2 high)
{
  vec2 inside = clamp(min(at - low, high - at) + 0.5, 0.0, 1.0);
  return inside.x * inside.y;
}

float bar(vec2 at, float unit, float grown)
{
  vec2 by = vec2(grown);
  vec2 side = vec2(abs(at.x), at.y);
  float top = box(at, unit * vec2(-16.0, 5.0) - by, unit * vec2(16.0, 7.0) + by);
  return max(top, box(side, unit * vec2(14.0, 0.0) - by, unit * vec2(16.0, 7.0) + by));
}

void main()
{
  float d = length(away);
  float core = radii.x > 0.0 ? disc(radii.x, d) : 0.0;
  float rim = radii.x > 0.0 ? disc(radii.x + 1.0, d) : 0.0;
  if (radii.w > 0.5) {
    core = bar(away, radii.z / 18.0, 0.0);
    rim = bar(away, radii.z / 18.0, 1.0);
  }
  else if (radii.z > 0.0) {
    core = max(core, disc(radii.z, d) * (1.0 - disc(radii.y, d)));
    rim = max(rim, disc(radii.z + 1.0, d) * (1.0 - disc(radii.y - 1.0, d)));
  }
  float alpha = max(core, rim * edge.a);
  if (alpha <= 0.0) {
    discard;
  }
  vec3 inner = paint.a > 0.0 ? mix(paint.rgb, fill.rgb, disc(radii.x, d)) : fill.rgb;
  drawn = to_light(mix(edge.rgb, inner, core / alpha), alpha * fill.a);
}
"""
# A line from one place to another, as two triangles; both ends are known at each corner, so that
# what lies behind the eye can be cut off. Half as much as `wider` is the dark edge on each side.
_LINE_VERTEX = """
void main()
{
  vec4 here = seen * vec4(pos, 1.0);
  vec4 there = seen * vec4(other, 1.0);
  const float near = 1e-4;
  bool behind = here.w < near && there.w < near;
  if (here.w < near && !behind) {
    here = mix(there, here, (there.w - near) / (there.w - here.w));
  }
  else if (there.w < near && !behind) {
    there = mix(here, there, (here.w - near) / (here.w - there.w));
  }
  vec2 way = (there.xy / there.w - here.xy / here.w) * viewport;
  way = dot(way, way) > 1e-12 ? normalize(way) : vec2(1.0, 0.0);
  vec2 aside = vec2(-way.y, way.x) * side.x * side.y;
  float reach = (width + wider) * 0.5 + 1.0;
  here.xy += aside * reach * 2.0 / viewport * here.w;
  gl_Position = is_shown(frame) && is_shown(until) && !behind ? here : NOWHERE;
  across = vec2(side.x * reach, width * 0.5);
  fill = faded(paint.a > 0.0 ? paint : colour, max(frame, until));
}
"""
_LINE_FRAGMENT = """
void main()
{
  float core = clamp(across.y + 0.5 - abs(across.x), 0.0, 1.0);
  float rim = clamp(across.y + wider * 0.5 + 0.5 - abs(across.x), 0.0, 1.0);
  float alpha = max(core, wider > 0.0 ? rim * edge.a : 0.0);
  if (alpha <= 0.0) {
    discard;
  }
  drawn = to_light(mix(edge.rgb, fill.rgb, core / alpha), alpha * fill.a);
}
"""
# A picture of a text, so many pixels away from a place in the scene, on whole pixels.
_TEXT_VERTEX = """
void main()
{
  vec4 at = seen * vec4(pos, 1.0);
  bool ahead_of_eye = at.w > 0.0 && is_shown(frame);
  vec2 place = floor((at.xy / at.w + 1.0) * 0.5 * viewport + 0.5) + away;
  gl_Position = ahead_of_eye ? vec4(place / viewport * 2.0 - 1.0, 0.0, 1.0) : NOWHERE;
  texel = letter;
  fill = faded(colour, frame);
}
"""
_TEXT_FRAGMENT = """
float ink(ivec2 at)
{
  return texelFetch(letters, at, 0).a;
}

void main()
{
  ivec2 at = ivec2(floor(texel));
  float own = ink(at);
  float around = own;
  for (int x = -1; x <= 1; x++) {
    for (int y = -1; y <= 1; y++) {
      around = max(around, ink(at + ivec2(x, y)) * (x != 0 && y != 0 ? 0.6 : 0.95));
    }
  }
  if (around <= 0.0) {
    discard;
  }
  drawn = to_light(mix(edge.rgb, fill.rgb, own / around), around * fill.a);
}
"""
_MARK = ("pos VEC3", "corner VEC2", "colour VEC4", "shape VEC4", "frame FLOAT")
_LINE = (
    "pos VEC3",
    "other VEC3",
    "side VEC2",
    "colour VEC4",
    "width FLOAT",
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
def mark_shader() -> Program:
    """Dots, rings and bars: pos, corner, colour, shape, frame."""
    passed = ("away VEC2", "fill VEC4", "radii VEC4")
    return _made("mark", _MARK, passed, _MARK_VERTEX, _MARK_FRAGMENT)


@cache
def line_shader() -> Program:
    """Lines: pos, other, side, colour, width, frame, until."""
    return _made("line", _LINE, ("across VEC2", "fill VEC4"), _LINE_VERTEX, _LINE_FRAGMENT)


@cache
def text_shader() -> Program:
    """Texts of a picture of letters: pos, away, letter, colour, frame; sampler letters."""
    passed = ("texel VEC2", "fill VEC4")
    return _made("text", _TEXT, passed, _TEXT_VERTEX, _TEXT_FRAGMENT, sampler="letters")


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
    source = _VERTEX + vertex + _FRAGMENT + fragment
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
    info.vertex_source(_VERTEX + vertex)
    info.fragment_source(_FRAGMENT + fragment)
    return Program(name, gpu.shader.create_from_info(info), tuple(word for _kind, word in told))
