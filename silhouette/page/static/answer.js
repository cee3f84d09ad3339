// The answer beside the picture: the new hip on the tape, what to buy and to cut, the verdict; and the strip on a phone.

import { wordSwitch } from "./aim.js";
import { postJson } from "./ask.js";
import { foamText, moreText, tapeText, withSigns } from "./lengths.js";
import { fillWith, make, setText } from "./make.js";
import { hipTape } from "./tape.js";
import { setValue } from "./state.js";
import { reasonsOf, sentence, severitySign } from "./words.js";

const by = (id) => document.getElementById(id);
const RESTED = 350; // ms without a change before the shopping list is asked for

/** Keeps what is shown, so that a part is built anew only when what it shows has changed. */
export function freshly() {
  const built = new Map();
  return (element, shown, build) => {
    const key = JSON.stringify(shown);
    if (built.get(element) === key) return;
    built.set(element, key);
    fillWith(element, ...build());
  };
}

export function createAnswer(state, look, openFindings) {
  const fresh = freshly();
  const aim = wordSwitch(look, "aim-look", (word) => state.step((work) => setValue(work.sheet, look.key, word === look.default ? null : word)));
  fillWith(by("aim-look"), make("span", {}, sentence(look.label)), aim.element);
  let saying = 0;
  let resting = 0;
  let cut = null; // the last that was said of the shell; it is worked out only once things rest
  const bought = new Map();

  function show(numbers) {
    const unit = state.desk.show;
    const big = tapeText(numbers.new_hip_girth_mm, unit);
    setText(by("girth"), big);
    setText(by("added"), numbers.added_mm < 0.5 ? "nothing is worn: her own hip"
      : `${moreText(numbers.body_hip_mm, numbers.new_hip_girth_mm, unit)} more, ± ${tapeText(numbers.new_hip_tolerance_mm, unit)}${numbers.worn ? `; ${tapeText(numbers.worn_hip_girth_mm, unit)} under the shell` : ""}`);
    const wish = numbers.wish_mm;
    aim.show(numbers.values[look.key]);
    fresh(by("hip-tape"), [numbers.body_hip_mm, numbers.new_hip_girth_mm, wish, unit], () => [
      hipTape({ bare: numbers.body_hip_mm, now: numbers.new_hip_girth_mm, wish }, unit)]);
    const worth = reasonsOf(numbers).length;
    fresh(by("verdict"), [numbers.verdict, numbers.verdict_word, worth], () => [verdict(numbers, worth)]);
    if (numbers.shell) cut = numbers.shell;
    todo(numbers, unit);
    fresh(by("strip"), [numbers.verdict, big], () => [severitySign(numbers.verdict), make("b", {}, big),
      make("span", { class: "word" }, numbers.verdict_word.toLowerCase())]);
    clearTimeout(saying);
    saying = setTimeout(() => {
      by("heard").textContent = `New hip girth ${big}. ${numbers.verdict_word}. ${reasonsOf(numbers).map((r) => r.message).join(". ")}`;
    }, 700);
    clearTimeout(resting);
    if (numbers.shell_lines) resting = setTimeout(() => shop(numbers), RESTED); // not while a control is held
  }

  function verdict(numbers, worth) {
    return make("div", { class: `verdict ${numbers.verdict}` },
      make("p", { class: "said" }, severitySign(numbers.verdict), make("strong", {}, numbers.verdict_word)),
      make("button", { type: "button", id: "why", onclick: openFindings }, worth ? `${worth} to look at` : "All checks"));
  }

  function todo(numbers, unit) {
    const foams = [...new Set(numbers.foam_mm)];
    const bare = !foams.length;
    const amount = bought.get(key(unit));
    fresh(by("to-do"), [foams, cut?.hip_mm, cut?.given, numbers.lining_mm, unit, amount], () => bare ? [] : [
      make("dt", {}, "Foam to buy"), make("dd", {}, foams.map((t) => foamText(t, unit)).join(" and "), make("small", {}, amount ? ` · ${amount}` : "")),
      ...(cut ? [make("dt", {}, "Cut to"), make("dd", {}, `${tapeText(cut.given ? cut.hip_mm : cut.recommended_hip_mm, unit)} `,
        make("small", {}, "shell, "), `${tapeText(numbers.lining_mm, unit)} `, make("small", {}, "lining"))] : []),
    ]);
  }

  function key(unit) {
    return JSON.stringify([{ ...state.work.sheet, client: state.work.sheet.client?.size, aim: null }, unit]); // no name and no wish changes foam
  }

  /** How much of a foam sheet the pieces need: asked for only once the hand rests. */
  async function shop(numbers) {
    const unit = state.desk.show;
    const wanted = key(unit);
    if (!bought.has(wanted)) {
      try {
        bought.set(wanted, withSigns((await postJson("/buying", { sheet: state.work.sheet, show: unit })).words));
      } catch {
        bought.set(wanted, ""); // no pads, or pads that cannot be laid flat: the templates say why
      }
    }
    if (bought.size > 60) bought.clear();
    if (wanted === key(state.desk.show)) todo(numbers, unit);
  }

  return {
    show,
    /** Another client: nothing that was said of the last one stays. */
    forget() {
      cut = null;
      clearTimeout(resting);
      clearTimeout(saying);
      by("heard").textContent = "";
    },
  };
}
