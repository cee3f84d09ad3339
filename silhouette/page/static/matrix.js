// The little matrix arithmetic that a turning figure needs; column-major, as WebGL takes it.

/** Where a point of the figure stands for the eye: turned about the plumb line, then tilted, then moved away. */
export function viewMatrix(turn, tilt, middle, distance) {
  const [ct, st, cv, sv] = [Math.cos(turn), Math.sin(turn), Math.cos(tilt), Math.sin(tilt)];
  // rows of the rotation: to the eye's right, up, and towards the eye
  const right = [ct, st, 0];
  const toward = [-st * cv, ct * cv, sv];
  const up = [st * sv, -ct * sv, cv];
  const dot = (a) => -(a[0] * middle[0] + a[1] * middle[1] + a[2] * middle[2]);
  return new Float32Array([
    right[0], up[0], toward[0], 0,
    right[1], up[1], toward[1], 0,
    right[2], up[2], toward[2], 0,
    dot(right), dot(up), dot(toward) - distance, 1,
  ]);
}

/** A perspective that shows `half` mm above and below the middle at `distance`. */
export function lensMatrix(half, distance, aspect) {
  const f = distance / half;
  const [near, far] = [distance * 0.4, distance * 1.8];
  return new Float32Array([
    f / aspect, 0, 0, 0,
    0, f, 0, 0,
    0, 0, (far + near) / (near - far), -1,
    0, 0, (2 * far * near) / (near - far), 0,
  ]);
}
