// What leaves the page: a file for the client, a printed page, the cutting templates.

import { Refusal, post } from "./ask.js";
import { silhouettes } from "./drawing.js";
import { fillWith, make } from "./make.js";
import { girthParts, levelsTable, reasonPart, reasonsOf, sentence, verdictPart } from "./told.js";

const ON_PAPER = 6; // reasons told in full on the one page

const by = (id) => document.getElementById(id);

export function createHandOver(state, picture) {
  let numbers = null;
  by("handover").addEventListener("click", () => busy(by("handover"), file));
  by("templates").addEventListener("click", () => busy(by("templates"), templates));
  by("print").addEventListener("click", () => window.print());
  by("note").addEventListener("input", (event) => state.move((work) => (work.note = event.target.value)));
  by("note").addEventListener("change", state.settle);
  addEventListener("beforeprint", summary);

  function frame() {
    if (document.activeElement !== by("note")) by("note").value = state.work.note;
  }

  async function busy(button, job) {
    button.disabled = true;
    try {
      await job();
    } catch (error) {
      const words = error instanceof Refusal ? error.faults.map((f) => sentence(`${f.place}: ${f.message}`)).join(". ") : error.message;
      fillWith(by("progress"), make("p", { class: "fault" }, words));
    } finally {
      button.disabled = false;
    }
  }

  async function file() {
    fillWith(by("progress"), make("progress", { "aria-label": "Writing the file" }), make("p", {}, "Writing the file…"));
    const { sheet } = state.work;
    const reply = await post("/handover", { sheet, show: state.desk.show, note: state.work.note });
    const blob = await reply.blob();
    const name = `${(sheet.client?.name || state.desk.file || "before and after").replace(/[^\p{L}\p{N} ,._-]/gu, " ").trim()}.html`;
    const link = make("a", { href: URL.createObjectURL(blob), download: name });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
    fillWith(by("progress"), make("p", {}, `“${name}” is written (${Math.round(blob.size / 1024)} KB). It works from disk, without a network.`));
  }

  async function templates() {
    const bar = make("progress", { max: 1, value: 0, "aria-label": "Making the templates" });
    const words = make("p", {}, "Making the templates…");
    fillWith(by("progress"), bar, words);
    const name = state.desk.file || state.work.sheet.client?.name || "New client";
    const reply = await post("/templates", { sheet: state.work.sheet, name });
    const reader = reply.body.pipeThrough(new TextDecoderStream()).getReader();
    let rest = "";
    for (let part = await reader.read(); !part.done; part = await reader.read()) {
      const lines = (rest + part.value).split("\n");
      rest = lines.pop();
      for (const line of lines.filter(Boolean)) tell(JSON.parse(line));
    }

    function tell(line) {
      if (line.faults) throw new Refusal(422, line);
      if (line.files) {
        fillWith(by("progress"), make("p", {}, `Written into ${line.folder}:`), make("ul", {}, ...line.files.map((f) => make("li", {}, f))));
        return;
      }
      bar.max = Math.max(line.of, 1);
      bar.value = line.done;
      words.textContent = `${sentence(line.words)}…`;
    }
  }

  /** The one page for paper, set up anew each time. */
  function summary() {
    if (!numbers) return;
    const unit = state.desk.show;
    const { big, lines } = girthParts(numbers, unit);
    const still = picture.still();
    const reasons = reasonsOf(numbers);
    const { note } = state.work;
    const room = note.length > 500 ? ON_PAPER / 2 : ON_PAPER;
    fillWith(by("printed"),
      make("header", {}, make("h1", {}, numbers.client || state.desk.file || "Before and after"),
        make("p", {}, new Date().toLocaleDateString(undefined, { dateStyle: "long" }))),
      make("div", { class: "pair" },
        still ? make("figure", {}, make("img", { src: still, alt: "The figure before and after" }), make("figcaption", {}, "Before and after")) : null,
        make("div", { class: "told" }, make("p", { class: "label" }, "New hip girth"), make("p", { class: "big" }, big),
          ...lines.map((line) => make("p", {}, line)), ...(numbers.shell_lines ?? []).slice(0, 1).map((line) => make("p", {}, line)),
          verdictPart(numbers))),
      note ? make("p", { class: "note" }, note) : null,
      silhouettes(numbers, { width: 680, height: 300, unit }),
      levelsTable(numbers, unit),
      reasons.length ? make("ol", { class: "reasons" }, ...reasons.slice(0, room).map((r) => reasonPart(r))) : null,
      reasons.length > room ? make("p", {}, `And ${reasons.length - room} more: ${reasons.slice(room).map((r) => r.check).join(", ")}.`) : null,
      make("p", { class: "cautions" }, numbers.cautions.join(" ")));
  }

  return { frame, show: (answer) => (numbers = answer) };
}
