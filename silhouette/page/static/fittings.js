// A fitting put on record, what explains a difference and what to do now; records can be taken back.

import { Refusal, postJson } from "./ask.js";
import { wordsOf } from "./dialog.js";
import { withSigns, withUnit } from "./lengths.js";
import { fillWith, make, setText } from "./make.js";
import { setValue } from "./state.js";

/** `hooks`: save() → whether it is saved, written(mark) after a file was written to. */
export function createFittings(state, hooks) {
  const id = (name) => `fitting-${name}`;
  let turn = 0;
  const read = make("input", { type: "text", id: id("hip"), autocomplete: "off", "aria-describedby": id("fault") });
  const unit = make("span", { class: "unit", "aria-hidden": "true" });
  const over = make("select", { id: id("over") }, make("option", { value: "cloth" }, "The finished garment"), make("option", { value: "pads" }, "The bare pads"));
  const day = make("input", { type: "date", id: id("date") });
  const fault = make("p", { class: "fault", id: id("fault"), role: "alert" });
  const go = make("button", { type: "button", class: "main", id: id("record"), onclick: () => record(false) }, "Record the fitting");
  const said = make("div", { class: "said-now", id: id("said"), role: "status" });
  const list = make("div", { id: id("list") });
  const element = make("div", {},
    make("p", { class: "small" }, "What the tape reads at the fitting, round the fullest hip. It goes into her sheet, and says what explains a difference and what to do now."),
    row("The tape read", read, unit), row("Over", over), row("Day", day), fault, make("div", { class: "row" }, go), said, list);
  read.addEventListener("keydown", (event) => event.key === "Enter" && record(false));

  function row(words, input, ...more) {
    return make("div", { class: "control" }, make("label", { class: "label", for: input.id }, words), make("span", { class: "field" }, input, ...more));
  }

  async function record(replace) {
    fillWith(fault);
    fillWith(said);
    if (!read.value.trim()) {
      setText(fault, "Type what the tape read.");
      read.focus();
      return;
    }
    go.disabled = true;
    setText(said, "Looking for what explains it…");
    try {
      if ((!state.desk.kept || !state.desk.file) && !(await hooks.save())) {
        fillWith(said);
        return;
      }
      const { show, file, mark } = state.desk;
      const told = await postJson("/fittings/record", { name: file, base: mark, hip: withUnit(read.value.trim(), show), over: over.value, date: day.value, replace, show });
      hooks.written(told.mark);
      read.value = "";
      fillWith(said, ...paragraphs(told.lines), use(told.changes));
      await refresh();
    } catch (error) {
      fillWith(said);
      setText(fault, wordsOf(error));
      if (error instanceof Refusal && error.body.same) {
        fault.append(" ", make("button", { type: "button", id: id("replace"), onclick: () => record(true) }, "Put this one in its place"));
      }
    } finally {
      go.disabled = false;
    }
  }

  /** What was learned can go into the sheet; undo takes it out again. */
  function use(changes) {
    const list = Object.entries(changes);
    return list.length ? make("button", { type: "button", class: "take", id: id("use"), onclick: (event) => {
      state.step((work) => list.forEach(([key, value]) => setValue(work.sheet, key, value)));
      event.target.disabled = true;
    } }, "Let her sheet follow what was learned") : null;
  }

  async function takeBack(one) {
    fillWith(fault);
    try {
      const { mark } = await postJson("/fittings/take-back", { name: state.desk.file, base: state.desk.mark, date: one.date, over: one.over });
      hooks.written(mark);
      fillWith(said, make("p", {}, `The fitting of ${one.date} is out of her sheet again.`));
      await refresh();
    } catch (error) {
      setText(fault, wordsOf(error));
    }
  }

  /** The records as the file has them. */
  async function refresh() {
    const mine = ++turn; // an earlier reading that comes in late says nothing
    setText(unit, state.desk.show);
    day.value ||= today();
    const { file, show } = state.desk;
    if (!file) {
      fillWith(list);
      return;
    }
    try {
      const { records } = await postJson("/fittings", { name: file, show });
      if (file !== state.desk.file || mine !== turn) return;
      fillWith(list, records.length ? make("h3", {}, "On record") : null, ...records.map((one) => make("div", { class: "fitting" },
        make("div", {}, ...paragraphs(one.lines)),
        make("button", { type: "button", "aria-label": `Take back the fitting of ${one.date}`, onclick: () => takeBack(one) }, "Take back"))));
    } catch (error) {
      setText(fault, wordsOf(error));
    }
  }

  return {
    element,
    refresh,
    /** Another client: nothing of the last one stays. */
    forget() {
      for (const part of [fault, said, list]) fillWith(part);
      read.value = "";
      day.value = "";
    },
  };
}

/** Lines as paragraphs; those that are set in become a list below the one before. */
function paragraphs(lines) {
  const parts = [];
  for (const line of lines) {
    const words = withSigns(line.trim());
    if (!line.startsWith("  ")) parts.push(make("p", {}, words));
    else {
      if (parts.at(-1)?.tagName !== "UL") parts.push(make("ul", {}));
      parts.at(-1).append(make("li", {}, words));
    }
  }
  return parts;
}

function today() {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((n) => String(n).padStart(2, "0")).join("-");
}
