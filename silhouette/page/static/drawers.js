// The five choices that matter, and the chest: everything else lies in drawers that say what they hold.

import { controlFor } from "./controls.js";
import { fillWith, make, setMark, setText } from "./make.js";

const by = (id) => document.getElementById(id);

/** In reading order: what she wants, the foam, where it begins and ends, how its edge runs out. */
export const FIVE = { "aim.hip": "wanted hip", "pads.thickness": "foam", "pads.start": "start", "pads.end": "end", "pads.bevel": "edge" };

/** Name, title, what it holds, and which sheet sections lie in it (with the headings above them). */
const CHEST = [
  { name: "findings", title: "Findings", holds: "what an eye sees" },
  { name: "readings", title: "Readings", holds: "girths, drops",
    parts: { "client.name": "", "client.size": "", girths: "Round the body", along: "Down the body, tape on it",
      drops: "Straight down from the waist", widths: "Across, with a caliper" } },
  { name: "shape", title: "Her shape", holds: "stance, belly, sides", parts: { shape: "", uneven: "Left and right", body: "From a scan" } },
  { name: "outline", title: "Her outline", holds: "from photographs" },
  { name: "pads", title: "Pads", holds: "reach, gap, fullness",
    parts: { "pads.front_outline": "Drawn by points", "pads.back_outline": "Drawn by points", "pads.profile": null, pads: "" } },
  { name: "foam", title: "Foam", holds: "grade, edge shape", parts: { "pads.profile": "", "foam.sheet_width": null, foam: "" } },
  { name: "cloth", title: "Cloth", holds: "ease, shell, stretch", parts: { cloth: "" } },
  { name: "levels", title: "Levels", holds: "waist to knee" },
  { name: "variants", title: "Variants", holds: "up to four at once" },
  { name: "map", title: "Map", holds: "two choices at once" },
  { name: "fittings", title: "Fittings", holds: "tape, what now" },
  { name: "cutting", title: "Cutting", holds: "templates", parts: { "foam.sheet_width": "" } },
  { name: "hand", title: "Hand over", holds: "note, file, paper", parts: { "client.note": "", "client.next_date": "" } },
  { name: "file", title: "Her sheet", holds: "notes, versions", parts: { "client.notes": "", aim: "" } },
];
const AT_THE_ANSWER = "aim.look"; // stands with the verdict that it changes
const CUTTING = "cutting"; // the declared group whose cloth and foam keys belong on the cutting table

