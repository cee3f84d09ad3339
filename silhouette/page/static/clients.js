// The clients' folder: open, save, save as, list, search, earlier versions, and a word when two tabs meet.

import { Refusal, postJson } from "./ask.js";
import { fillWith, make, setText } from "./make.js";
import { sentence } from "./told.js";

const by = (id) => document.getElementById(id);

export function createClients(state, given, newDesk) {
  const dialog = by("dialog");
  const me = Math.random().toString(36).slice(2);
  const channel = "BroadcastChannel" in window ? new BroadcastChannel("silhouette clients") : null;
  let met = null; // the client about whom another tab has spoken

  by("open").addEventListener("click", openList);
  by("save").addEventListener("click", () => save());
  by("save-as").addEventListener("click", () => saveAs());
  dialog.addEventListener("click", (event) => event.target === dialog && dialog.close());

  function frame() {
    const { file, kept } = state.desk;
    setText(by("kept"), !file ? "Not saved yet" : kept ? `Saved as “${file}”` : `“${file}”, changes not saved`);
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
      make("button", { type: "button", onclick: () => open(state.desk.file) }, "Show the saved one"));
  }

  function notice(words, ...extra) {
    by("notice").hidden = !words;
    fillWith(by("notice"), words ? make("span", {}, words) : null, ...extra);
  }

  function show(title, ...content) {
    fillWith(dialog, make("div", { class: "dialog" },
      make("div", { class: "dialog-head" }, make("h2", { id: "dialog-title" }, title),
        make("button", { type: "button", class: "close", "aria-label": "Close", onclick: () => dialog.close() }, "×")),
      ...content));
    if (!dialog.open) dialog.showModal();
  }

  function words(error) {
    return error instanceof Refusal ? error.faults.map((f) => sentence(`${f.place}: ${f.message}`)).join(". ") : error.message;
  }

  async function openList() {
    let clients = [];
    let trouble = "";
    try {
      ({ clients } = await postJson("/clients", {}));
    } catch (error) {
      trouble = words(error);
    }
    const list = make("ul", { class: "clients" });
    const said = make("p", { class: "small", role: "status" });
    const search = make("input", { type: "search", id: "search", autocomplete: "off", oninput: list_ });
    function list_() {
      const parts = search.value.toLowerCase().split(/\s+/).filter(Boolean);
      const hits = clients.filter((c) => parts.every((part) => `${c.name} ${c.client} ${c.notes}`.toLowerCase().includes(part)));
      fillWith(list, ...hits.map((c) => make("li", {}, c.fault ? make("p", { class: "small" }, make("strong", {}, c.name), ` ${c.fault}`)
        : make("button", { type: "button", class: "client", onclick: () => open(c.name) },
        make("strong", {}, c.client || c.name), c.client && c.client !== c.name ? make("span", {}, c.name) : null,
        make("time", { datetime: c.saved }, when(c.saved))))));
      said.textContent = trouble || (clients.length ? `${hits.length} of ${clients.length}` : "No client has been saved yet.");
    }
    list_();
    show("Clients",
      make("div", { class: "control wide" }, make("label", { class: "label", for: "search" }, "Search"), search), said, list,
      make("div", { class: "row" },
        make("button", { type: "button", onclick: fresh }, "New client"),
        state.desk.file ? make("button", { type: "button", onclick: earlier }, `Earlier versions of “${state.desk.file}”`) : null),
      make("p", { class: "small" }, `Kept in ${given.folder}. Measurements stay on this machine.`));
    search.focus();
  }

  async function open(name) {
    if (!name) return;
    try {
      const kept = await postJson("/clients/open", { name });
      take(kept.sheet, kept.variants, { file: kept.name, mark: kept.mark, kept: true });
      notice(null);
      dialog.close();
    } catch (error) {
      show("This client could not be opened", make("p", {}, words(error)));
    }
  }

  function fresh() {
    take(given.fresh[state.desk.show], [], {});
    dialog.close();
  }

  function take(sheet, variants, desk) {
    const unit = sheet.unit === "in" ? "in" : "cm";
    state.replace({ sheet, variants, note: "" }, { ...newDesk, view: state.desk.view, show: unit, ...desk });
  }

  async function save(over = state.desk.mark) {
    const { file } = state.desk;
    if (!file) {
      saveAs();
      return;
    }
    try {
      await keep(file, over);
    } catch (error) {
      if (error instanceof Refusal && error.status === 409) conflict(error);
      else show("Not saved", make("p", {}, words(error)));
    }
  }

  async function keep(name, base) {
    const { sheet, variants } = JSON.parse(JSON.stringify(state.work));
    const sent = JSON.stringify({ sheet, variants });
    const kept = await postJson("/clients/save", { name, sheet, variants, base });
    const still = JSON.stringify({ sheet: state.work.sheet, variants: state.work.variants }) === sent;
    state.look((desk) => Object.assign(desk, { file: kept.name, mark: kept.mark, kept: still }));
    channel?.postMessage({ kind: "saved", name: kept.name, mark: kept.mark, me });
    if (met === kept.name) notice(null);
  }

  function saveAs(suggested = state.work.sheet.client?.name ?? "") {
    const fault = make("p", { class: "fault", id: "name-fault", role: "alert" });
    const input = make("input", { type: "text", id: "save-name", maxlength: 100, autocomplete: "off", "aria-describedby": "name-fault" });
    input.value = state.desk.file ?? suggested;
    const form = make("form", { onsubmit: async (event) => {
      event.preventDefault();
      fault.textContent = "";
      try {
        await keep(input.value, null);
        dialog.close();
      } catch (error) {
        fault.textContent = words(error);
        input.focus();
      }
    } },
    make("div", { class: "control wide" }, make("label", { class: "label", for: "save-name" }, "Name"), input, fault),
    make("div", { class: "row" }, make("button", { type: "submit", class: "main" }, "Save")));
    show("Save as", form);
    input.select();
  }

  function conflict(error) {
    const name = state.desk.file;
    const theirs = error.body.mark ?? null;
    const at = error.body.saved ? ` (${when(error.body.saved)})` : "";
    show("Saved elsewhere in the meantime",
      make("p", {}, theirs
        ? `“${name}” was saved elsewhere since you opened it${at}. Nothing has been overwritten. What should happen?`
        : `The file of “${name}” is gone from the folder.`),
      make("div", { class: "column" },
        theirs ? make("button", { type: "button", onclick: () => open(name) }, "Show the saved one, leave mine in the back button") : null,
        make("button", { type: "button", onclick: () => saveAs(`${name} 2`) }, "Keep mine under another name…"),
        make("button", { type: "button", onclick: () => { dialog.close(); save(theirs); } },
          theirs ? "Save mine over it (the other stays among the earlier versions)" : "Save mine again")));
  }

  async function earlier() {
    const name = state.desk.file;
    try {
      const { versions } = await postJson("/clients/earlier", { name });
      show(`Earlier versions of “${name}”`,
        versions.length ? null : make("p", {}, "This client has been saved only once."),
        make("ul", { class: "clients" }, ...versions.map((v) => make("li", {}, make("button", {
          type: "button", class: "client",
          onclick: async () => {
            const { sheet } = await postJson("/clients/earlier", { name, version: v.version });
            state.step((work) => (work.sheet = sheet));
            dialog.close();
          },
        }, make("strong", {}, when(v.saved)), make("span", {}, "Bring back"))))),
        make("p", { class: "small" }, "What is brought back replaces what is on the page; undo takes it away again, save keeps it."));
    } catch (error) {
      show("Earlier versions", make("p", {}, words(error)));
    }
  }

  return { frame, open, save: () => save() };
}

function when(iso) {
  return new Date(iso).toLocaleString(undefined, { dateStyle: "medium", timeStyle: "short" });
}
