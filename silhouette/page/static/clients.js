// Opening and saving clients; unsaved work is asked about before it goes; a word when two tabs meet.

import { Refusal, postJson } from "./ask.js";
import { when } from "./book.js";
import { closeDialog, showDialog, wordsOf } from "./dialog.js";
import { fillWith, make, setText } from "./make.js";

const by = (id) => document.getElementById(id);

/** `hooks`: opened() after a client lies on the table, toBook(). */
export function createClients(state, newDesk, hooks) {
  const me = Math.random().toString(36).slice(2);
  const channel = "BroadcastChannel" in window ? new BroadcastChannel("silhouette clients") : null;
  let met = null; // the client about whom another tab has spoken

  by("save").addEventListener("click", () => save());

  const unsaved = () => !state.desk.kept && Object.keys(state.work.sheet).length > 0;
  addEventListener("beforeunload", (event) => unsaved() && event.preventDefault());

  function frame() {
    const { file, kept, example } = state.desk;
    setText(by("kept"), example && kept ? "The example" : !file ? "Not saved yet" : kept ? `Saved as “${file}”` : `“${file}”, changes not saved`);
    by("kept").classList.toggle("unkept", !kept);
    if (file !== met) {
      met = file;
      notice(null);
      if (file) channel?.postMessage({ kind: "asking", name: file, me });
    }
  }

  if (channel) {
    channel.onmessage = ({ data }) => {
      if (data.me === me || !data.name || data.name !== state.desk.file) return;
      if (data.kind === "asking") channel.postMessage({ kind: "here", name: data.name, me });
      if (data.kind === "asking" || data.kind === "here") notice(`“${data.name}” is open in another tab too. The one that saves second will be asked first.`);
      if (data.kind === "saved" && data.mark !== state.desk.mark) older();
    };
  }
  addEventListener("focus", look);
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && look());

  /** Has somebody else saved this client since it was opened here? */
  async function look() {
    const { file, mark } = state.desk;
    if (!file || !mark) return;
    try {
      const now = await postJson("/clients/mark", { name: file });
      if (now.mark !== mark && state.desk.file === file && state.desk.mark === mark) older();
    } catch {
      // gone or no server: saving will say so
    }
  }

  function older() {
    notice(`“${state.desk.file}” was saved elsewhere since you opened it. You are looking at an older one.`,
      make("button", { type: "button", onclick: () => leave(() => open(state.desk.file)) }, "Show the saved one"));
  }

  function notice(words, ...extra) {
    by("notice").hidden = !words;
    fillWith(by("notice"), words ? make("span", {}, words) : null, ...extra,
      words ? make("button", { type: "button", class: "close", "aria-label": "Put this message away", onclick: () => notice(null) }, "×") : null);
  }

  /** Does `then` at once, or, where work would be lost, after asking. */
  function leave(then) {
    if (!unsaved()) {
      then();
      return;
    }
    const name = state.work.sheet.client?.name || state.desk.file || "This client";
    showDialog("Not saved yet",
      make("p", {}, `${name} has changes that are not saved.`),
      make("div", { class: "column" },
        make("button", { type: "button", class: "main", onclick: async () => {
          closeDialog();
          if (await save()) then();
        } }, "Save, then go on"),
        make("button", { type: "button", onclick: () => { closeDialog(); then(); } }, "Go on without saving"),
        make("button", { type: "button", onclick: closeDialog }, "Stay here")));
  }

  async function open(name) {
    if (!name) return;
    try {
      const kept = await postJson("/clients/open", { name });
      take(kept.sheet, kept.variants, { file: kept.name, mark: kept.mark, kept: true });
      notice(null);
    } catch (error) {
      showDialog("This client cannot be opened", make("p", {}, wordsOf(error)));
      if (state.desk.screen !== "desk") hooks.toBook();
    }
  }

  /** A deleted client comes back to the table; saving puts it back into the folder. */
  async function bringBack({ name, version }) {
    try {
      const { sheet } = await postJson("/clients/earlier", { name, version });
      take(sheet, [], {});
      await keep(name, null);
    } catch (error) {
      showDialog("This client cannot be brought back", make("p", {}, wordsOf(error)));
    }
  }

  /** A client on the table was renamed or deleted from the book. */
  function moved(name, to, path) {
    if (name !== state.desk.file || path.endsWith("copy")) return;
    state.look((desk) => Object.assign(desk, to ? { file: to } : { file: null, mark: null, kept: false }));
  }

  /** Lays a sheet on the table. */
  function take(sheet, variants, desk) {
    const unit = sheet.unit === "in" ? "in" : "cm";
    const { face } = state.desk;
    state.replace({ sheet, variants, note: "" }, { ...newDesk, face, show: unit, screen: "desk", ...desk });
    hooks.opened();
  }

  /** Saves; true when it is saved. */
  async function save(over = state.desk.mark) {
    const { file } = state.desk;
    const name = file ?? state.work.sheet.client?.name?.trim();
    if (!name) return saveAs();
    try {
      await keep(name, file ? over : null);
      return true;
    } catch (error) {
      if (file && error instanceof Refusal && error.status === 409) conflict(error);
      else if (!file && error instanceof Refusal) saveAs(name, wordsOf(error));
      else showDialog("Not saved", make("p", {}, wordsOf(error)));
      return false;
    }
  }

  async function keep(name, base) {
    const { sheet, variants } = JSON.parse(JSON.stringify(state.work));
    const sent = JSON.stringify({ sheet, variants });
    const kept = await postJson("/clients/save", { name, sheet, variants, base });
    const still = JSON.stringify({ sheet: state.work.sheet, variants: state.work.variants }) === sent;
    state.look((desk) => Object.assign(desk, { file: kept.name, mark: kept.mark, kept: still, example: false }));
    channel?.postMessage({ kind: "saved", name: kept.name, mark: kept.mark, me });
    if (met === kept.name) notice(null);
  }

  /** The file was written to by something else that was done here. */
  function written(mark) {
    state.look((desk) => (desk.mark = mark));
    channel?.postMessage({ kind: "saved", name: state.desk.file, mark, me });
  }

  function saveAs(suggested = state.desk.file ?? state.work.sheet.client?.name ?? "", trouble = "") {
    const fault = make("p", { class: "fault", id: "name-fault", role: "alert" }, trouble);
    const input = make("input", { type: "text", id: "save-name", maxlength: 100, autocomplete: "off", "aria-describedby": "name-fault" });
    input.value = suggested;
    const form = make("form", { class: "column", onsubmit: async (event) => {
      event.preventDefault();
      fault.textContent = "";
      try {
        await keep(input.value, null);
        closeDialog();
      } catch (error) {
        fault.textContent = wordsOf(error);
        input.focus();
      }
    } }, make("label", { class: "label", for: "save-name" }, "Name of the file"), input, fault,
    make("div", { class: "row" }, make("button", { type: "submit", class: "main" }, "Save")));
    showDialog("Save under a name", form);
    input.focus();
    input.select();
    return false;
  }

  function conflict(error) {
    const theirs = error.body.mark ?? null;
    const another = (kind) => make("button", { type: "button", class: kind, onclick: () => saveAs(`${state.desk.file} 2`) }, "Keep mine under another name");
    const over = (words, kind) => make("button", { type: "button", class: kind, onclick: () => { closeDialog(); save(theirs); } }, words);
    showDialog(theirs ? "Saved elsewhere in the meantime" : "The file is gone",
      make("p", {}, `${wordsOf(error)}.`),
      make("div", { class: "column" }, ...(theirs ? [another("main"), over("Save mine over it"),
        make("button", { type: "button", onclick: () => { closeDialog(); open(state.desk.file); } }, "Show the saved one, let mine go")] : [over("Save mine again", "main"), another()])),
      theirs ? make("p", { class: "small" }, "What is saved over stays among the earlier versions.") : null);
  }

  async function earlier() {
    const name = state.desk.file;
    try {
      const { versions } = await postJson("/clients/earlier", { name });
      showDialog(`Earlier versions of “${name}”`,
        versions.length ? null : make("p", {}, "Nothing was saved over yet: there is only what stands on the page."),
        make("ul", { class: "clients" }, ...versions.map((v) => make("li", {}, make("button", {
          type: "button", class: "client",
          onclick: async () => {
            const { sheet } = await postJson("/clients/earlier", { name, version: v.version });
            state.step((work) => (work.sheet = sheet));
            closeDialog();
          },
        }, make("strong", {}, when(v.saved)), make("span", {}, "Bring back"))))),
        versions.length ? make("p", { class: "small" }, "What is brought back replaces what is on the page; undo takes it away again, save keeps it.") : null);
    } catch (error) {
      showDialog("Earlier versions", make("p", {}, wordsOf(error)));
    }
  }

  /** What the drawer of her sheet offers. */
  const element = make("div", { class: "row" },
    make("button", { type: "button", id: "save-as", onclick: () => saveAs() }, "Save under another name"),
    make("button", { type: "button", id: "earlier", onclick: earlier }, "Earlier versions"));

  return { frame: () => { frame(); element.lastChild.disabled = !state.desk.file; }, open, save: () => save(), written, take, leave, bringBack, moved, notice, element };
}
