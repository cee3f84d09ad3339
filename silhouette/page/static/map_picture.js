// Draws the map of two choices: a tile for every pair in the tone of its verdict, lines where the hip is the same.

import { draw } from "./make.js";

const EDGE = { left: 46, right: 8, top: 8, foot: 40 };
const STEPS = { in: [3.175, 6.35, 12.7, 25.4, 50.8, 101.6], cm: [5, 10, 20, 50, 100] };
const MOST_LINES = 7;

/** The values of a choice that are written beside the map. */
export const TICKS = [0, 3, 6, 9, 12];

/** Where the pairs lie in a picture of this size; row 0 is the lowest. */
export function mapFrame(width, height, count) {
  const wide = (width - EDGE.left - EDGE.right) / count;
  const high = (height - EDGE.top - EDGE.foot) / count;
  return {
    width, height, count, wide, high,
    x: (column) => EDGE.left + (column + 0.5) * wide,
    y: (row) => height - EDGE.foot - (row + 0.5) * high,
    pairAt(x, y) {
      const column = Math.floor((x - EDGE.left) / wide);
      const row = Math.floor((height - EDGE.foot - y) / high);
      return column >= 0 && column < count && row >= 0 && row < count ? [row, column] : null;
    },
  };
}

/** Round girths between the least and the most, a few of them. */
export function hipsAcross(hips, unit) {
  const known = hips.flat().filter((mm) => mm !== null);
  if (!known.length) return [];
  const [least, most] = [Math.min(...known), Math.max(...known)];
  const step = STEPS[unit].find((size) => (most - least) / size <= MOST_LINES) ?? STEPS[unit].at(-1);
  const levels = [];
  for (let at = Math.ceil(least / step) * step; at < most; at += step) levels.push(at);
  return levels;
}

/** `names` and `ticks` of both axes, `hips` to draw lines at, `wish` in mm or null, `now`: where the sheet stands. */
export function mapPicture(tried, f, { names, ticks, hips, wish, hip, now }) {
  const svg = draw("svg", { viewBox: `0 0 ${f.width} ${f.height}`, width: f.width, height: f.height, class: "drawing", "aria-hidden": "true" });
  tried.look.forEach((row, r) => row.forEach((look, c) => svg.append(draw("rect", {
    class: `tile ${look === null ? "none" : look <= 0 ? "fine" : look <= 1 ? "watch" : "obvious"}`,
    x: f.x(c) - f.wide / 2, y: f.y(r) - f.high / 2, width: f.wide + 0.4, height: f.high + 0.4,
  }))));
  svg.append(draw("path", { class: "border", d: borders(tried.look, f) }));
  for (const mm of hips) svg.append(draw("path", { class: "same-hip", d: path(tried.hip, mm, f) }));
  hips.forEach((mm, i) => {
    const spot = spotOn(tried.hip, mm, f, [0.7, 0.85, 0.55][i % 3]);
    if (spot) svg.append(text(spot[0], spot[1] + 4, hip(mm), "hip-words", "middle"));
  });
  if (wish !== null) svg.append(draw("path", { class: "wished", d: path(tried.hip, wish, f) }));
  ticks[0].forEach((words, i) => svg.append(text(f.x(TICKS[i]), f.height - EDGE.foot + 15, words, "caption", "middle")));
  ticks[1].forEach((words, i) => svg.append(text(EDGE.left - 6, f.y(TICKS[i]) + 4, words, "caption", "end")));
  svg.append(text(EDGE.left, f.height - 6, `${names[0]} →`, "caption strong", "start"), text(f.width - EDGE.right, f.height - 6, `↑ ${names[1]}`, "caption strong", "end"));
  if (now.every((place) => place > -0.5 && place < f.count - 0.5)) svg.append(draw("circle", { class: "now", cx: f.x(now[0]), cy: f.y(now[1]), r: 6 }));
  svg.append(draw("rect", { class: "pointer", width: f.wide, height: f.high, visibility: "hidden" }));
  return svg;
}

/** Puts the frame round the pair that is pointed at. */
export function mark(holder, f, pair) {
  const pointer = holder.querySelector(".pointer");
  if (!pointer) return;
  pointer.setAttribute("visibility", pair ? "visible" : "hidden");
  if (!pair) return;
  pointer.setAttribute("x", f.x(pair[1]) - f.wide / 2);
  pointer.setAttribute("y", f.y(pair[0]) - f.high / 2);
}

/** Pieces of the line on which a grid has a value: linear between neighbours, one cell of four pairs at a time. */
function pieces(grid, value, f) {
  const found = [];
  for (let r = 0; r + 1 < grid.length; r++) {
    for (let c = 0; c + 1 < grid.length; c++) {
      const corners = [[r, c], [r, c + 1], [r + 1, c + 1], [r + 1, c]];
      if (corners.some(([i, j]) => grid[i][j] === null)) continue;
      const ends = [];
      corners.forEach(([i, j], k) => {
        const [m, n] = corners[(k + 1) % 4];
        const [a, b] = [grid[i][j] - value, grid[m][n] - value];
        if (a < 0 === b < 0) return;
        const share = a / (a - b);
        ends.push([f.x(j + (n - j) * share), f.y(i + (m - i) * share)]);
      });
      for (let k = 0; k + 1 < ends.length; k += 2) found.push([ends[k], ends[k + 1]]);
    }
  }
  return found;
}

function path(grid, value, f) {
  return pieces(grid, value, f).map(([a, b]) => `M${a.map((n) => n.toFixed(1)).join(" ")}L${b.map((n) => n.toFixed(1)).join(" ")}`).join("");
}

/** A place for the number of a line: on it, near some share of the way up. */
function spotOn(grid, value, f, share) {
  const goal = f.y(share * (f.count - 1));
  let best = null;
  for (const [[x, y]] of pieces(grid, value, f)) {
    const far = Math.abs(y - goal);
    if (x > EDGE.left + 18 && x < f.width - EDGE.right - 18 && (best === null || far < best.far)) best = { far, at: [x, y] };
  }
  return best?.at ?? null;
}

/** Between tiles of unlike verdicts. */
function borders(look, f) {
  const kind = (value) => (value === null ? 3 : value <= 0 ? 0 : value <= 1 ? 1 : 2);
  const lines = [];
  look.forEach((row, r) => row.forEach((value, c) => {
    const [x, y] = [f.x(c) + f.wide / 2, f.y(r) - f.high / 2];
    if (c + 1 < row.length && kind(value) !== kind(row[c + 1])) lines.push(`M${x.toFixed(1)} ${y.toFixed(1)}v${f.high.toFixed(1)}`);
    if (r + 1 < look.length && kind(value) !== kind(look[r + 1][c])) lines.push(`M${x.toFixed(1)} ${y.toFixed(1)}h${(-f.wide).toFixed(1)}`);
  }));
  return lines.join("");
}

function text(x, y, words, kind, anchor) {
  return draw("text", { x, y, class: kind, "text-anchor": anchor }, words);
}
