// The silhouettes to scale: front and side, level lines running through both, numbered places on them.

import { tapeText } from "./lengths.js";
import { draw } from "./make.js";

const SIDES = [
  { name: "front", title: "from the front" },
  { name: "side", title: "from the side" },
];

/** Strokes that stay apart in print and for colour-blind eyes: pattern and weight differ, not the tone alone. */
export const STROKES = [
  { dash: "", width: 2.2, word: "solid" },
  { dash: "9 5", width: 2.2, word: "dashed" },
  { dash: "1.5 5", width: 2.6, word: "dotted" },
  { dash: "14 4 2 4", width: 1.8, word: "dash and dot" },
];

/** Scale and places for a drawing `width` × `height` px of figures down to `bottom` mm. */
export function frameOf(numbers, whole, height, margin = 0) {
  const width = whole - margin;
  const drops = numbers.silhouette.drop_mm;
  const bottom = drops[drops.length - 1];
  const least = width < 520 ? 108 : Math.min(190, width * 0.24); // px between the two views, for the words
  const extents = SIDES.map(({ name }) => {
    const rows = [...numbers.silhouette[name].before, ...numbers.silhouette[name].after];
    return [Math.min(...rows.map((r) => r[0])), Math.max(...rows.map((r) => r[1]))];
  });
  const spans = extents.map(([low, high]) => Math.max(high - low, 320) + 70);
  const top = 26;
  const foot = 32;
  const scale = Math.min((height - top - foot) / bottom, (width - least) / (spans[0] + spans[1]));
  const gutter = Math.min(Math.max(least, width - (spans[0] + spans[1]) * scale), 210);
  const used = spans[0] * scale + gutter + spans[1] * scale;
  const left = margin + (width - used) / 2;
  const centres = [
    left + (spans[0] / 2) * scale - ((extents[0][0] + extents[0][1]) / 2) * scale,
    left + spans[0] * scale + gutter + (spans[1] / 2) * scale - ((extents[1][0] + extents[1][1]) / 2) * scale,
  ];
  return {
    scale, top, drops, bottom, centres, gutter, left, right: left + used,
    middle: left + spans[0] * scale + gutter / 2,
    x: (figure, mm) => centres[figure] + mm * scale,
    y: (drop) => top + drop * scale,
  };
}

/** How high a drawing of this width has to be: no higher than the figures in it, nor than `most`. */
export function heightFor(numbers, width, most, margin = 0) {
  const f = frameOf(numbers, width, most, margin);
  return Math.min(most, f.top + f.bottom * f.scale + 34);
}

function outline(f, figure, pairs) {
  const point = (mm, i) => `${f.x(figure, mm).toFixed(1)} ${f.y(f.drops[i]).toFixed(1)}`;
  const down = pairs.map((pair, i) => point(pair[0], i));
  const up = pairs.map((pair, i) => point(pair[1], i)).reverse();
  return `M${down.join("L")}L${up.join("L")}Z`;
}

/** Before (thin) over after, with levels, girths and the places that reasons point at. */
export function silhouettes(numbers, { width, height, unit, places = [], pointed = null, frame = null }) {
  const f = frame ?? frameOf(numbers, width, height);
  const svg = sheet(width, height, silhouetteWords(numbers, unit));
  const small = width < 520;
  svg.append(levelLines(f, numbers, unit, small));
  SIDES.forEach(({ name, title }, figure) => {
    const both = numbers.silhouette[name];
    svg.append(draw("path", { class: "after", d: outline(f, figure, both.after) }));
    if (numbers.worn) svg.append(draw("path", { class: "worn", d: outline(f, figure, both.worn) }));
    svg.append(draw("path", { class: "before", d: outline(f, figure, both.before) }));
    const extent = both.after.map((r) => (r[0] + r[1]) / 2);
    const middle = f.x(figure, extent.reduce((a, b) => a + b, 0) / extent.length);
    svg.append(text(middle, 15, small ? name : title, "caption", "middle"));
  });
  svg.append(scaleBar(f, unit, height));
  for (const place of places) svg.append(marker(f, numbers, place, pointed === place.number));
  return svg;
}

/** Several variants over one another, before in a hair line. */
export function overlaid(list, { width, height, unit }) {
  const tallest = list.reduce((a, b) => (a.silhouette.drop_mm.at(-1) > b.silhouette.drop_mm.at(-1) ? a : b));
  const all = { silhouette: { drop_mm: tallest.silhouette.drop_mm } };
  for (const { name } of SIDES) {
    const joined = list.flatMap((n) => n.silhouette[name].after);
    all.silhouette[name] = { before: tallest.silhouette[name].before, after: joined };
  }
  const f = frameOf(all, width, height);
  const svg = sheet(width, height, "Silhouettes of the variants over one another");
  SIDES.forEach(({ name, title }, figure) => {
    svg.append(draw("path", { class: "bare", d: outline(f, figure, tallest.silhouette[name].before) }));
    list.forEach((numbers, i) => {
      const own = { ...f, drops: numbers.silhouette.drop_mm };
      svg.append(draw("path", {
        class: `variant variant-${i}`, d: outline(own, figure, numbers.silhouette[name].after),
        "stroke-dasharray": STROKES[i].dash, "stroke-width": STROKES[i].width,
      }));
    });
    svg.append(text(f.x(figure, 0), 15, width < 520 ? name : title, "caption", "middle"));
  });
  svg.append(scaleBar(f, unit, height));
  return svg;
}

