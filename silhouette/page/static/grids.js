// From grids of points to surfaces with soft normals. The triangles of a grid follow from its two sizes.

/** Those of some grids that are of one role. */
export function ofRole(grids, role) {
  return grids.filter((grid) => grid.role === role);
}

/** Points of one described grid as millimetres; written is only what its neighbours above and before do not say. */
export function pointsOf({ rows, columns, start, step }, block) {
  const wide = columns * 3;
  const whole = new Int16Array(rows * wide); // goes round where the writer did
  const points = new Float32Array(rows * wide);
  for (let r = 0, i = 0; r < rows; r++) {
    let [x, y, z] = [0, 0, 0];
    for (let c = 0; c < columns; c++, i += 3) {
      x += block[start + i];
      y += block[start + i + 1];
      z += block[start + i + 2];
      whole[i] = x + (r ? whole[i - wide] : 0);
      whole[i + 1] = y + (r ? whole[i + 1 - wide] : 0);
      whole[i + 2] = z + (r ? whole[i + 2 - wide] : 0);
      points[i] = whole[i] * step;
      points[i + 1] = whole[i + 1] * step;
      points[i + 2] = whole[i + 2] * step;
    }
  }
  return points;
}

const laid = new Map();

/** Triangles of a grid, or of every second row and column of it while things move. */
function trianglesOf(rows, columns, stride = 1) {
  const key = `${rows}/${columns}/${stride}`;
  if (!laid.has(key)) {
    const [down, across] = [(rows - 1) % stride ? 1 : stride, (columns - 1) % stride ? 1 : stride];
    const list = [];
    for (let r = 0; r + down < rows; r += down) {
      for (let c = 0; c + across < columns; c += across) {
        const a = r * columns + c;
        const b = a + down * columns;
        list.push(a, b, b + across, a, b + across, a + across);
      }
    }
    laid.set(key, Uint32Array.from(list));
  }
  return laid.get(key);
}

export const NOTHING = { points: new Float32Array(0), normals: new Float32Array(0), triangles: new Uint32Array(0), coarse: new Uint32Array(0) };

/** Several grids as one surface; `twins` are pairs of corners at one place that share a normal. */
export function joined(parts, twins = []) {
  const size = parts.reduce((n, p) => n + p.points.length, 0);
  const points = new Float32Array(size);
  const normals = new Float32Array(size);
  const lists = [];
  const coarse = [];
  let first = 0;
  for (const part of parts) {
    points.set(part.points, first * 3);
    const list = trianglesOf(part.rows, part.columns);
    addNormals(points, normals, list, first);
    lists.push([list, first]);
    coarse.push([trianglesOf(part.rows, part.columns, 2), first]);
    first += part.points.length / 3;
  }
  for (const [i, j] of twins) {
    // the two faces may be wound opposite ways: add them the way they agree
    const agree = Math.sign(normals[3 * i] * normals[3 * j] + normals[3 * i + 1] * normals[3 * j + 1] +
      normals[3 * i + 2] * normals[3 * j + 2]) || 1;
    for (let k = 0; k < 3; k++) {
      const sum = normals[3 * i + k] + agree * normals[3 * j + k];
      normals[3 * i + k] = sum;
      normals[3 * j + k] = agree * sum;
    }
  }
  return { points, normals, triangles: counted(lists), coarse: counted(coarse) };
}

function counted(lists) {
  const triangles = new Uint32Array(lists.reduce((n, [list]) => n + list.length, 0));
  let at = 0;
  for (const [list, from] of lists) for (let k = 0; k < list.length; k++) triangles[at++] = list[k] + from;
  return triangles;
}

function addNormals(points, normals, list, first) {
  const p = points;
  for (let k = 0; k < list.length; k += 3) {
    const [a, b, c] = [3 * (list[k] + first), 3 * (list[k + 1] + first), 3 * (list[k + 2] + first)];
    const ux = p[b] - p[a], uy = p[b + 1] - p[a + 1], uz = p[b + 2] - p[a + 2];
    const vx = p[c] - p[a], vy = p[c + 1] - p[a + 1], vz = p[c + 2] - p[a + 2];
    const nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx;
    for (const i of [a, b, c]) {
      normals[i] += nx;
      normals[i + 1] += ny;
      normals[i + 2] += nz;
    }
  }
}

/**
 * The same surface with its normals evened out between neighbours, `times` along each row and once down: the corners of
 * the net that cloth is worked out on are no creases.
 */
export function evened(surface, parts, times) {
  const { normals } = surface;
  for (let i = 0; i < normals.length; i += 3) {
    const long = Math.hypot(normals[i], normals[i + 1], normals[i + 2]) || 1;
    for (let k = 0; k < 3; k++) normals[i + k] /= long;
  }
  let first = 0;
  for (const { rows, columns } of parts) {
    for (let r = 0; r < rows; r++) for (let n = 0; n < times; n++) evenOut(normals, first + 3 * r * columns, columns, 3);
    for (let c = 0; c < columns; c++) evenOut(normals, first + 3 * c, rows, 3 * columns);
    first += 3 * rows * columns;
  }
  return surface;
}

/** Of `count` normals, each a `step` after the one before: a quarter of either neighbour and half of its own. */
function evenOut(normals, start, count, step) {
  for (let k = start; k < start + 3; k++) {
    let before = normals[k];
    for (let n = 0, i = k; n < count; n++, i += step) {
      const own = normals[i];
      normals[i] = (before + 2 * own + (n < count - 1 ? normals[i + step] : own)) / 4;
      before = own;
    }
  }
}

/** A mirrored half meets its image in the mid-plane: it runs square to it there. */
export function squareToMiddle(surface) {
  for (let i = 0; i < surface.points.length; i += 3) if (Math.abs(surface.points[i]) < 0.05) surface.normals[i] = 0;
  return surface;
}

/** Torso and legs. A leg is a closed loop, so its first and last column are one. */
export function skinSurface(grids) {
  const twins = [];
  let first = 0;
  for (const grid of grids) {
    if (grid.name.endsWith("leg")) for (let r = 0; r < grid.rows; r++) twins.push([first + r * grid.columns, first + (r + 1) * grid.columns - 1]);
    first += grid.points.length / 3;
  }
  return squareToMiddle(joined(grids, twins));
}

/** Pads: fronts and backs sewn at the side seam. */
export function padSurface(grids) {
  if (!grids.length) return NOTHING;
  const starts = [];
  let first = 0;
  for (const grid of grids) {
    starts.push(first);
    first += grid.points.length / 3;
  }
  const twins = [];
  grids.forEach((grid, i) => {
    const mate = grids.findIndex((other, j) => j > i && other.name === grid.name.replace("front", "back"));
    if (mate < 0 || grid.name.endsWith("edge") || grid.name.endsWith("seam")) return;
    // the seam: the first column, and from there along the first and last row out to the tips
    const other = grids[mate];
    if (other.rows !== grid.rows || other.columns !== grid.columns) return;
    const seam = [];
    for (let r = 0; r < grid.rows; r++) seam.push(r * grid.columns);
    for (let c = 1; c < grid.columns; c++) seam.push(c, (grid.rows - 1) * grid.columns + c);
    for (const at of seam) {
      const apart = [0, 1, 2].reduce((sum, k) => sum + Math.abs(grid.points[3 * at + k] - other.points[3 * at + k]), 0);
      if (apart < 0.5) twins.push([starts[i] + at, starts[mate] + at]);
    }
  });
  return joined(grids, twins);
}
