// Groups of controls as a dressmaker thinks: the client, the pads, the foam and its edge.

import { controlFor } from "./controls.js";
import { make } from "./make.js";
import { sentence } from "./told.js";

const TITLES = { client: "The client", pads: "The pads", "foam and edge": "Foam, edge and cloth", cutting: "For the cutting table" };
const PARTS = {
  client: null, girths: "Round the body", drops: "Straight down from the waist", widths: "Across, with a caliper",
};
const RARELY = (p) => p.kind === "points" || p.key === "pads.fullness_below";

/** Builds every group; returns {element, update, open}. `hooks` as in controls, without target. */
export function groupsOf(parameters, hooks) {
  let side = "both";
  const target = (key) => (side !== "both" && key.startsWith("pads.") ? `pads.${side}.${key.slice(5)}` : key);
  const all = [];
  const element = make("div", { class: "groups" });
  const details = {};
  for (const group of [...new Set(parameters.map((p) => p.group))]) {
    const own = parameters.filter((p) => p.group === group);
    const body = make("div", { class: "group-body" });
    if (group === "pads") body.append(sideChoice());
    const add = (list, title, folded) => {
      if (!list.length) return;
      const controls = list.map((p) => controlFor(p, { ...hooks, target }));
      all.push(...controls);
      const held = controls.map((c) => c.element);
      if (folded) body.append(make("details", { class: "part" }, make("summary", {}, title), make("div", { class: "controls" }, ...held)));
      else body.append(...(title ? [make("h3", {}, title)] : []), make("div", { class: "controls" }, ...held));
    };
    if (group === "client") {
      for (const part of Object.keys(PARTS)) {
        add(own.filter((p) => p.key.startsWith(`${part}.`)), PARTS[part], part === "widths");
      }
      add(own.filter((p) => !(p.key.split(".")[0] in PARTS)), "More", true);
    } else {
      add(own.filter((p) => !RARELY(p)), null, false);
      add(own.filter(RARELY), "Shape it freely", true);
    }
    details[group] = make("details", { class: "group", "data-group": group },
      make("summary", {}, make("span", {}, TITLES[group] ?? sentence(group))), body);
    element.append(details[group]);
  }

  function sideChoice() {
    const choices = [["both", "Both sides"], ["left", "Wearer’s left"], ["right", "Wearer’s right"]];
    return make("fieldset", { class: "sides" }, make("legend", {}, "These choices are for"),
      ...choices.map(([value, label]) => make("label", {},
        make("input", {
          type: "radio", name: "side", value, checked: value === "both",
          onchange: () => {
            side = value;
            hooks.refresh();
          },
        }), make("span", {}, label))));
  }

  /** Opens the group that holds a key, so that a fault in it can be seen. */
  function reveal(key) {
    const control = all.find((c) => key.replace(/^pads\.(left|right)\./, "pads.").startsWith(c.key));
    for (let at = control?.element.parentElement; at; at = at.parentElement) if (at.tagName === "DETAILS") at.open = true;
    return control;
  }

  return {
    element,
    reveal,
    open: (groups) => Object.entries(details).forEach(([name, part]) => (part.open = groups.includes(name))),
    update: (now) => all.forEach((control) => control.update(now)),
  };
}
