// The client's face: the picture, before and after, the note, the next date, the care of the garment. Nothing else.

import { freshly } from "./answer.js";
import { tapeText } from "./lengths.js";
import { make } from "./make.js";

/** What the client reads. `carried` has the girths and, from the sheet, note and next date. */
export function herParts(carried, unit) {
  const after = carried.worn_hip_girth_mm ?? carried.new_hip_girth_mm;
  return [
    make("div", { class: "girths" },
      make("p", {}, "Before", make("b", {}, tapeText(carried.body_hip_mm, unit, { bare: true }))),
      make("span", { class: "arrow", "aria-hidden": "true" }, "→"),
      make("p", {}, "After", make("b", { id: "her-after" }, tapeText(after, unit, { bare: true })))),
    make("p", { class: "small" }, `Round the hip, in ${unit === "in" ? "inches" : "centimetres"}.`),
    carried.note ? make("p", { class: "note" }, carried.note) : null,
    carried.next_date ? make("p", {}, make("strong", {}, "We meet again: "), carried.next_date) : null,
    make("h3", {}, "Care of the garment"),
    make("ul", {}, ...carried.care.map((line) => make("li", {}, line))),
  ];
}

export function createHers(state, keepRow) {
  const fresh = freshly();
  const element = document.getElementById("hers");
  element.hidden = false;
  const body = make("div", { id: "her-words" });
  element.append(body, keepRow);
  return {
    show(numbers) {
      const unit = state.desk.show;
      const { note = "", next_date = "" } = state.work.sheet.client ?? {};
      const carried = { ...numbers, note, next_date };
      fresh(body, [numbers.body_hip_mm, numbers.new_hip_girth_mm, numbers.worn_hip_girth_mm, note, next_date, unit], () =>
        [make("h2", {}, numbers.client || "Before and after"), ...herParts(carried, unit)]);
    },
  };
}
