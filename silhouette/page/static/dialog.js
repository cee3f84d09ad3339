// The one dialog: a title, some words, and what can be done.

import { Refusal } from "./ask.js";
import { faultText } from "./faults.js";
import { fillWith, make } from "./make.js";

const dialog = document.getElementById("dialog");
dialog.addEventListener("click", (event) => event.target === dialog && dialog.close());

export function showDialog(title, ...content) {
  fillWith(dialog, make("div", { class: "dialog" },
    make("div", { class: "dialog-head" }, make("h2", { id: "dialog-title" }, title),
      make("button", { type: "button", class: "close", "aria-label": "Close", onclick: closeDialog }, "×")),
    ...content));
  if (!dialog.open) dialog.showModal();
}

export function closeDialog() {
  dialog.close();
}

/** A refusal's faults, or an error's message, as sentences. */
export function wordsOf(error) {
  return error instanceof Refusal ? error.faults.map(faultText).join(". ") : error.message;
}
