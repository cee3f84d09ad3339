// The first minute: name, waist, hip, wanted hip, one after the other as the tape goes round. No figure and no number
// before waist and hip are known.

import { wordSwitch } from "./aim.js";
import { Refusal, postJson } from "./ask.js";
import { wordsOf } from "./dialog.js";
import { faultText, plainWords } from "./faults.js";
import { withUnit } from "./lengths.js";
import { fillWith, make, setText } from "./make.js";
import { setValue } from "./state.js";
import { hipTape } from "./tape.js";
import { sentence } from "./words.js";

const by = (id) => document.getElementById(id);
const FIRST = ["client.name", "girths.waist", "girths.hip", "aim.hip"];
const REST = ["girths.high_hip", "girths.thigh", "girths.knee", "drops.hip", "drops.under_seat", "client.size"];

/** `hooks`: unit(), take(sheet), away(). */
export function createFirst(given, hooks) {
  const declared = new Map(given.controls.map((p) => [p.key, p]));
  const inputs = {};
  const faults = {};
  for (const [box, keys] of [["first-fields", FIRST], ["first-rest", REST]]) {
    fillWith(by(box), ...keys.map((key) => field(declared.get(key))));
  }
  const look = declared.get("aim.look");
  const aim = wordSwitch(look, "first-look", () => {});
  fillWith(by("first-look"), make("p", { class: "label" }, sentence(look.label), make("small", {}, look.help)), aim.element);
  by("first-form").addEventListener("submit", (event) => {
    event.preventDefault();
    begin();
  });
  by("first-away").addEventListener("click", hooks.away);

  function field(p) {
    const id = `first-${p.key}`;
    const length = p.kind === "length";
    inputs[p.key] = make("input", { type: "text", id, name: p.key, autocomplete: "off", spellcheck: "false", maxlength: 200,
      inputmode: p.kind === "number" ? "decimal" : "text", "aria-describedby": `${id}-fault` });
    faults[p.key] = make("p", { class: "fault", id: `${id}-fault`, hidden: true });
    const label = p.key === "client.name" ? "Name" : sentence(p.label.replace(/ girth$/, ""));
    return make("div", { class: `tape-field${p.key === "client.name" ? " name" : ""}`, "data-first": p.key },
      make("label", { class: "label", for: id }, label, p.key === "client.name" ? null : make("small", {}, p.help)),
      inputs[p.key], length ? make("span", { class: "unit", "aria-hidden": "true" }) : null, faults[p.key]);
  }

  function frame() {
    for (const mark of by("first-form").querySelectorAll(".unit")) setText(mark, hooks.unit() === "in" ? "in" : "cm");
    fillWith(by("first-tape"), hipTape({ bare: hooks.unit() === "in" ? 1016 : 1000 }, hooks.unit()));
    for (const text of by("first-tape").querySelectorAll(".tape-word, .tape-from, .tape-number")) text.remove(); // a tape without a reading
  }

  function raw(key) {
    const p = declared.get(key);
    const typed = inputs[key].value.trim();
    if (!typed) return null;
    if (p.kind === "length") return withUnit(typed, hooks.unit());
    const number = Number(typed.replace(",", "."));
    return p.kind === "number" && Number.isFinite(number) ? number : typed;
  }

  async function begin() {
    const sheet = JSON.parse(JSON.stringify(given.fresh[hooks.unit()]));
    for (const key of [...FIRST, ...REST]) if (raw(key) !== null) setValue(sheet, key, raw(key));
    if (aim.word !== look.default) setValue(sheet, look.key, aim.word);
    tell([]);
    by("first-go").disabled = true;
    setText(by("first-words"), raw("girths.waist") && raw("girths.hip") ? "Trying the foams that are sold…" : "");
    try {
      const { changes } = await postJson("/propose", { sheet, show: hooks.unit() });
      Object.entries(changes).forEach(([key, value]) => setValue(sheet, key, value));
      hooks.take(sheet);
      for (const input of Object.values(inputs)) input.value = "";
      aim.show(look.default);
    } catch (error) {
      tell(error instanceof Refusal ? error.faults : [{ place: "", message: wordsOf(error) }]);
    } finally {
      by("first-go").disabled = false;
      setText(by("first-words"), "");
    }
  }

  /** Each fault stands at its reading; what belongs to none stands below. */
  function tell(list) {
    const others = [];
    const own = new Map();
    for (const fault of list) {
      const key = fault.place.split(" ")[0];
      if (key in inputs) own.set(key, sentence(plainWords(fault.message)));
      else others.push(fault);
    }
    for (const key of Object.keys(inputs)) {
      faults[key].hidden = !own.has(key);
      setText(faults[key], own.get(key) ?? "");
      inputs[key].setAttribute("aria-invalid", String(own.has(key)));
    }
    fillWith(by("first-faults"), others.length ? make("ul", {}, ...others.map((f) => make("li", {}, faultText(f)))) : null);
    const first = [...FIRST, ...REST].find((key) => own.has(key));
    if (REST.includes(first)) by("first-more").open = true;
    if (first) inputs[first].focus();
  }

  return {
    frame,
    /** An empty form, the cursor in its first field. */
    begin() {
      tell([]);
      frame();
      by("first-more").open = false;
      inputs["client.name"].focus();
    },
  };
}
