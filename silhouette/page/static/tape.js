// The hip on a piece of tape: where it is bare, where it is padded, where she wants it.

import { tapeText } from "./lengths.js";
import { draw } from "./make.js";

const WIDTH = 420;
const TOP = 19;
const DEEP = 22;

/** `bare`, `now` and `wish` in mm, any of the last two null. */
export function hipTape({ bare, now = null, wish = null }, unit) {
  const svg = draw("svg", { viewBox: `0 0 ${WIDTH} 62`, role: "img", "aria-label": words(bare, now, wish, unit) });
  const step = unit === "in" ? 25.4 : 10;
  const every = unit === "in" ? 1 : 5;
  const marks = [bare, now, wish].filter((mm) => mm !== null);
  let low = Math.floor(Math.min(...marks) / step) - (unit === "in" ? 1 : 3);
  let high = Math.ceil(Math.max(...marks) / step) + (unit === "in" ? 1 : 3);
  const least = unit === "in" ? 8 : 20;
  if (high - low < least) high = low + least;
  const x = (mm) => ((mm / step - low) / (high - low)) * WIDTH;
  svg.append(draw("rect", { class: "tape-ground", x: 0.5, y: TOP, width: WIDTH - 1, height: DEEP }));
  const parts = unit === "in" ? 4 : 1;
  for (let i = low * parts; i <= high * parts; i++) {
    const whole = i % parts === 0;
    const named = whole && (i / parts) % every === 0;
    const at = x((i / parts) * step);
    svg.append(draw("line", { class: "tape-tick", x1: at, x2: at, y1: TOP + DEEP, y2: TOP + DEEP - (named ? 9 : whole ? 7 : 4) }));
    if (named && at > 12 && at < WIDTH - 12) {
      const near = high - low > 16 && unit === "in" && (i / parts) % 2;
      if (!near) svg.append(draw("text", { class: "tape-number", x: at, y: TOP + 11, "text-anchor": "middle" }, String(i / parts)));
    }
  }
  const from = x(bare);
  svg.append(draw("line", { class: "tape-from", x1: from, x2: from, y1: TOP - 5, y2: TOP }),
    draw("line", { class: "tape-from", x1: from, x2: from, y1: TOP + DEEP - 9, y2: TOP + DEEP + 1 }));
  const apart = now !== null && Math.abs(now - bare) > 0.5;
  svg.append(word(from, 12, apart ? "before" : "her hip", "tape-word", apart && now < bare ? "start" : apart && x(now) - from < 90 ? "end" : "middle"));
  if (apart) {
    const to = x(now);
    svg.append(draw("path", { class: "tape-to", d: `M${to - 6} ${TOP - 6}h12l-6 9z` }),
      draw("line", { class: "tape-from", x1: to, x2: to, y1: TOP + DEEP - 9, y2: TOP + DEEP + 1 }), word(to, 11, "after", "tape-word now", to - from < 90 ? "start" : "middle"));
  }
  if (wish !== null) {
    const at = x(wish);
    svg.append(draw("path", { class: "tape-wish", d: `M${at - 6} ${TOP + DEEP + 9}h12l-6 -9z` }),
      word(at + 11, TOP + DEEP + 11, `wants ${tapeText(wish, unit, { bare: true })}`, "tape-word", at > WIDTH - 90 ? "end" : "start", at > WIDTH - 90 ? -22 : 0));
  }
  return svg;
}

function word(x, y, text, kind, anchor, nudge = 0) {
  const edge = anchor === "middle" ? 24 : 4;
  return draw("text", { class: kind, x: Math.min(WIDTH - edge, Math.max(edge, x + nudge)), y, "text-anchor": anchor }, text);
}

function words(bare, now, wish, unit) {
  const parts = [`Hip ${tapeText(bare, unit)} bare`];
  if (now !== null) parts.push(`${tapeText(now, unit)} padded`);
  if (wish !== null) parts.push(`${tapeText(wish, unit)} wanted`);
  return parts.join(", ");
}
