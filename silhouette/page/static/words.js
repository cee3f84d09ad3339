// Numbers and reasons in words: the large girth, the verdict, the reasons, the table of levels.

import { moreText, tapeText } from "./lengths.js";
import { make } from "./make.js";

/** The server's three severities as the workroom says them: of pads that are to look like her own, and for the stage. */
const HOW = {
  natural: { fine: "looks natural", watch: "look again", obvious: "would show" },
  stage: { fine: "ready for the stage", watch: "look again", obvious: "not as it is" },
};
const GRAVEST = ["obvious", "watch", "fine"];

/** How a severity is said of a sheet that aims at this look. */
export function howOf(severity, look) {
  return (HOW[look] ?? HOW.natural)[severity];
}

/** Findings worth a look, gravest first, each with the number its place carries. */
export function reasonsOf(numbers) {
  const worth = numbers.findings.filter((f) => f.severity !== "fine");
  worth.sort((a, b) => GRAVEST.indexOf(a.severity) - GRAVEST.indexOf(b.severity));
  return worth.map((finding, i) => ({ ...finding, number: i + 1, how: howOf(finding.severity, numbers.values["aim.look"]) }));
}

/** The new hip girth, large, and what it rests on. */
export function girthParts(numbers, unit) {
  if (numbers.added_mm < 0.5) {
    return { big: tapeText(numbers.body_hip_mm, unit), lines: ["Nothing is worn: this is the client's own hip."] };
  }
  const lines = [
    `${moreText(numbers.body_hip_mm, numbers.new_hip_girth_mm, unit)} more than her own hip; fullest ${tapeText(numbers.new_hip_drop_mm, unit)} below the waist.`,
    `Give or take ${tapeText(numbers.new_hip_tolerance_mm, unit)}: foam sheets are not cut truer than that.`,
  ];
  if (numbers.worn) lines.unshift(`Under the shell the tape reads ${tapeText(numbers.worn_hip_girth_mm, unit)}.`);
  return { big: tapeText(numbers.new_hip_girth_mm, unit), lines };
}

/** A sign that differs in shape as well as in tone. */
export function severitySign(severity) {
  const sign = { fine: "✓", watch: "!", obvious: "✕" }[severity];
  return make("span", { class: `sign ${severity}`, "aria-hidden": "true" }, sign);
}

export function verdictPart(numbers) {
  return make("p", { class: `verdict ${numbers.verdict}` }, severitySign(numbers.verdict),
    make("span", {}, make("strong", {}, numbers.verdict_word), `. ${numbers.verdict_sentence}`));
}

/** One reason; `extra` goes below it (a button, say). */
export function reasonPart(reason, extra = null) {
  return make("li", { class: `reason ${reason.severity}`, "data-number": reason.number },
    make("span", { class: `number ${reason.severity}`, "aria-hidden": "true" }, make("b", {}, String(reason.number))),
    make("div", {},
      make("p", { class: "head" }, make("strong", {}, sentence(reason.check)), make("span", { class: "how" }, reason.how)),
      make("p", {}, sentence(reason.message), "."),
      reason.advice ? make("p", { class: "advice" }, sentence(reason.advice), ".") : null,
      make("p", { class: "basis" }, `Rests on: ${reason.basis}.`),
      extra));
}

export function levelsTable(numbers, unit, caption = "Girths by level") {
  const { worn } = numbers;
  const heads = ["Level", "Below waist", "Body", "Padded", ...(worn ? ["Under the shell"] : []), "Added"];
  const rows = numbers.girths.map((g) => {
    const mark = g.measured ? "" : "~";
    const cells = [
      tapeText(g.drop_mm, unit, { bare: true }), mark + tapeText(g.before_mm, unit, { bare: true }),
      mark + tapeText(g.after_mm, unit, { bare: true }),
      ...(worn ? [mark + tapeText(g.worn_mm ?? g.after_mm, unit, { bare: true })] : []),
      Math.abs(g.added_mm) > 0.5 ? moreText(g.before_mm, g.after_mm, unit, { bare: true, sign: true }) : "–",
    ];
    return make("tr", { "data-level": g.level }, make("th", { scope: "row" }, sentence(numbers.level_names[g.level] ?? g.level)),
      ...cells.map((cell) => make("td", {}, cell)));
  });
  return make("table", {},
    make("caption", {}, `${caption}, ${unit === "in" ? "inches" : "centimetres"}`),
    make("thead", {}, make("tr", {}, ...heads.map((head) => make("th", { scope: "col" }, head)))),
    make("tbody", {}, ...rows));
}

export function sentence(words) {
  return words.charAt(0).toUpperCase() + words.slice(1);
}
