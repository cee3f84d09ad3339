// The clients' book: what the page opens on. The last client stands first; a faulty sheet says what is wrong with it.

import { postJson } from "./ask.js";
import { closeDialog, showDialog, wordsOf } from "./dialog.js";
import { lineText } from "./faults.js";
import { fillWith, make, setText } from "./make.js";

const by = (id) => document.getElementById(id);

/** `actions`: open(name), back(gone), moved(name, to or null, path). */
export function createBook(given, actions) {
  let clients = [];
  let gone = [];
  let trouble = "";
  by("search").addEventListener("input", list);
  setText(by("folder"), `Kept in ${given.folder}. Measurements stay on this machine.`);

  /** Reads the folder anew; how many clients there are, or null when it could not be read. */
  async function refresh() {
    trouble = "";
    try {
      ({ clients, gone } = await postJson("/clients", {}));
    } catch (error) {
      trouble = wordsOf(error);
    }
    list();
    return trouble ? null : clients.length;
  }

  function list() {
    const parts = by("search").value.toLowerCase().split(/\s+/).filter(Boolean);
    const hits = clients.filter((c) => parts.every((part) => `${c.name} ${c.client} ${c.notes}`.toLowerCase().includes(part)));
    by("clients").classList.toggle("found", parts.length > 0);
    fillWith(by("clients"), ...hits.map(row));
    by("gone").hidden = !gone.length;
    fillWith(by("gone-list"), ...gone.map((one) => make("li", {}, make("button", { type: "button", class: "client", onclick: () => actions.back(one) },
      make("strong", {}, one.name), make("span", {}, "Bring back"), make("time", { datetime: one.saved }, when(one.saved))))));
    by("book-search").hidden = clients.length < 2;
    setText(by("book-words"), trouble || (!clients.length ? "No client has been saved yet." : parts.length ? `${hits.length} of ${clients.length}` : ""));
  }

  /** What can be done with a client besides opening it. */
  function more(client) {
    const name = () => make("input", { type: "text", value: client.name, maxlength: 100, id: "new-name", autocomplete: "off" });
    const under = (title, path, words) => () => {
      const input = name();
      const fault = make("p", { class: "fault", role: "alert" });
      showDialog(title, make("form", { class: "column", onsubmit: async (event) => {
        event.preventDefault();
        await tried(path, { name: client.name, to: input.value }, fault);
      } }, make("label", { class: "label", for: "new-name" }, "Name of the file"), input, fault,
      make("div", { class: "row" }, make("button", { type: "submit", class: "main" }, words))));
      input.focus();
      input.select();
    };
    const remove = () => {
      const fault = make("p", { class: "fault", role: "alert" });
      showDialog(`Delete “${client.name}”?`, make("p", {}, "The sheet leaves the list and stays among the deleted clients, from where it can be brought back."),
        fault, make("div", { class: "row" }, make("button", { type: "button", class: "main", onclick: () => tried("/clients/remove", { name: client.name }, fault) }, "Delete"),
          make("button", { type: "button", onclick: closeDialog }, "Keep")));
    };
    return make("button", { type: "button", class: "more-of", "aria-label": `More of ${client.client || client.name}`, onclick: () => showDialog(client.client || client.name,
      make("div", { class: "column" },
        make("button", { type: "button", onclick: under("Rename", "/clients/rename", "Rename") }, "Rename the file"),
        make("button", { type: "button", onclick: under("Copy", "/clients/copy", "Copy") }, "Copy under another name"),
        make("button", { type: "button", onclick: remove }, "Delete"))) }, "…");
  }

  async function tried(path, body, fault) {
    try {
      const done = await postJson(path, body);
      closeDialog();
      actions.moved(body.name, done.name ?? null, path);
      await refresh();
    } catch (error) {
      setText(fault, wordsOf(error));
    }
  }

  function row(client) {
    const other = client.client && client.client !== client.name;
    return make("li", {}, make("button", { type: "button", class: "client", onclick: () => actions.open(client.name) },
      make("strong", {}, client.client || client.name), other ? make("span", {}, client.name) : null,
      client.fault ? make("span", { class: "bad" }, lineText(client.fault)) : null,
      make("time", { datetime: client.saved }, when(client.saved))), more(client));
  }

  return { refresh };
}

export function when(iso) {
  return new Date(iso).toLocaleString(undefined, { dateStyle: "medium", timeStyle: "short" });
}
