// Light in a workroom: a window, a lamp from the side that shows what an edge does, and the ceiling. The light stays
// with the eye, so turning the figure shows its shape. It is worked out for each corner: the grids are fine enough,
// and a machine without a graphics card is quick then. A square root stands in for the screen's own curve.

export const VERTEX = `#version 300 es
precision highp float;
in vec3 place;
in vec3 normal;
uniform mat4 view;
uniform mat4 lens;
uniform float flip;
uniform vec3 tone;  // as light, not as the screen writes it
uniform vec3 lamps; // strength of window, side lamp, fill
uniform float hem;  // skin below this height lies in the shadow of the skirt
out vec3 lit;
out float height;
const vec3 WINDOW = vec3(-0.6216, 0.5213, 0.6015);
const vec3 SIDE = vec3(0.9858, 0.1626, -0.0407);
const vec3 FILL = vec3(0.2414, 0.0966, 0.9656);
void main() {
  vec4 seen = view * vec4(place.x * flip, place.yz, 1.0);
  vec3 n = normalize(mat3(view) * vec3(normal.x * flip, normal.yz) + vec3(0.0, 0.0, 1e-6));
  if (dot(n, seen.xyz) > 0.0) n = -n;
  vec3 lamp = max((vec3(dot(n, WINDOW), dot(n, SIDE), dot(n, FILL)) + vec3(0.12, 0.0, 0.3)) / vec3(1.12, 1.0, 1.3), 0.0);
  float light = 0.125 + 0.075 * n.y + dot(lamps, lamp);
  float under = hem - place.z;
  if (under > -60.0) light *= 1.0 - 0.5 * exp(-max(under, 0.0) / 30.0);
  lit = sqrt(min(tone * (light * 1.25), 1.0));
  height = place.z;
  gl_Position = lens * seen;
}`;

export const FRAGMENT = `#version 300 es
precision highp float;
in vec3 lit;
in float height;
uniform float alpha;
uniform vec2 covered; // heights between which the cloth hides the skin
uniform vec2 ribbon;  // where the tape runs, and half its width
uniform vec3 ribbonTone;
out vec4 colour;
void main() {
  if (height > covered.x && height < covered.y) discard;
  float line = clamp(1.5 - abs(height - ribbon.x) / ribbon.y, 0.0, 1.0);
  colour = vec4(mix(lit, ribbonTone, line) * alpha, alpha);
}`;
