// Soft studio light on cloth-like surfaces. The light stays with the eye, so turning the figure shows its shape.

export const VERTEX = `#version 300 es
precision highp float;
in vec3 place;
in vec3 normal;
uniform mat4 view;
uniform mat4 lens;
uniform float flip;
out vec3 facing;
out vec3 toEye;
out float height;
void main() {
  vec4 seen = view * vec4(place.x * flip, place.yz, 1.0);
  facing = mat3(view) * vec3(normal.x * flip, normal.yz);
  toEye = -seen.xyz;
  height = place.z;
  gl_Position = lens * seen;
}`;

export const FRAGMENT = `#version 300 es
precision mediump float;
in vec3 facing;
in vec3 toEye;
in highp float height;
uniform vec4 tone;
uniform vec3 shade;
uniform highp vec2 ribbon;
uniform vec3 ribbonTone;
out vec4 colour;
void main() {
  vec3 eye = normalize(toEye);
  vec3 n = normalize(facing);
  if (dot(n, eye) < 0.0) n = -n;
  float key = max(dot(n, vec3(-0.50, 0.42, 0.757)), 0.0);
  float fill = max(dot(n, vec3(0.85, 0.05, 0.52)), 0.0);
  float sky = 0.5 + 0.5 * n.y;
  float rim = pow(1.0 - max(dot(n, eye), 0.0), 3.0);
  float light = 0.16 + 0.20 * sky + 0.58 * key + 0.16 * fill;
  vec3 c = mix(shade, tone.rgb, clamp(light, 0.0, 1.0)) + rim * 0.10;
  float width = max(fwidth(height), 0.01);
  float line = max(1.0 - abs(height - ribbon.x) / (1.1 + width), 0.0) * ribbon.y;
  c = mix(c, ribbonTone, clamp(line * 1.6, 0.0, 1.0));
  colour = vec4(c * tone.a, tone.a);
}`;
