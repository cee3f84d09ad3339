// Everything that is read rather than turned: girth, verdict, reasons, silhouettes, table.

import { postJson } from "./ask.js";
import { valueText } from "./controls.js";
import { placeOf, silhouettes, spread } from "./drawing.js";
import { tapeText } from "./lengths.js";
import { fillWith, make, setText } from "./make.js";
import { setValue } from "./state.js";
import { girthParts, levelsTable, reasonPart, reasonsOf, sentence, severitySign, verdictPart } from "./told.js";

const by = (id) => document.getElementById(id);

export function createReading(state, parameters) {
  let numbers = null;
  let pointed = null;
  let saying = 0;
  let clothWords = [];
  const built = new Map();
  const declared = new Map(parameters.map((p) => [p.key, p]));
  const declaredFor = (key) => declared.get(key.replace(/^pads\.(left|right)\./, "pads."));

  let room = null; // of the drawing; known without asking for a layout on every change

  new ResizeObserver(([box]) => {
    room = { width: Math.floor(box.contentRect.width), height: box.contentRect.height };
    room.fixed = Boolean(parseFloat(getComputedStyle(box.target).getPropertyValue("--room")));
    if (numbers) outlines();
  }).observe(by("outlines"));
  by("quiet-checks").parentElement.addEventListener("toggle", () => numbers && quietChecks());

  function show(answer) {
    numbers = answer;
    const { show: unit } = state.desk;
    const { big, lines } = girthParts(numbers, unit);
    setText(by("girth"), big);
    fresh("girth-lines", [lines], () => lines.map((line) => make("p", {}, line)));
    fresh("verdict", [numbers.verdict], () => [verdictPart(numbers)]);
    for (const id of ["strip", "strip-wide"]) {
      fresh(id, [numbers.verdict, big], () => [severitySign(numbers.verdict), make("b", {}, big),
        make("span", { class: "word" }, numbers.verdict_word.toLowerCase())]);
    }
    reasons();
    if (numbers.shell_lines) fresh("shell", [numbers.shell_lines], () => numbers.shell_lines.slice(0, 1).map((line) => make("p", {}, line)));
    if (numbers.shell_lines) clothWords = numbers.shell_lines.slice(1);
    by("worn-key").hidden = !numbers.worn;
    outlines();
    fresh("table", [numbers.girths, unit, numbers.worn], () => [levelsTable(numbers, unit)]);
    setText(by("table-note"), numbers.girths.some((g) => !g.measured)
      ? "~ estimated from published proportions; measure it to be sure." : "");
    quietChecks();
    fresh("cautions", [numbers.cautions], () => numbers.cautions.map((caution) => make("li", {}, caution)));
    clearTimeout(saying);
    saying = setTimeout(() => {
      by("heard").textContent = `New hip girth ${big}. ${numbers.verdict_word}. ${reasonsOf(numbers).map((r) => r.message).join(". ")}`;
    }, 700);
  }

  /** Builds a part anew only when what it shows has changed. */
  function fresh(id, shown, build) {
    const key = JSON.stringify(shown);
    if (built.get(id) === key) return;
    built.set(id, key);
    fillWith(by(id), ...build());
  }

  function reasons() {
    const list = reasonsOf(numbers);
    const advised = list.filter((r) => Object.keys(r.changes).length).length;
    fresh("together", [advised > 1], () => (advised > 1 ? [togetherPart()] : []));
    fresh("reasons", [list, state.desk.show], () => list.map((reason) => {
      const part = reasonPart(reason, takePart(reason));
      const point = (on) => () => {
        pointed = on ? reason.number : null;
        outlines();
      };
      part.addEventListener("pointerenter", point(true));
      part.addEventListener("pointerleave", point(false));
      part.addEventListener("focusin", point(true));
      part.addEventListener("focusout", point(false));
      return part;
    }));
  }

  /** One button for all the advice, where there is more than one piece of it. */
  function togetherPart() {
    return make("button", {
      type: "button", class: "take all",
      onclick: async () => {
        const { changes } = await postJson("/advice", { sheet: state.work.sheet, show: state.desk.show });
        state.step((work) => Object.entries(changes).forEach(([key, value]) => setValue(work.sheet, key, asKept(key, value))));
      },
    }, "Take all the advice together");
  }

  /** The button that carries the advice out. */
  function takePart(reason) {
    const changes = Object.entries(reason.changes);
    if (!changes.length) return null;
    const told = changes
      .filter(([key]) => !/^pads\.(left|right)\./.test(key) || changes.every(([k]) => /^pads\.(left|right)\./.test(k)))
      .map(([key, value]) => wish(key, value));
    const words = [...new Set(told)].slice(0, 3).join(", ");
    return make("button", {
      type: "button", class: "take", "data-check": reason.check,
      onclick: () => state.step((work) => changes.forEach(([key, value]) => setValue(work.sheet, key, asKept(key, value)))),
    }, words);
  }

  function wish(key, value) {
    const p = declaredFor(key);
    if (!p) return `set ${key}`;
    const words = valueText(p, value, state.desk.show);
    if (value === null) return key.startsWith("pads.") && /left|right/.test(key) ? "Give both sides the same pad" : `Leave out ${p.label}`;
    return key === "pads.thickness" ? `Use ${words} foam` : `Set ${p.label} to ${words}`;
  }

  function asKept(key, value) {
    const p = declaredFor(key);
    return p?.kind === "length" && typeof value === "number" ? `${value} mm` : value;
  }

  function outlines() {
    if (!numbers || !room || room.width < 50) return;
    const { width } = room;
    const height = Math.round(room.fixed ? Math.max(150, Math.min(room.height, width * 0.75)) : Math.max(230, Math.min(width * 0.66, 440)));
    const places = spread(reasonsOf(numbers).map((r) => placeOf(r, r.number)).filter(Boolean));
    fillWith(by("outlines"), silhouettes(numbers, { width, height, unit: state.desk.show, places, pointed }));
  }

  function quietChecks() {
    if (!by("quiet-checks").parentElement.open) return;
    const rule = numbers.added_mm < 0.5 ? [] : [
      make("p", {}, make("strong", {}, `Rule of thumb: ${tapeText(numbers.rule_of_thumb_mm, state.desk.show)}. `), numbers.rule_sentence)];
    const fine = numbers.findings.filter((f) => f.severity === "fine");
    fresh("quiet-checks", [fine, numbers.rule_of_thumb_mm, clothWords, state.desk.show], () => [...rule,
      ...clothWords.map((line) => make("p", {}, line)), make("ul", { class: "fine" },
      ...fine.map((f) => make("li", {}, severitySign("fine"), make("span", {}, make("strong", {}, sentence(f.check)), `: ${f.message}. `,
        make("span", { class: "basis" }, `Rests on: ${f.basis}.`)))))]);
  }

  return { show };
}
