// Foam in the steps it is sold in, each as a strip of its own thickness.

import { foamText, stepText, tapeText } from "./lengths.js";
import { fillWith, make } from "./make.js";

/** A row of choices, one for each stock sheet; `choose(mm, text)` takes the one pressed. */
export function stockSwatches(parameter, hooks, choose) {
  const name = `stock-${parameter.key}`;
  const element = make("fieldset", { class: "swatches" });
  let built = "";
  let boxes = [];

  function build(unit) {
    boxes = hooks.stock(unit).map((mm) => ({ mm, box: make("input", { type: "radio", name, value: mm, onchange: () => choose(mm, stepText(mm, 1, unit === "in" ? "in" : "mm")) }) }));
    fillWith(element, make("legend", { class: "unseen" }, "Foam as sold"),
      ...boxes.map(({ mm, box }) => make("label", {}, box, make("span", { style: null, "data-mm": mm },
        unit === "in" ? tapeText(mm, "in", { fine: true, bare: true }) : String(Math.round(mm)), make("span", { class: "unseen" }, ` ${foamText(mm, unit).split(" ").pop()} foam`)))));
    for (const strip of element.querySelectorAll("[data-mm]")) strip.style.setProperty("--thick", `${Math.max(2, Number(strip.dataset.mm) * 0.62).toFixed(1)}px`);
  }

  return {
    element,
    show(mm, unit) {
      if (built !== unit) build((built = unit));
      for (const one of boxes) {
        const here = Math.abs(one.mm - mm) < 0.05;
        if (one.box.checked !== here) one.box.checked = here;
      }
    },
  };
}
