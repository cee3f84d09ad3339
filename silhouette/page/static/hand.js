// What leaves the page: the client's file, her picture, a printed page, the cutting templates.

import { Refusal, eachLine, post } from "./ask.js";
import { wordsOf } from "./dialog.js";
import { silhouettes } from "./drawing.js";
import { herParts } from "./hers.js";
import { foamText, tapeText } from "./lengths.js";
import { fillWith, make } from "./make.js";
import { girthParts, levelsTable, reasonPart, reasonsOf, sentence, verdictPart } from "./words.js";

const ON_PAPER = 6; // reasons told in full on the one page

const by = (id) => document.getElementById(id);

export function createHandOver(state, picture) {
  let numbers = null;
  const progress = make("div", { id: "progress", class: "progress", role: "status" });
  const cut = make("div", { id: "cut-progress", class: "progress", role: "status" });
  const short = make("div", { class: "row", role: "group", "aria-label": "To take home" },
    button("Save the page", file), button("Save the picture", still), button("Print", () => window.print()));
  const element = make("div", {},
    make("div", { class: "row" }, button("Save her page", file, "handover"), button("Save her picture", still, "save-picture"),
      button("Print for her", () => printed("client"), "print-hers"), button("Print the workroom card", () => printed("workroom"), "print")),
    make("p", { class: "small" }, "Her page is one file with pictures and words; it opens from disk or from a letter, without a network."),
    progress);
  const cutting = make("div", {}, make("div", { class: "row" }, button("Make the templates", templates, "templates", cut)), cut);
  addEventListener("beforeprint", () => setUp(state.desk.face));

  function button(words, job, id = null, tell = progress) {
    return make("button", { type: "button", id, onclick: (event) => busy(event.currentTarget, job, tell) }, words);
  }

  async function busy(pressed, job, tell) {
    pressed.disabled = true;
    try {
      await job();
    } catch (error) {
      fillWith(tell, make("p", { class: "fault" }, wordsOf(error)));
    } finally {
      pressed.disabled = false;
      if (document.activeElement === document.body) pressed.focus({ preventScroll: true }); // what is disabled loses it
    }
  }

  function nameOf(ending) {
    const { client } = state.work.sheet;
    return `${(client?.name || state.desk.file || "before and after").replace(/[^\p{L}\p{N} ,._-]/gu, " ").trim()}.${ending}`;
  }

  function save(blob, name) {
    const link = make("a", { href: URL.createObjectURL(blob), download: name });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
    fillWith(progress, make("p", {}, `“${name}” is written (${Math.round(blob.size / 1024)} KB).`));
  }

  async function file() {
    fillWith(progress, make("progress", { "aria-label": "Writing the file" }), make("p", {}, "Writing the file…"));
    const reply = await post("/handover", { sheet: state.work.sheet, show: state.desk.show });
    save(await reply.blob(), nameOf("html"));
  }

  async function still() {
    save(await (await fetch(picture.still())).blob(), nameOf("png"));
  }

  async function templates() {
    const bar = make("progress", { max: 1, value: 0, "aria-label": "Making the templates" });
    const words = make("p", {}, "Making the templates…");
    fillWith(cut, bar, words);
    const name = state.desk.file || state.work.sheet.client?.name || "New client";
    const reply = await post("/templates", { sheet: state.work.sheet, name });
    await eachLine(reply, tell);

    function tell(line) {
      if (line.faults) throw new Refusal(422, line);
      if (line.files) {
        fillWith(cut, make("p", {}, `Written into ${line.folder}:`), make("ul", {}, ...line.files.map((f) => make("li", {},
          make("a", { href: `/paper/${encodeURIComponent(name)}/${encodeURIComponent(f)}`, target: "_blank", rel: "noopener" }, f)))));
        return;
      }
      bar.max = Math.max(line.of, 1);
      bar.value = line.done;
      words.textContent = `${sentence(line.words)}…`;
    }
  }

  function printed(face) {
    const before = state.desk.face;
    state.look((desk) => (desk.face = face), { quiet: true });
    window.print();
    state.look((desk) => (desk.face = before), { quiet: true });
  }

  /** The five choices as they stand, for the card. */
  function padsLine(unit) {
    const { values } = numbers;
    if (!numbers.foam_mm.length) return "No pads.";
    const foam = numbers.foam_mm.map((mm) => foamText(mm, unit)).join(" and ");
    const places = ["start", "end", "bevel"].map((name) => `${name === "bevel" ? "edge" : name} ${tapeText(values[`pads.${name}`], unit)}`).join(", ");
    const apart = Object.keys(values).some((key) => /^pads\.(left|right)\./.test(key));
    return `Foam ${foam}; ${places}${apart ? "; the two sides differ" : ""}.`;
  }

  /** The one page for paper, set up anew each time: hers, or the workroom's. */
  function setUp(face) {
    if (!numbers) return;
    const unit = state.desk.show;
    const image = picture.still();
    const { client } = state.work.sheet;
    const head = make("header", {}, make("h1", {}, numbers.client || state.desk.file || "Before and after"),
      make("p", {}, new Date().toLocaleDateString(undefined, { dateStyle: "long" })));
    const figure = image ? make("figure", {}, make("img", { src: image, alt: "The figure before and after" })) : null;
    by("printed").dataset.face = face;
    if (face === "client") {
      fillWith(by("printed"), head, figure, ...herParts({ ...numbers, note: client?.note, next_date: client?.next_date }, unit));
      return;
    }
    const { big, lines } = girthParts(numbers, unit);
    const reasons = reasonsOf(numbers);
    fillWith(by("printed"), head,
      make("div", { class: "pair" }, figure,
        make("div", { class: "told" }, make("p", { class: "label" }, "New hip girth"), make("p", { class: "big" }, big), make("p", {}, padsLine(unit)),
          ...lines.map((line) => make("p", {}, line)), ...(numbers.shell_lines ?? []).slice(0, 1).map((line) => make("p", {}, line)),
          verdictPart(numbers))),
      client?.notes ? make("p", { class: "note" }, client.notes) : null,
      silhouettes(numbers, { width: 680, height: 300, unit }),
      levelsTable(numbers, unit),
      reasons.length ? make("ol", { class: "reasons" }, ...reasons.slice(0, ON_PAPER).map((r) => reasonPart(r))) : null,
      reasons.length > ON_PAPER ? make("p", {}, `And ${reasons.length - ON_PAPER} more: ${reasons.slice(ON_PAPER).map((r) => r.check).join(", ")}.`) : null,
      make("p", { class: "cautions" }, numbers.cautions.join(" ")));
  }

  return { element, cutting, short, show: (answer) => (numbers = answer) };
}
