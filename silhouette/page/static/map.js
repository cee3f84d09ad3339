// The map of two choices: every pair tried in the background, and a tap on the picture takes a pair.

import { Refusal, eachLine, post } from "./ask.js";
import { wordsOf } from "./dialog.js";
import { foamText, stepText, tapeStep, tapeText } from "./lengths.js";
import { fillWith, make, setText } from "./make.js";
import { TICKS, hipsAcross, mapFrame, mapPicture, mark } from "./map_picture.js";
import { setValue } from "./state.js";
import { howOf, sentence } from "./words.js";

const STEPS = 13; // values of either choice, as the server tries them
const CHOICES = ["pads.thickness", "pads.bevel", "pads.start", "pads.end", "pads.front_reach", "pads.back_gap", "pads.fullness", "pads.fullness_below"];

/** `hooks`: parameter(key), target(key), span(key) → [low, high] in mm that suits her, values() of the last answer. */
export function createMap(state, hooks) {
  let drawn = null; // what was tried, and what came of it
  let at = null; // the pair that is pointed at: [row, column]
  let stopper = null;

  const pick = (name, chosen) => make("select", { id: `map-${name}` },
    ...CHOICES.map((key) => make("option", { value: key, selected: key === chosen }, sentence(hooks.parameter(key).label))));
  const [first, second] = [pick("first", "pads.thickness"), pick("second", "pads.bevel")];
  const go = make("button", { type: "button", class: "main", id: "map-go", onclick: () => (stopper ? stop() : run()) }, "Draw the map");
  const progress = make("div", { class: "progress", id: "map-progress", role: "status" });
  const words = make("p", { id: "map-words", class: "map-words small", role: "status" });
  const holder = make("div", { class: "map", id: "map", tabindex: "0", role: "application", "aria-label": "Map of two choices: arrow keys move over it, Enter takes a pair", "aria-describedby": "map-words", hidden: true });
  const key = make("p", { class: "map-key small" });
  const element = make("div", {},
    make("div", { class: "map-choices" }, labelled("Across", first), labelled("Upwards", second)),
    make("div", { class: "map-go" }, go, words), progress, holder, key);

  function labelled(label, select) {
    return make("div", {}, make("label", { class: "label", for: select.id }, label), select);
  }

  /** Even values on the marks of a tape, across what suits her. */
  function axisOf(name) {
    const p = hooks.parameter(name);
    const unit = state.desk.show;
    const step = p.kind === "length" ? tapeStep(p, unit) : p.step;
    const [from, to] = hooks.span(name);
    const each = Math.max(1, Math.round((to - from) / (STEPS - 1) / step)) * step;
    let low = Math.ceil(Math.max(from, p.low) / step - 1e-6) * step;
    if (low + (STEPS - 1) * each > p.high + 1e-6) low = Math.max(p.low, Math.floor((p.high - (STEPS - 1) * each) / step) * step);
    return { key: hooks.target(name), p, step, low, each, high: Math.min(p.high, low + (STEPS - 1) * each), unit };
  }

  async function run() {
    const axes = [axisOf(first.value), axisOf(second.value)];
    const sheet = JSON.parse(JSON.stringify(state.work.sheet));
    const own = (stopper = new AbortController());
    setText(go, "Stop");
    const bar = make("progress", { max: 1, value: 0, "aria-label": "Trying every pair" });
    fillWith(progress, bar);
    try {
      const plain = axes.map(({ key: name, low, high }) => ({ key: name, low, high }));
      await eachLine(await post("/map", { sheet, first: plain[0], second: plain[1] }, own.signal), (line) => {
        if (line.faults) throw new Refusal(422, line);
        if (line.hip) {
          drawn = { ...line, axes, rest: restOf(sheet, axes) };
          at = null;
        } else [bar.max, bar.value] = [line.of, line.done];
      });
      fillWith(progress);
    } catch (error) {
      fillWith(progress, error.name === "AbortError" ? make("p", { class: "small" }, "Stopped.") : make("p", { class: "fault" }, wordsOf(error)));
    }
    if (stopper === own) stopper = null;
    if (!stopper) setText(go, "Draw the map");
    redraw();
  }

  function stop() {
    stopper?.abort();
  }

  /** What the map does not vary: once that has changed, the map speaks of another sheet. */
  function restOf(sheet, axes) {
    const copy = JSON.parse(JSON.stringify(sheet));
    for (const axis of axes) setValue(copy, axis.key, null);
    for (const part of ["client", "fitted"]) delete copy[part];
    delete copy.cloth?.colour;
    if (copy.cloth && !Object.keys(copy.cloth).length) delete copy.cloth;
    return JSON.stringify(copy, Object.keys(flat(copy)).sort());
  }

  function redraw() {
    holder.hidden = key.hidden = !drawn;
    if (!drawn) setText(words, "Every pair of two choices is tried; a tap on the map takes one, undo goes back.");
    if (!drawn || !holder.clientWidth) return;
    const width = Math.floor(holder.clientWidth);
    drawn.frame = mapFrame(width, Math.round(Math.min(340, Math.max(220, width * 0.66))), STEPS);
    const old = drawn.rest !== restOf(state.work.sheet, drawn.axes);
    holder.classList.toggle("old", old);
    const wish = hooks.values()?.["aim.hip"] ?? null;
    fillWith(holder, mapPicture(drawn, drawn.frame, {
      names: drawn.axes.map((axis) => sentence(axis.p.label)), ticks: drawn.axes.map((axis) => ticks(axis)),
      hips: hipsAcross(drawn.hip, state.desk.show), wish: state.work.sheet.aim?.hip === undefined ? null : wish,
      hip: (mm) => tapeText(mm, state.desk.show, { bare: true }), now: drawn.axes.map((axis) => (hooks.values()?.[axis.key] - axis.low) / axis.each),
    }));
    mark(holder, drawn.frame, at);
    const counts = ["fine", "watch", "obvious"].filter((look) => drawn.look.flat().some((value) => value !== null && lookOf(value) === look));
    fillWith(key, ...counts.map((look) => make("span", {}, make("i", { class: `map-swatch ${look}` }), wordOf(look))), make("span", {}, "lines: the hip"));
    setText(words, old ? "The sheet has changed since: draw the map again." : at ? say(...at) : "The ring is where her sheet stands. Tap the map to take a pair.");
  }

  const ticks = (axis) => TICKS.map((i) => {
    const value = axis.low + i * axis.each;
    return axis.p.kind !== "length" ? value.toFixed(1) : axis.p.high <= 100 ? foamText(value, axis.unit).replace(" in", "") : tapeText(value, axis.unit, { bare: true });
  });

  const wordOf = (look) => howOf(look, state.work.sheet.aim?.look);

  function say(r, c) {
    const pair = drawn.axes.map((axis, i) => `${axis.p.label} ${valueWords(axis, [c, r][i])}`).join(", ");
    const hip = drawn.hip[r][c];
    if (hip === null) return `${sentence(pair)}: cannot be made. ${sentence(drawn.why[r][c])}.`;
    return `${sentence(pair)}: hip ${tapeText(hip, state.desk.show)}, ${wordOf(lookOf(drawn.look[r][c]))}${drawn.why[r][c] ? ` (${drawn.why[r][c]})` : ""}.`;
  }

  function valueWords(axis, i) {
    const value = axis.low + i * axis.each;
    if (axis.p.kind !== "length") return value.toFixed(2);
    return axis.p.high <= 100 ? foamText(value, axis.unit) : tapeText(value, axis.unit);
  }

  function point(pair) {
    at = pair;
    mark(holder, drawn.frame, at);
    setText(words, say(...at));
  }

  /** Both values at once, as one step of undo. */
  function take([r, c]) {
    if (drawn.hip[r][c] === null) {
      point([r, c]);
      return;
    }
    at = [r, c];
    state.step((work) => drawn.axes.forEach((axis, i) => {
      const value = axis.low + [c, r][i] * axis.each;
      setValue(work.sheet, axis.key, axis.p.kind === "length" ? stepText(Math.round(value / axis.step), axis.step, axis.unit) : Number(value.toFixed(4)));
    }));
    redraw();
  }

  const under = (event) => drawn.frame.pairAt(event.clientX - holder.getBoundingClientRect().left, event.clientY - holder.getBoundingClientRect().top);
  holder.addEventListener("pointermove", (event) => under(event) && point(under(event)));
  holder.addEventListener("click", (event) => under(event) && take(under(event)));
  holder.addEventListener("keydown", (event) => {
    const way = { ArrowLeft: [0, -1], ArrowRight: [0, 1], ArrowUp: [1, 0], ArrowDown: [-1, 0] }[event.key];
    if (way && !event.altKey && !event.ctrlKey && !event.metaKey) {
      event.preventDefault();
      const [r, c] = at ?? drawn.axes.map((axis) => Math.round((hooks.values()?.[axis.key] - axis.low) / axis.each)).reverse();
      point([r + way[0], c + way[1]].map((n) => Math.min(STEPS - 1, Math.max(0, n || 0))));
    } else if (["Enter", " "].includes(event.key) && at) {
      event.preventDefault();
      take(at);
    }
  });
  new ResizeObserver(redraw).observe(element);

  return {
    element,
    redraw,
    /** Another client: what was tried for the last one goes, and whatever is still being tried stops. */
    forget() {
      stop();
      drawn = at = null;
      fillWith(progress);
      redraw();
    },
  };
}

function lookOf(value) {
  return value <= 0 ? "fine" : value <= 1 ? "watch" : "obvious";
}

/** Every name that occurs anywhere in nested values. */
function flat(table) {
  return Object.entries(table).reduce((names, [name, value]) => Object.assign(names, { [name]: 1 },
    value && typeof value === "object" ? flat(value) : {}), {});
}
