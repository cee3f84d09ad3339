// What an eye would notice, what to change about it, and every level round the body: the first drawers.

import { postJson } from "./ask.js";
import { freshly } from "./answer.js";
import { valueText } from "./controls.js";
import { tapeText } from "./lengths.js";
import { make, setText } from "./make.js";
import { setValue } from "./state.js";
import { levelsTable, reasonPart, reasonsOf, sentence, severitySign, verdictPart } from "./words.js";

/** `point(number)` marks a reason's place on the silhouettes, null none. */
export function createFindings(state, parameters, point) {
  const fresh = freshly();
  const declared = new Map(parameters.map((p) => [p.key, p]));
  const declaredFor = (key) => declared.get(key.replace(/^pads\.(left|right)\./, "pads."));
  const part = (id, tag = "div", more = {}) => make(tag, { id, ...more });
  const [said, together, shell, quiet] = [part("verdict-said"), part("together"), part("shell", "div", { class: "shell" }), part("quiet-checks")];
  const reasons = part("reasons", "ol", { class: "reasons" });
  const cautions = part("cautions", "ul");
  const table = part("table", "div", { class: "scroll", tabindex: 0, role: "region", "aria-label": "Girths by level" });
  const note = part("table-note", "p", { class: "small" });
  const element = make("div", {}, said, reasons, together, shell, make("h3", {}, "Looked at and found good"), quiet, make("h3", {}, "Cautions"), cautions);
  const levels = make("div", {}, table, note);

  function show(numbers) {
    const unit = state.desk.show;
    fresh(said, [numbers.verdict, numbers.verdict_sentence], () => [verdictPart(numbers)]);
    const list = reasonsOf(numbers);
    fresh(reasons, [list, unit], () => list.map((reason) => {
      const entry = reasonPart(reason, takePart(reason));
      for (const name of ["pointerenter", "focusin"]) entry.addEventListener(name, () => point(reason.number));
      for (const name of ["pointerleave", "focusout"]) entry.addEventListener(name, () => point(null));
      return entry;
    }));
    const advised = list.filter((r) => Object.keys(r.changes).length).length;
    fresh(together, [advised > 1], () => (advised > 1 ? [togetherPart()] : []));
    if (numbers.shell_lines) fresh(shell, [numbers.shell_lines], () => numbers.shell_lines.map((line) => make("p", {}, line)));
    const rule = numbers.added_mm < 0.5 ? [] : [make("p", {}, make("strong", {}, `Rule of thumb: ${tapeText(numbers.rule_of_thumb_mm, unit)}. `), numbers.rule_sentence)];
    const good = numbers.findings.filter((f) => f.severity === "fine");
    fresh(quiet, [good, numbers.rule_of_thumb_mm, unit], () => [make("ul", { class: "fine" },
      ...good.map((f) => make("li", {}, severitySign("fine"), make("span", {}, make("strong", {}, sentence(f.check)), `: ${f.message}. `, f.advice ? `${sentence(f.advice)}. ` : null,
        make("span", { class: "basis" }, `Rests on: ${f.basis}.`))))), ...rule]);
    fresh(cautions, [numbers.cautions], () => numbers.cautions.map((caution) => make("li", {}, caution)));
    fresh(table, [numbers.girths, unit, numbers.worn], () => [levelsTable(numbers, unit)]);
    const basis = numbers.rests_on;
    const scanned = basis.scan ? [basis.words, ...basis.scan.doubts.map((doubt) => `${sentence(doubt)}.`)] : [];
    setText(note, [...(numbers.girths.some((g) => !g.measured) ? [`~ ${numbers.mark_note}.`] : []), ...scanned].join(" "));
  }

  /** One button for all the advice, where there is more than one piece of it. */
  function togetherPart() {
    return make("button", {
      type: "button", class: "take all",
      onclick: async () => {
        const { changes } = await postJson("/advice", { sheet: state.work.sheet, show: state.desk.show });
        takeChanges(Object.entries(changes));
      },
    }, "Take all the advice together");
  }

  /** The button that carries the advice out. */
  function takePart(reason) {
    const changes = Object.entries(reason.changes);
    if (!changes.length) return null;
    const shown = changes
      .filter(([key]) => !/^pads\.(left|right)\./.test(key) || changes.every(([k]) => /^pads\.(left|right)\./.test(k)))
      .map(([key, value]) => wish(key, value));
    const words = [...new Set(shown)].slice(0, 3).join(", ");
    return make("button", { type: "button", class: "take", "data-check": reason.check, onclick: () => takeChanges(changes) }, words);
  }

  function takeChanges(changes) {
    state.step((work) => changes.forEach(([key, value]) => setValue(work.sheet, key, asKept(key, value))));
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

  return { element, levels, show, takeChanges };
}
