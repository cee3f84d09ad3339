// Below the wanted hip: how near the pads come to it, and a button that lays the pads that come nearest.

import { postJson } from "./ask.js";
import { freshly } from "./answer.js";
import { wordsOf } from "./dialog.js";
import { tapeText } from "./lengths.js";
import { make } from "./make.js";

const NEAR = 3.2; // mm: a tape is read to an eighth of an inch

/** `take(changes)` carries a proposal out, `tell(words)` says what it is. */
export function createWish(state, take, tell) {
  const fresh = freshly();
  const element = make("div", { class: "wish", id: "wish" });
  document.querySelector('#five-controls [data-key="aim.hip"]').append(element);

  async function propose(event) {
    event.target.disabled = true;
    try {
      const { changes, words } = await postJson("/propose", { sheet: state.work.sheet, show: state.desk.show });
      if (Object.keys(changes).length) take(Object.entries(changes));
      else tell(words);
    } catch (error) {
      tell(wordsOf(error));
    } finally {
      event.target.disabled = false;
    }
  }

  return {
    show(numbers) {
      const unit = state.desk.show;
      const wanted = numbers.wish_mm;
      const apart = wanted === null ? null : numbers.new_hip_girth_mm - wanted;
      fresh(element, [apart, unit], () => [
        make("span", {}, apart === null ? "No wish noted" : Math.abs(apart) <= NEAR ? "These pads give it"
          : `These give ${tapeText(Math.abs(apart), unit)} ${apart < 0 ? "less" : "more"}`),
        apart === null ? null : make("button", { type: "button", id: "propose", onclick: propose }, "Choose the foam"),
      ]);
    },
  };
}