/** The place of a finding on the drawing: figure, drop and which side of the outline. */
export function placeOf(finding, number) {
  if (finding.drop_mm === null || finding.angle === null) return null;
  const across = Math.cos(finding.angle);
  const along = Math.sin(finding.angle);
  const figure = Math.abs(across) >= Math.abs(along) ? 0 : 1;
  return { number, drop: finding.drop_mm, figure, end: (figure ? along : across) >= 0 ? 1 : 0, severity: finding.severity };
}

function levelLines(f, numbers, unit, small) {
  const group = draw("g", { class: "levels" });
  const rows = numbers.girths.filter((g) => !["thigh", "knee"].includes(g.level));
  rows.push({ level: "new", name: "new hip", drop_mm: numbers.new_hip_drop_mm, after_mm: numbers.new_hip_girth_mm, before_mm: null });
  const knee = numbers.girths.find((g) => g.level === "knee");
  if (knee) rows.push(knee);
  const room = small ? 13 : 17;
  let last = -Infinity;
  const hip = numbers.girths.find((g) => g.level === "hip");
  const near = Math.abs(numbers.new_hip_drop_mm - hip.drop_mm) * f.scale < room;
  for (const row of rows.sort((a, b) => a.drop_mm - b.drop_mm)) {
    if (row.level === "new" && (near || numbers.added_mm < 0.5)) continue;
    const y = f.y(row.drop_mm);
    group.append(draw("line", { class: row.level === "hip" ? "level hip" : "level", x1: f.left, x2: f.right, y1: y, y2: y }));
    if (y - last < room) continue;
    last = y;
    // one line stands for the hip and the fullest place beside it: where a tape tells them apart, it carries the answer's number
    const apart = near && tapeText(row.after_mm, unit) !== tapeText(numbers.new_hip_girth_mm, unit);
    group.append(label(f, numbers, row.level === "hip" && apart ? fullest(row, numbers) : row, unit, small, y));
  }
  return group;
}

function fullest(row, numbers) {
  return { ...row, name: "new hip", before_mm: numbers.body_hip_mm, after_mm: numbers.new_hip_girth_mm };
}

function label(f, numbers, row, unit, small, y) {
  const name = row.name ?? (numbers.level_names[row.level] ?? row.level).split(",")[0];
  const shown = (small || f.gutter < 160) && row.level === "under_seat" ? "seat fold" : name;
  const after = tapeText(row.after_mm, unit, { bare: true });
  const changed = row.before_mm !== null && Math.abs(row.after_mm - row.before_mm) > 0.5;
  const girth = changed && !small ? `${tapeText(row.before_mm, unit, { bare: true })} → ${after}` : after;
  const mark = row.measured === false && row.level !== "under_seat" ? "~" : "";
  const at = text(f.middle, y + 4, "", row.level === "hip" ? "girth hip" : "girth", "middle");
  at.append(draw("tspan", { class: "name" }, `${shown} `), draw("tspan", { class: "size" }, mark + girth));
  return at;
}

function scaleBar(f, unit, height) {
  const mm = unit === "in" ? 101.6 : 100;
  const y = height - 8;
  return draw("g", { class: "scale" },
    draw("path", { d: `M${f.left + 8} ${y - 5}v5h${mm * f.scale}v-5` }),
    text(f.left + 14 + mm * f.scale, y, unit === "in" ? "4 in" : "10 cm", "caption", "start"));
}

function marker(f, numbers, place, pointed) {
  const pairs = numbers.silhouette[SIDES[place.figure].name].after;
  const at = Math.max(0, f.drops.findIndex((d) => d >= place.drop - 1e-6));
  const way = place.end ? 1 : -1;
  const x = f.x(place.figure, pairs[at][place.end]);
  const y = f.y(f.drops[at]);
  const nudge = place.nudge ?? 0;
  const cx = x - way * (24 + 27 * (nudge % 3)); // inside the outline, where no label stands
  const cy = y + 27 * Math.floor(nudge / 3);
  const shape = place.severity === "obvious"
    ? draw("path", { d: `M${cx} ${cy - 13}l13 13l-13 13l-13 -13z` })
    : draw("circle", { cx, cy, r: 11 });
  return draw("g", { class: `place ${place.severity}${pointed ? " pointed" : ""}`, "data-number": place.number },
    draw("circle", { class: "dot", cx: x, cy: y, r: 3.5 }),
    draw("line", { x1: x, y1: y, x2: cx, y2: cy }),
    pointed ? draw("circle", { class: "halo", cx: x, cy: y, r: 15 }) : null,
    shape, text(cx, cy + 4.5, String(place.number), "number", "middle"));
}

/** Keeps numbers apart that point at nearly the same place. */
export function spread(places) {
  const taken = new Map();
  return places.map((place) => {
    const key = `${place.figure}/${place.end}/${Math.round(place.drop / 60)}`;
    const nudge = taken.get(key) ?? 0;
    taken.set(key, nudge + 1);
    return { ...place, nudge };
  });
}

function sheet(width, height, words) {
  return draw("svg", { viewBox: `0 0 ${width} ${height}`, width, height, role: "img", "aria-label": words, class: "drawing" });
}

function text(x, y, words, kind, anchor) {
  return draw("text", { x, y, class: kind, "text-anchor": anchor }, words);
}

function silhouetteWords(numbers, unit) {
  return `Silhouettes from the front and from the side, before and after. Hip ${tapeText(numbers.body_hip_mm, unit)} before, ` +
    `${tapeText(numbers.new_hip_girth_mm, unit)} after.`;
}
