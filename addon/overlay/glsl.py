# SPDX-License-Identifier: GPL-3.0-or-later
"""What the graphics card does with our figures and texts, in its own language (GLSL)."""

# What is told besides the view: the dark edge, a paint with pixels for its alpha, the view's
# pixels, which frames, from which frame on what is ahead and how strong that is, how strong all is.
TOLD = """
#define edge told[0]
#define paint told[1]
#define viewport told[2].xy
#define span told[2].zw
#define future told[3].xy
#define strength told[3].z
"""
# Shared by all: which frames are shown, and how strong.
VERTEX = """
const vec4 NOWHERE = vec4(2.0, 2.0, 2.0, 1.0);

bool is_shown(float at)
{
  return at < -1.0e29 || (at >= span.x && at < span.y);
}

vec4 faded(vec4 own, float at)
{
  return vec4(own.rgb, own.a * strength * (at > future.x ? future.y : 1.0));
}
"""
# The screen takes light, and colours are told as sRGB (IEC 61966-2-1).
FRAGMENT = """
vec4 to_light(vec3 colour, float alpha)
{
  vec3 dark = colour / 12.92;
  vec3 bright = pow((colour + 0.055) / 1.055, vec3(2.4));
  return vec4(mix(bright, dark, lessThanEqual(colour, vec3(0.04045))), alpha);
}
"""
# A mark is a square around a point; `shape` in pixels: the radius of its core, where a ring begins
# and ends, and 1 for a bar with its ends turned down above the point instead of them. Where the
# paint's alpha is more than 0, it grows by so many pixels and has a ring of the paint. A line goes
# from one place to another, as two triangles; both ends are known at each corner, so that what lies
# behind the eye can be cut off. `shape` is its width, and 2; half of the paint's alpha, below 0 as
# well, is its dark edge on each side. With a quarter added to the last number it is not painted.
FIGURE_VERTEX = """
const float LINE = 2.0;

bool is_drawn(float at)
{
  return is_shown(at) && (paint.a <= 0.0 || (fract(shape.w) < 0.1 && at > -1.0e29));
}

void mark()
{
  vec4 at = seen * vec4(pos, 1.0);
  vec3 sizes = shape.xyz;
  if (paint.a > 0.0) {
    sizes.x += paint.a;
    sizes.yz = sizes.xx * vec2(1.0, 1.32);
  }
  float reach = max(sizes.x, sizes.z) + 2.0;
  at.xy += corner * reach * 2.0 / viewport * at.w;
  gl_Position = is_drawn(frame) && at.w > 0.0 ? at : NOWHERE;
  away = corner * reach;
  fill = faded(colour, frame);
  radii = vec4(sizes, shape.w);
}

void line()
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
  vec2 aside = vec2(-way.y, way.x) * corner.x * corner.y;
  float reach = (shape.x + abs(paint.a)) * 0.5 + 1.0;
  here.xy += aside * reach * 2.0 / viewport * here.w;
  gl_Position = is_drawn(frame) && is_drawn(until) && !behind ? here : NOWHERE;
  away = vec2(corner.x * reach, 0.0);
  radii = vec4(shape.x * 0.5, 0.0, 0.0, LINE);
  fill = faded(paint.a > 0.0 ? vec4(paint.rgb, colour.a) : colour, max(frame, until));
}

void main()
{
  if (shape.w > 1.5) {
    line();
  }
  else {
    mark();
  }
}
"""
FIGURE_FRAGMENT = """
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

void mark()
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

void line()
{
  float core = clamp(radii.x + 0.5 - abs(away.x), 0.0, 1.0);
  float rim = clamp(radii.x + abs(paint.a) * 0.5 + 0.5 - abs(away.x), 0.0, 1.0);
  float alpha = max(core, paint.a != 0.0 ? rim * edge.a : 0.0);
  if (alpha <= 0.0) {
    discard;
  }
  drawn = to_light(mix(edge.rgb, fill.rgb, core / alpha), alpha * fill.a);
}

void main()
{
  if (radii.w > 1.5) {
    line();
  }
  else {
    mark();
  }
}
"""
# A picture of a text, so many pixels away from a place in the scene, on whole pixels.
TEXT_VERTEX = """
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
TEXT_FRAGMENT = """
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
