// Up to four variants of one client, over one another and in a table.

import { Refusal, look } from "./ask.js";
import { valueText } from "./controls.js";
import { STROKES, overlaid } from "./drawing.js";
import { moreText, tapeText } from "./lengths.js";
import { draw, fillWith, make } from "./make.js";
import { MOST_VARIANTS, valueAt } from "./state.js";
import { reasonsOf, sentence, severitySign } from "./words.js";

/** `stand(list)` puts the dressed figures of the variants in a row in the picture. */
export function createVariants(state, parameters, stand) {
  const answers = new Map();
  let shown = [];

  const keep = make("button", { type: "button", id: "keep" }, "Keep this one");
  const beside = make("button", { type: "button", id: "beside", onclick: () => state.look((desk) => (desk.view.mode = desk.view.mode === "row" ? "pair" : "row")) }, "Side by side");
  const held = make("div", { id: "variants" });
  const element = make("div", {}, make("p", { class: "small" }, "Keep up to four ways to pad her, and look at them together."),
    make("div", { class: "row" }, keep, beside), held);
  keep.addEventListener("click", () => {
    state.step((work) => {
      if (work.variants.length >= MOST_VARIANTS) return;
      const letters = ["A", "B", "C", "D"];
      const free = letters.find((letter) => !work.variants.some((v) => v.name === letter)) ?? "E";
      work.variants.push({ name: free, sheet: JSON.parse(JSON.stringify(work.sheet)) });
    });
  });
  new ResizeObserver(() => shown.length && drawAll()).observe(held);

  /** Asks for every variant that is not known yet, then shows all of them. */
  async function refresh() {
    const list = state.work.variants;
    keep.disabled = list.length >= MOST_VARIANTS;
    const { show } = state.desk;
    const wanted = list.map((variant) => ({ variant, key: JSON.stringify([variant.sheet, show]) }));
    for (const { variant, key } of wanted) {
      if (answers.has(key)) continue;
      try {
        answers.set(key, await look(variant.sheet, show));
      } catch (error) {
        if (error instanceof Refusal) answers.set(key, null);
      }
    }
    if (answers.size > 60) answers.clear();
    if (list !== state.work.variants || show !== state.desk.show) return;
    shown = wanted.map(({ variant, key }, place) => ({ variant, place, ...answers.get(key) })).filter((v) => v.numbers);
    stand(shown.map(({ variant, numbers, block }) => ({ name: variant.name, numbers, block })));
    drawAll();
  }

  function drawAll() {
    beside.hidden = !shown.length;
    if (!shown.length) {
      fillWith(held);
      return;
    }
    const unit = state.desk.show;
    const width = Math.floor(held.clientWidth);
    const picture = overlaid(shown.map((v) => v.numbers), { width, height: Math.round(Math.min(380, Math.max(230, width * 0.7))), unit });
    fillWith(held, picture, make("div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Variants compared" }, table(unit)));
  }

  function table(unit) {
    const rows = [
      ...differences(unit),
      ["New hip girth", (n) => tapeText(n.new_hip_girth_mm, unit)],
      ["Added", (n) => moreText(n.body_hip_mm, n.new_hip_girth_mm, unit, { sign: true })],
      ["Verdict", (n) => make("span", { class: "with-sign" }, severitySign(n.verdict), n.verdict_word)],
      ["To look at", (n) => reasonsOf(n).length || "nothing"],
    ];
    const heads = shown.map(({ variant, place }, i) => make("th", { scope: "col" },
      make("span", { class: "swatch" }, swatch(i)), make("span", { class: "variant-name" }, variant.name),
      make("span", { class: "unseen" }, ` (${STROKES[i].word} line)`)));
    const actions = shown.map(({ variant, place }) => make("td", {},
      make("button", { type: "button", class: "choose", "aria-label": `Choose variant ${variant.name}`,
        onclick: () => state.step((work) => (work.sheet = JSON.parse(JSON.stringify(variant.sheet)))) }, "Choose"),
      make("button", { type: "button", class: "drop", "aria-label": `Take variant ${variant.name} away`,
        onclick: () => state.step((work) => work.variants.splice(place, 1)) }, "×")));
    return make("table", { class: "compare" },
      make("caption", { class: "unseen" }, "Variants compared"),
      make("thead", {}, make("tr", {}, make("td", {}), ...heads)),
      make("tbody", {}, ...rows.map(([label, cell]) => make("tr", {}, make("th", { scope: "row" }, label),
        ...shown.map(({ numbers }) => make("td", {}, cell(numbers))))),
      make("tr", {}, make("th", { scope: "row" }, make("span", { class: "unseen" }, "Choose or take away")), ...actions)));
  }

  /** One row for every choice in which the variants differ; of a single one, the choices that matter. */
  function differences(unit) {
    const keys = parameters.flatMap((p) => [p.key, ...(p.key.startsWith("pads.") ? ["left", "right"].map((side) => `pads.${side}.${p.key.slice(5)}`) : [])]
      .map((key) => ({ key, p })));
    const said = ({ key, p }, v) => (p.kind === "points" || p.kind === "outline" ? (valueAt(v.variant.sheet, key) === undefined ? "by the numbers" : "drawn by points")
      : valueText(p, v.numbers.values[key] ?? v.numbers.values[p.key], unit));
    const differs = (one) => shown.some((v) => valueAt(v.variant.sheet, one.key) !== undefined) && new Set(shown.map((v) => said(one, v))).size > 1;
    const chosen = shown.length > 1 ? keys.filter(differs) : keys.filter(({ key }) => ["pads.thickness", "pads.start", "pads.bevel"].includes(key));
    return chosen.map((one) => [sentence(one.p.label) + (one.key === one.p.key ? "" : `, her ${one.key.split(".")[1]}`), (numbers) => said(one, shown.find((v) => v.numbers === numbers))]);
  }

  function swatch(i) {
    return draw("svg", { viewBox: "0 0 44 10", width: 44, height: 10, "aria-hidden": "true" },
      draw("line", { class: `variant variant-${i}`, x1: 1, x2: 43, y1: 5, y2: 5, "stroke-dasharray": STROKES[i].dash, "stroke-width": STROKES[i].width }));
  }
  return { refresh, element };
}
