// Light in a workroom: a window, a lamp from the side that shows what an edge does, and the ceiling. The light stays
// with the eye, so turning the figure shows its shape. It is worked out for each corner: the grids are fine enough,
// and a machine without a graphics card is quick then.

export const VERTEX = `#version 300 es
precision highp float;
in vec3 place;
in vec3 normal;
uniform mat4 view;
uniform mat4 lens;
uniform float flip;
uniform vec3 tone;
uniform vec3 lamps; // strength of window, side lamp, fill
uniform float hem;  // skin below this height lies in the shadow of the skirt
out vec3 lit;
out float height;
float lamp(vec3 n, vec3 way, float wrap) { return max((dot(n, normalize(way)) + wrap) / (1.0 + wrap), 0.0); }
void main() {
  vec4 seen = view * vec4(place.x * flip, place.yz, 1.0);
  vec3 n = normalize(mat3(view) * vec3(normal.x * flip, normal.yz) + vec3(0.0, 0.0, 1e-6));
  if (dot(n, normalize(-seen.xyz)) < 0.0) n = -n;
  float light = 0.05 + 0.15 * (n.y + 1.0) / 2.0 + lamps.x * lamp(n, vec3(-0.62, 0.52, 0.60), 0.12)
    + lamps.y * lamp(n, vec3(0.97, 0.16, -0.04), 0.0) + lamps.z * lamp(n, vec3(0.25, 0.1, 1.0), 0.3);
  light *= 1.0 - 0.5 * exp(-max(hem - place.z, 0.0) / 30.0) * step(place.z, hem + 60.0);
  lit = pow(clamp(pow(tone, vec3(2.2)) * light * 1.25, 0.0, 1.0), vec3(1.0 / 2.2));
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
