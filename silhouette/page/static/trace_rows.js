// The traced levels: as they stand on the page, and as text in the sheet.

import { stepText } from "./lengths.js";
import { setValue } from "./state.js";
import { offeredDrops, reachesAt } from "./trace_geometry.js";

export const VIEWS = { front: ["left", "right"], side: ["front", "back"] };
const NAMES = [...VIEWS.front, ...VIEWS.side];
export const STEP = { in: 0.508, cm: 0.5, mm: 1 }; // mm: 0.02 in, 0.05 cm, 1 mm
export const REACH = { left: [30, 500], right: [30, 500], front: [-250, 500], back: [-250, 500] };
const MOST = 40; // levels of an outline on a sheet
const ROOM = 24; // mm between two levels that have room for one more
export const NEW = { by: { front: "hip", side: "hip" }, way: 1, distance: 3000, apart: null, aside: [], front: null, side: null };

/** `settings()` is how the photographs lie; kept with the work, so that undo covers it, and in no file. */
export function createRows(state, settings) {
  let numbers = null;
  let rows = null; // mm; null: nothing is traced yet

  const set = (change) => (work) => (work.trace = { ...NEW, ...work.trace, ...change });
  const isApart = () => settings().apart ?? Boolean(rows?.some((row) => row.left !== row.right));

  /** How far the model stands before the plumb line of the traced levels. */
  function plumb() {
    const first = rows?.find((row) => row.front !== null);
    if (!first) return 0;
    const own = reachesAt(numbers, first.drop);
    return (first.front - first.back - own.front + own.back) / 2;
  }

  /** Every level with all its reaches: traced ones, and the model's where nothing is traced yet. */
  function standing() {
    const untraced = (drop) => ({ drop, left: null, right: null, front: null, back: null });
    return (rows ?? offeredDrops(numbers.values).map(untraced)).map((row, i) => {
      const model = reachesAt(numbers, row.drop);
      const found = { drop: row.drop };
      for (const name of NAMES) found[name] = row[name] ?? model[name];
      if (row.left !== null && !isApart()) {
        const [half, aside] = [(row.left + row.right) / 2, settings().aside[i] ?? 0];
        [found.left, found.right] = [half + aside, half - aside];
      }
      return found;
    });
  }

  /** Puts rows into the sheet as text, and keeps them here. Sides alike are one breadth, wherever its middle lies. */
  function write(work, next, apart = isApart()) {
    const unit = work.sheet.unit in STEP ? work.sheet.unit : state.desk.show;
    const step = STEP[unit];
    const rounded = (mm) => Math.round(mm / step) * step;
    const text = (mm) => stepText(Math.round(mm / step), step, unit);
    const aside = [];
    rows = next.map((row, i) => {
      const kept = { drop: row.drop };
      for (const name of NAMES) kept[name] = row[name] === null ? null : rounded(row[name]);
      if (row.left !== null && !apart) {
        aside[i] = (row.left - row.right) / 2;
        kept.left = kept.right = rounded(row.left + row.right) / 2;
      }
      return kept;
    });
    set({ aside })(work);
    setValue(work.sheet, "body.outline", next.map((row) => {
      const table = { drop: `${row.drop} mm` };
      if (row.left !== null && !apart) table.breadth = text(row.left + row.right);
      for (const name of apart ? NAMES : VIEWS.side) if (row[name] !== null) table[name] = text(row[name]);
      return table;
    }));
  }

  return {
    set, isApart, plumb, standing,
    get traced() { return rows !== null; },
    get full() { return rows !== null && (rows.length * 2 > MOST || rows.slice(1).every((row, i) => row.drop - rows[i].drop < ROOM)); },
    /** The newest answer; with `keep` the rows here are newer. */
    show(answer, keep) {
      numbers = answer;
      if (!keep) rows = answer.outline;
    },
    forget: () => (rows = null),
    leaveOut: () => state.step((work) => {
      setValue(work.sheet, "body.outline", null);
      set({ aside: [] })(work);
    }),
    setApart(apart) {
      const now = rows && standing();
      state.step((work) => {
        set({ apart, aside: [] })(work);
        if (rows?.some((row) => row.left !== null)) write(work, rows.map((row, i) => ({ ...row, left: now[i].left, right: now[i].right })), apart);
      });
    },
    /** One reach, mm; the first of a view puts the model's own for all others. */
    put(view, i, name, mm) {
      const next = standing();
      next[i][name] = Math.min(REACH[name][1], Math.max(REACH[name][0], mm));
      const other = VIEWS[view === "front" ? "side" : "front"];
      state.move((work) => write(work, next.map((row, j) => ({ ...row, ...Object.fromEntries(other.map((n) => [n, rows?.[j][n] ?? null])) }))));
    },
    /** Half-way between all levels one more, where the figure now runs. */
    between() {
      const now = standing().map((row, i) => ({ ...row, ...Object.fromEntries(NAMES.filter((n) => rows[i][n] === null).map((n) => [n, null])) }));
      const extra = now.slice(1).flatMap((row, i) => {
        if (row.drop - now[i].drop < ROOM) return [];
        const drop = Math.round(row.drop + now[i].drop) / 2;
        const own = reachesAt(numbers, drop);
        const found = { drop, left: own.left, right: own.right, front: own.front + plumb(), back: own.back - plumb() };
        for (const name of NAMES) if (row[name] === null) found[name] = null;
        return found;
      });
      state.step((work) => write(work, [...now, ...extra].sort((a, b) => a.drop - b.drop)));
    },
  };
}
