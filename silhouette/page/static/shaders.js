// Soft studio light on cloth-like surfaces. The light stays with the eye, so turning the figure shows its shape.
// It is worked out for each corner: the grids are fine enough, and a machine without a graphics card is quick then.

export const VERTEX = `#version 300 es
precision highp float;
in vec3 place;
in vec3 normal;
uniform mat4 view;
uniform mat4 lens;
uniform float flip;
uniform vec4 tone;
uniform vec3 shade;
out vec3 lit;
out float height;
void main() {
  vec4 seen = view * vec4(place.x * flip, place.yz, 1.0);
  vec3 n = normalize(mat3(view) * vec3(normal.x * flip, normal.yz) + vec3(0.0, 0.0, 1e-6));
  vec3 eye = normalize(-seen.xyz);
  if (dot(n, eye) < 0.0) n = -n;
  float key = max(dot(n, vec3(-0.50, 0.42, 0.757)), 0.0);
  float fill = max(dot(n, vec3(0.85, 0.05, 0.52)), 0.0);
  float sky = 0.5 + 0.5 * n.y;
  float rim = pow(1.0 - max(dot(n, eye), 0.0), 3.0);
  float light = 0.16 + 0.20 * sky + 0.58 * key + 0.16 * fill;
  lit = mix(shade, tone.rgb, clamp(light, 0.0, 1.0)) + rim * 0.10;
  height = place.z;
  gl_Position = lens * seen;
}`;

export const FRAGMENT = `#version 300 es
precision highp float;
in vec3 lit;
in float height;
uniform vec4 tone;
uniform vec2 ribbon; // where the tape runs, and half its width
uniform vec3 ribbonTone;
out vec4 colour;
void main() {
  float line = clamp(1.5 - abs(height - ribbon.x) / ribbon.y, 0.0, 1.0);
  colour = vec4(mix(lit, ribbonTone, line) * tone.a, tone.a);
}`;
