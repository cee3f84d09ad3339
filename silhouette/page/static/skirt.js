// What makes cloth read as a skirt: a waistband above the waist seam, side seams, a zip and the seam below it, a hem.

import { evened, joined, squareToMiddle } from "./grids.js";

const BAND = 32; // mm
const ZIP = 200;
const SEAM = 1;
const EVEN = 3; // times that normals are evened out along a level
const HEM = 26; // mm above the edge, where it is caught

/** From the halves of a dressed figure (or one mirrored half): {cloth, band, seams, zip, low}. */
export function skirtOf(halves) {
  const ways = halves.map(outward);
  const twins = [];
  if (halves.length > 1) {
    const [one, other] = halves;
    const first = one.points.length / 3;
    for (let r = 0; r < one.rows; r++) {
      twins.push([r * one.columns, first + r * other.columns], [(r + 1) * one.columns - 1, first + (r + 1) * other.columns - 1]);
    }
  }
  const cloth = squareToMiddle(evened(joined(halves, twins), halves, EVEN));
  const last = halves[0].rows - 1;
  return {
    cloth,
    band: squareToMiddle(joined(halves.map((half, i) => band(half, ways[i])))),
    seams: joined(halves.flatMap((half, i) => [
      thread(half, ways[i], (half.columns - 1) / 2, 0, last), thread(half, ways[i], half.columns - 1, rowAt(half, ZIP), last),
      round(half, ways[i], rowAt(half, dropAt(half, last) - HEM)),
    ])),
    zip: joined(halves.map((half, i) => thread(half, ways[i], half.columns - 1, 0, rowAt(half, ZIP), 1.7))),
    low: half(halves[0], last)[2],
  };
}

function half(grid, row, column = 0) {
  const at = 3 * (row * grid.columns + column);
  return grid.points.slice(at, at + 3);
}

function dropAt(grid, row) {
  return -half(grid, row)[2];
}

function rowAt(grid, drop) {
  let row = 0;
  while (row < grid.rows - 1 && dropAt(grid, row) < drop) row++;
  return row;
}

/** Horizontal ways out (rows × columns × 2), square to the loops. */
function outward(grid) {
  const { rows, columns, points } = grid;
  const ways = new Float32Array(rows * columns * 2);
  for (let r = 0; r < rows; r++) {
    const middle = (points[3 * r * columns + 1] + points[3 * ((r + 1) * columns - 1) + 1]) / 2;
    for (let c = 0; c < columns; c++) {
      const at = r * columns + c;
      const [a, b] = [3 * (r * columns + Math.max(c - 1, 0)), 3 * (r * columns + Math.min(c + 1, columns - 1))];
      let [x, y] = [-(points[b + 1] - points[a + 1]), points[b] - points[a]];
      if (c === 0 || c === columns - 1) x = 0; // the loop crosses the mid-plane square to it
      const long = Math.hypot(x, y) || 1;
      const turned = x * points[3 * at] + y * (points[3 * at + 1] - middle) < 0 ? -1 : 1;
      ways[2 * at] = (turned * x) / long;
      ways[2 * at + 1] = (turned * y) / long;
    }
  }
  return ways;
}

function band(grid, ways) {
  const rows = [[-2.5, BAND], [1, BAND + 0.8], [2, BAND], [2, 0], [0, -1]];
  const points = new Float32Array(rows.length * grid.columns * 3);
  rows.forEach(([out, up], r) => {
    for (let c = 0; c < grid.columns; c++) {
      const at = 3 * (r * grid.columns + c);
      points[at] = grid.points[3 * c] + out * ways[2 * c];
      points[at + 1] = grid.points[3 * c + 1] + out * ways[2 * c + 1];
      points[at + 2] = grid.points[3 * c + 2] + up;
    }
  });
  return { points, rows: rows.length, columns: grid.columns };
}

/** A narrow strip down a thread, a little off the cloth. */
function thread(grid, ways, column, from, to, wide = SEAM) {
  const rows = to - from + 1;
  const points = new Float32Array(rows * 2 * 3);
  for (let r = 0; r < rows; r++) {
    const at = (from + r) * grid.columns + column;
    const [x, y] = [ways[2 * at], ways[2 * at + 1]];
    [-1, 1].forEach((side, k) => {
      const p = 3 * (2 * r + k);
      points[p] = grid.points[3 * at] + 0.9 * x - side * wide * y;
      points[p + 1] = grid.points[3 * at + 1] + 0.9 * y + side * wide * x;
      points[p + 2] = grid.points[3 * at + 2];
    });
  }
  return { points, rows, columns: 2 };
}

/** A narrow strip round a level. */
function round(grid, ways, row) {
  const points = new Float32Array(2 * grid.columns * 3);
  [0.5, -0.5].forEach((up, k) => {
    for (let c = 0; c < grid.columns; c++) {
      const [at, p] = [row * grid.columns + c, 3 * (k * grid.columns + c)];
      points[p] = grid.points[3 * at] + 0.7 * ways[2 * at];
      points[p + 1] = grid.points[3 * at + 1] + 0.7 * ways[2 * at + 1];
      points[p + 2] = grid.points[3 * at + 2] + up;
    }
  });
  return { points, rows: 2, columns: grid.columns };
}
