// Natural, or for the stage: one choice of two words, in the first form and at the answer.

import { make } from "./make.js";
import { sentence } from "./words.js";

/** A switch for a declared choice; `choose(word)` takes the one pressed. */
export function wordSwitch(parameter, name, choose) {
  const radios = parameter.choices.map((word) => make("input", { type: "radio", name, value: word, checked: word === parameter.default, onchange: () => choose(word) }));
  const element = make("fieldset", { class: "switch little", title: parameter.looks, "aria-describedby": `${name}-help` },
    make("legend", { class: "unseen" }, sentence(parameter.label)),
    ...radios.map((radio) => make("label", {}, radio, make("span", {}, sentence(radio.value)))),
    make("p", { class: "help unseen", id: `${name}-help` }, `${parameter.help} ${parameter.looks}`));
  return {
    element,
    get word() { return radios.find((radio) => radio.checked)?.value ?? null; },
    show(word) {
      for (const radio of radios) if (radio.checked !== (radio.value === word)) radio.checked = radio.value === word;
    },
  };
}