/** Builds the five and the chest. `hooks` as in controls, without target; `extra` are elements by drawer name. */
export function createDrawers(parameters, hooks, extra) {
  let side = "both";
  let open = null;
  let newest = null;
  const target = (key) => (side !== "both" && key.startsWith("pads.") ? `pads.${side}.${key.slice(5)}` : key);
  const own = { ...hooks, target };
  const declared = new Map(parameters.map((p) => [p.key, p]));
  const five = Object.entries(FIVE).map(([key, name]) => controlFor({ ...declared.get(key), label: name }, own));
  const all = [...five];
  const bodies = {};
  const fronts = {};
  const placed = new Map(); // key → drawer

  fillWith(by("five-controls"), ...five.map((control) => control.element));
  for (const box of [by("five-controls"), by("aim-look")]) for (const event of ["focusin", "pointerover"]) box.addEventListener(event, explain);

  /** One line below the five says what the one at hand does to the look. */
  function explain(event) {
    const key = event.target.closest("[data-key]")?.dataset.key;
    if (key) setText(by("five-help"), [declared.get(key).help, declared.get(key).looks].join(" "));
  }

  for (const drawer of CHEST) {
    const lists = partsOf(drawer);
    if (!lists.length && !extra[drawer.name]) continue;
    const body = make("div", { class: "drawer-part", "data-drawer": drawer.name, hidden: true });
    for (const [heading, list] of lists) {
      if (heading) body.append(make("h3", {}, heading));
      const controls = list.map((p) => controlFor(p, own));
      all.push(...controls);
      list.forEach((p) => placed.set(p.key, drawer.name));
      body.append(make("div", { class: "controls" }, ...controls.map((c) => c.element)));
    }
    if (extra[drawer.name]) body[drawer.name === CUTTING ? "prepend" : "append"](extra[drawer.name]); // what is cut stands before its allowances
    bodies[drawer.name] = body;
    fronts[drawer.name] = make("button", { type: "button", "aria-expanded": "false", "aria-controls": "drawer", "data-front": drawer.name,
      onclick: () => (open === drawer.name ? close() : show(drawer.name)) },
      make("strong", {}, drawer.title), make("small", {}, drawer.holds));
  }
  fillWith(by("drawer-body"), ...Object.values(bodies));
  fillWith(by("chest"), ...Object.values(fronts));
  for (const form of [by("five"), by("drawer-body")]) form.addEventListener("submit", (event) => event.preventDefault());
  by("drawer-close").addEventListener("click", close);
  by("drawer").addEventListener("keydown", (event) => event.key === "Escape" && close());

  /** The parameters of a drawer under their headings; a whole key wins over its section. */
  function partsOf(drawer) {
    const lists = new Map();
    for (const p of parameters) {
      if (p.key in FIVE || p.key === AT_THE_ANSWER || p.kind === "outline" || homeOf(p) !== drawer.name) continue;
      const heading = drawer.parts?.[p.key] ?? drawer.parts?.[p.key.split(".")[0]] ?? "";
      lists.set(heading, [...(lists.get(heading) ?? []), p]);
    }
    return [...lists];
  }

  function homeOf(p) {
    const section = p.key.split(".")[0];
    const whole = CHEST.find((d) => typeof d.parts?.[p.key] === "string");
    if (whole) return whole.name;
    if (p.group === CUTTING) return "cutting";
    const held = CHEST.find((d) => d.parts && section in d.parts && d.parts[p.key] !== null);
    return held ? held.name : "file";
  }

  const sides = sideChoice();
  by("five-controls").after(sides);

  /** One switch: it stands below the five, and goes along into the drawer of the pads. */
  function sideChoice() {
    const choices = [["both", "Both sides"], ["left", "Her left"], ["right", "Her right"]];
    return make("fieldset", { class: "sides" }, make("legend", { class: "unseen" }, "The pads that are changed"),
      ...choices.map(([value, label]) => make("label", {},
        make("input", { type: "radio", name: "side", value, checked: value === "both", onchange: () => chooseSide(value) }),
        make("span", {}, label))));
  }

  function chooseSide(value) {
    side = value;
    for (const radio of sides.querySelectorAll("input")) radio.checked = radio.value === side;
    hooks.refresh();
  }

  function show(name, focus = true) {
    if (!bodies[name]) return;
    if (open && open !== name) setMark(fronts[open], "aria-expanded", "false");
    open = name;
    setMark(fronts[name], "aria-expanded", "true");
    for (const [other, body] of Object.entries(bodies)) body.hidden = other !== name;
    by("five").hidden = true;
    by("desk").classList.add("drawn");
    by("drawer").hidden = false;
    setText(by("drawer-title"), CHEST.find((d) => d.name === name).title);
    by("drawer-body").scrollTop = 0;
    if (newest) all.filter((control) => placed.get(control.key) === name).forEach((control) => control.update({ ...newest, side }));
    if (name === "pads") bodies.pads.prepend(sides);
    hooks.pulled?.(name);
    if (focus) {
      by("drawer-title").focus({ preventScroll: true });
      by("change").scrollIntoView({ block: matchMedia("(max-width: 999px)").matches ? "start" : "nearest" });
    }
  }

  function close() {
    if (!open) return;
    const front = fronts[open];
    by("five-controls").after(sides);
    setMark(front, "aria-expanded", "false");
    open = null;
    by("drawer").hidden = true;
    by("five").hidden = false;
    by("desk").classList.remove("drawn");
    front.focus({ preventScroll: true });
  }

  function inSight({ key }) {
    return placed.has(key) ? placed.get(key) === open : open === null;
  }

  /** Opens the drawer that holds a key, so that a fault in it can be seen. */
  function reveal(key) {
    const plain = key.replace(/^pads\.(left|right)\./, "pads.");
    const control = all.find((c) => plain === c.key || plain.startsWith(`${c.key}.`));
    if (control && placed.has(control.key) && open !== placed.get(control.key)) show(placed.get(control.key), false);
    return control;
  }

  return {
    reveal, show, close, target,
    side: () => side,
    isOpen: (name) => open === name,
    /** A new client: the five lie open, both sides are meant. */
    rest() {
      if (side !== "both") chooseSide("both");
      close();
    },
    /** Every control; while one of them is held, those in sight: the rest follow once the hand rests. */
    update(now) {
      newest = { ...now, side };
      all.forEach((control) => (now.held && !inSight(control) ? null : control.update(newest)));
    },
  };
}
