// The flat draft: the pads as they are drawn on the skirt block, back to the left of the side seam, front to the right.

import { tapeText } from "./lengths.js";
import { draw } from "./make.js";

const MARGIN = { top: 24, foot: 26, side: 14 };

/** Scale and places for the pads of one side. */
export function draftFrame(numbers, side, width, height) {
  const pads = padsOf(numbers, side);
  const all = pads.flatMap((pad) => pad.edge);
  const back = Math.min(-60, ...all.map(([d]) => d)) - 26;
  const front = Math.max(60, ...all.map(([d]) => d)) + 26;
  const deep = Math.max(...all.map(([, drop]) => drop), numbers.values["drops.hip"]) + 18;
  const scale = Math.min((width - 2 * MARGIN.side) / (front - back), (height - MARGIN.top - MARGIN.foot) / deep);
  const left = (width - (front - back) * scale) / 2;
  return { pads, scale, deep, x: (d) => left + (d - back) * scale, y: (drop) => MARGIN.top + drop * scale, back, front };
}

export function padsOf(numbers, side) {
  const own = numbers.draft.filter((pad) => pad.side === side);
  return own.length ? own : numbers.draft.filter((pad) => pad.side === "left");
}

export function draftPicture(numbers, f, { width, height, unit, side }) {
  const svg = draw("svg", { viewBox: `0 0 ${width} ${height}`, width, height, role: "img", class: "drawing",
    "aria-label": "The pads laid flat, back and front of the side seam" });
  const line = (points) => `M${points.map(([d, drop]) => `${f.x(d).toFixed(1)} ${f.y(drop).toFixed(1)}`).join("L")}`;
  const hip = numbers.values["drops.hip"];
  svg.append(
    draw("line", { class: "level", x1: f.x(f.back), x2: f.x(f.front), y1: f.y(0), y2: f.y(0) }),
    draw("line", { class: "level", x1: f.x(f.back), x2: f.x(f.front), y1: f.y(hip), y2: f.y(hip) }),
    label(f.x(f.back), f.y(0) + 12, "waist", "start"), label(f.x(0) - 6, f.y(hip) - 4, "hip", "end"));
  for (const pad of f.pads) {
    svg.append(draw("path", { class: "pad-edge", d: `${line(pad.edge)}Z` }), draw("path", { class: "pad-inside", d: line(pad.inside) }));
  }
  svg.append(draw("line", { class: "pad-seam", x1: f.x(0), x2: f.x(0), y1: f.y(0), y2: f.y(f.deep - 12) }));
  const apart = numbers.draft.some((pad) => pad.side === "right");
  svg.append(label(width / 2, 14, apart ? `laid flat, her ${side}` : "laid flat", "middle"),
    label(f.x(0) - 14, height - 8, "back", "end"), label(f.x(0) + 14, height - 8, "front", "start"));
  const mm = unit === "in" ? 50.8 : 50;
  svg.append(draw("path", { class: "draft-scale", d: `M10 ${height - 9}v-5v5h${mm * f.scale}v-5` }), label(10, height - 18, unit === "in" ? "2 in" : "5 cm", "start"));
  return svg;
}

function label(x, y, words, anchor) {
  return draw("text", { x, y, class: "caption", "text-anchor": anchor }, words);
}
