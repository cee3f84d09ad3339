// Handles that are drawn over a picture and stay while the picture below them is drawn anew: by pointer, touch and keys.

import { draw, fillWith, setMark, setText } from "./make.js";

const SIZE = 9;
const LINE = 14; // px from one line of words to the next

/** Where the words beside a grip stand: at its height, or a line lower than words that are there already. */
function clearOf(lines, x, y, away, words) {
  const wide = 7 * words.length;
  const left = away === "left" ? x - 16 - wide : away === "right" ? x + 16 : x - wide / 2;
  let at = y + (away === "below" ? 26 : away === "above" ? -15 : 5);
  for (const line of lines) {
    if (left < line.right && left + wide > line.left && Math.abs(at - line.at) < LINE) at = line.at + LINE;
  }
  if (words) lines.push({ left, right: left + wide, at });
  return at;
}

/**
 * A layer over one drawing. `grips`: {name: {label, way: "x" | "y" | "both"}}; `hooks`: start(name) → what is held,
 * moved(name, held, dx, dy in px), nudged(name, dx, dy in steps), settled(), words(name) → the number beside it.
 */
export function createHandles(grips, hooks) {
  const layer = draw("svg", { class: "handles" });
  const built = {};
  let held = null;
  let shown = null;

  function grip(name) {
    const { label, way } = grips(name);
    const words = draw("text", { class: "grip-words", "text-anchor": "middle" });
    const dot = draw("circle", { class: "grip-dot", r: SIZE });
    const arrow = way === "y" ? "M-3 -2L0 -5L3 -2M-3 2L0 5L3 2" : way === "x" ? "M-2 -3L-5 0L-2 3M2 -3L5 0L2 3" : "";
    const element = draw("g", { class: `grip ${way}`, role: "slider", tabindex: "0", "aria-label": label, "data-grip": name },
      draw("circle", { class: "grip-field", r: 22 }), dot, draw("path", { class: "grip-way", d: arrow }), words);
    element.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      event.preventDefault();
      element.focus({ preventScroll: true });
      element.setPointerCapture(event.pointerId);
      held = { name, x: event.clientX, y: event.clientY, from: hooks.start(name) };
      element.classList.add("held");
    });
    element.addEventListener("pointermove", (event) => {
      if (held?.name !== name) return;
      hooks.moved(name, held.from, event.clientX - held.x, event.clientY - held.y);
    });
    for (const end of ["pointerup", "pointercancel"]) {
      element.addEventListener(end, () => {
        if (held?.name !== name) return;
        held = null;
        element.classList.remove("held");
        hooks.settled();
      });
    }
    element.addEventListener("keydown", (event) => {
      const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
      if (!step || event.altKey || event.ctrlKey || event.metaKey) return;
      event.preventDefault();
      hooks.nudged(name, step[0], step[1]);
      hooks.settled();
    });
    return { element, words };
  }

  return {
    layer,
    get held() { return held?.name ?? null; },
    /** Places (name → [x, y, side for the words, value now, low, high]) over a picture of this size. */
    place(places, width, height) {
      for (const [name, value] of [["viewBox", `0 0 ${width} ${height}`], ["width", width], ["height", height]]) setMark(layer, name, value);
      const names = Object.keys(places);
      for (const name of names) built[name] ??= grip(name);
      if (names.join() !== shown && !held) {
        shown = names.join();
        fillWith(layer, ...names.map((name) => built[name].element));
      }
      const lines = [];
      for (const name of names) {
        const { element, words } = built[name];
        const { x, y, away, now, low, high } = places[name];
        setMark(element, "transform", `translate(${x.toFixed(1)} ${y.toFixed(1)})`);
        setMark(words, "y", clearOf(lines, x, y, away, hooks.words(name)) - y);
        const text = hooks.words(name);
        const half = 4.1 * text.length; // px: words above or below a grip stay on the drawing
        const free = Math.min(Math.max(x, half), Math.max(half, width - half));
        setMark(words, "x", (away === "left" ? -16 : away === "right" ? 16 : free - x).toFixed(1));
        setMark(words, "text-anchor", away === "left" ? "end" : away === "right" ? "start" : "middle");
        setText(words, text);
        setMark(element, "aria-valuetext", text);
        for (const [mark, value] of [["aria-valuenow", now], ["aria-valuemin", low], ["aria-valuemax", high]]) setMark(element, mark, Math.round(value));
      }
    },
  };
}
