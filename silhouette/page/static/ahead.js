// Draws ahead of the answer: while one control moves, the figures already answered for tell where the next one lies.
// Only the picture runs ahead; every number waits for the answer, and the answer's own figure takes its place.

import { ofRole } from "./grids.js";
import { MM } from "./lengths.js";
import { isTable, valueAt } from "./state.js";

const MOST = 40; // figures kept of one control's way
const ROLES = ["skin", "before", "after", "pad"];
const SHAPE = ["name", "rows", "columns", "mirror"]; // what two grids share that are built of the same points
const FAR = 1.5; // how far beyond two figures, in steps between them, a third is still drawn

/** Keeps exact figures, {grids, level}, of sheets that differ in one value; guesses those between and a little beyond. */
export function createAhead() {
  let newest = null; // what the answer before was to: {sheet, values, figure}
  let key = null; // of the control whose way is known
  let known = []; // [value, figure], the oldest first

  /** Takes a figure onto the way of the one control that leads to it from the newest; false when there is none. */
  function onTheWay(sheet, values, figure) {
    const [moved, ...more] = differing(newest.sheet, sheet);
    if (more.length || typeof values[moved] !== "number" || typeof newest.values[moved] !== "number") return false;
    if (moved !== key) [key, known] = [moved, [[newest.values[moved], newest.figure]]];
    known = [...known.filter(([at]) => at !== values[key]), [values[key], figure]].slice(-MOST);
    return true;
  }

  return {
    /** The figure of an answer; `values` says in mm what each key of its sheet came to. */
    keep(sheet, values, figure) {
      if (newest && differing(newest.sheet, sheet).length && !onTheWay(sheet, values, figure)) [key, known] = [null, []];
      newest = { sheet, values, figure };
    },
    /** The figure of a sheet that a control may soon come to. */
    learn(sheet, values, figure) {
      if (newest) onTheWay(sheet, values, figure);
    },
    /** Whether more than one figure on the way of a control is known already. */
    knows: (wanted) => key === wanted,
    /** Where the figure of a sheet lies by what is known, {grids, level}, or null. */
    guess(sheet) {
      if (!newest || known.length < 2) return null;
      const moved = differing(newest.sheet, sheet);
      if (moved.length !== 1 || moved[0] !== key) return null;
      const value = inMillimetres(valueAt(sheet, key));
      if (value === null) return null;
      const [[a, one], [b, other]] = twoAround(known, value);
      const share = Math.min(Math.max((value - a) / (b - a), -FAR), 1 + FAR);
      return {
        grids: ROLES.flatMap((role) => between(ofRole(one.grids, role), ofRole(other.grids, role), share)),
        level: one.level + share * (other.level - one.level),
      };
    },
  };
}

/** Dotted keys whose values differ between two sheets. */
function differing(one, other, lead = "") {
  return [...new Set([...Object.keys(one), ...Object.keys(other)])].flatMap((name) => {
    const [a, b] = [one[name], other[name]];
    if (isTable(a) || isTable(b)) return differing(isTable(a) ? a : {}, isTable(b) ? b : {}, `${lead}${name}.`);
    return JSON.stringify(a) === JSON.stringify(b) ? [] : [lead + name];
  });
}

/** A moved control's value as its answer will state it; null for whatever is not a plain number with its unit. */
function inMillimetres(value) {
  if (typeof value === "number") return value;
  const [, number, unit] = /^(-?\d+(?:\.\d+)?) (in|cm|mm)$/.exec(value ?? "") ?? [];
  return unit ? Number(number) * MM[unit] : null;
}

/** The two known figures that a value lies between, or the nearest two. */
function twoAround(known, value) {
  const below = known.filter(([at]) => at <= value).sort((p, q) => q[0] - p[0]);
  const above = known.filter(([at]) => at > value).sort((p, q) => p[0] - q[0]);
  if (!below.length) return [above[0], above[1]];
  if (!above.length) return [below[0], below[1]];
  return [below[0], above[0]];
}

/** Grids part of the way from one figure to another; those of the nearer where the two are built of other points. */
function between(some, others, share) {
  const alike = some.length === others.length && some.every((g, i) => SHAPE.every((part) => g[part] === others[i][part]));
  if (!alike) return share < 0.5 ? some : others;
  return some.map((grid, i) => (grid.points === others[i].points ? grid : { ...grid, points: mixed(grid.points, others[i].points, share) }));
}

function mixed(one, other, share) {
  const points = new Float32Array(one.length);
  for (let i = 0; i < points.length; i++) points[i] = one[i] + share * (other[i] - one[i]);
  return points;
}
