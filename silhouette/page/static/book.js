// The clients' book: what the page opens on. The last client stands first; a faulty sheet says what is wrong with it.

import { postJson } from "./ask.js";
import { wordsOf } from "./dialog.js";
import { fillWith, make, setText } from "./make.js";

const by = (id) => document.getElementById(id);

/** `actions`: open(name), menu(client) → element or null. */
export function createBook(given, actions) {
  let clients = [];
  let trouble = "";
  by("search").addEventListener("input", list);
  setText(by("folder"), `Kept in ${given.folder}. Measurements stay on this machine.`);

  /** Reads the folder anew; how many clients there are, or null when it could not be read. */
  async function refresh() {
    trouble = "";
    try {
      ({ clients } = await postJson("/clients", {}));
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
    by("book-search").hidden = clients.length < 2;
    setText(by("book-words"), trouble || (!clients.length ? "No client has been saved yet." : parts.length ? `${hits.length} of ${clients.length}` : ""));
  }

  function row(client) {
    const other = client.client && client.client !== client.name;
    return make("li", {}, make("button", { type: "button", class: "client", onclick: () => actions.open(client.name) },
      make("strong", {}, client.client || client.name), other ? make("span", {}, client.name) : null,
      client.fault ? make("span", { class: "bad" }, client.fault) : null,
      make("time", { datetime: client.saved }, when(client.saved))), actions.menu?.(client) ?? null);
  }

  return { refresh };
}

export function when(iso) {
  return new Date(iso).toLocaleString(undefined, { dateStyle: "medium", timeStyle: "short" });
}
