// Puts the page together: state, controls, picture and reading, and the one road between them and the server.

import { Refusal, look, newestWins, postJson } from "./ask.js";
import { createClients } from "./clients.js";
import { groupsOf } from "./groups.js";
import { createHandOver } from "./hand.js";
import { fillWith, make, setText } from "./make.js";
import { createPicture } from "./picture.js";
import { createReading } from "./reading.js";
import { createState, fileInAddress, readTable, setValue } from "./state.js";
import { REST } from "./turning.js";
import { sentence } from "./told.js";
import { createVariants } from "./variants.js";

const by = (id) => document.getElementById(id);
const given = await postJson("/start", {});

const NEW_DESK = { file: null, mark: null, kept: false, show: null, view: { ...REST, mode: "pair", wipe: 0.5, tint: true } };
const found = readTable();
const named = found ? null : fileInAddress();
const state = createState(
  { sheet: given.demo, variants: [], note: "", ...found?.work },
  { ...NEW_DESK, ...found?.desk, view: { ...NEW_DESK.view, ...found?.desk?.view } },
);
if (!["in", "cm"].includes(state.desk.show)) state.desk.show = state.work.sheet.unit === "in" ? "in" : "cm";

const picture = createPicture(state);
const reading = createReading(state, given.controls);
const variants = createVariants(state);
const clients = createClients(state, given, NEW_DESK);
const hand = createHandOver(state, picture);

let last = null; // the newest answer that could be shown
let faults = [];
let why = "replaced";
let late = false; // whether what is shown answers an older sheet than the one on the table

const groups = groupsOf(given.controls, {
  move: (key, raw) => state.move((work) => setValue(work.sheet, key, raw)),
  settle: () => state.settle(),
  unit: () => state.desk.show,
  sheet: () => state.work.sheet,
  refresh: () => refreshControls(),
});
by("controls").append(groups.element);
by("controls").addEventListener("submit", (event) => event.preventDefault());
groups.open(["pads", "foam and edge"]);

let held = null; // the body that the picture already has, or is about to get
const ask = newestWins(
  async ({ sheet, show, moving }) => {
    const answer = await look(sheet, show, held, moving);
    held = answer.numbers.body; // before the next wish is sent off
    return answer;
  },
  ({ answer, error, wish }) => {
    late = wish.sheetText !== JSON.stringify(state.work.sheet);
    if (answer) {
      last = answer;
      faults = [];
      picture.show(answer);
      reading.show(answer.numbers);
      hand.show(answer.numbers);
    } else {
      faults = error instanceof Refusal ? error.faults : [{ place: "", message: error.message }];
    }
    showFaults();
    refreshControls();
  },
);

function refreshControls() {
  groups.update({ sheet: state.work.sheet, unit: state.desk.show, values: last?.numbers.values, faults, stale: faults.length > 0, late, why });
}

function showFaults() {
  document.body.classList.toggle("stale", faults.length > 0);
  if (!faults.length) {
    if (by("faults").firstChild) fillWith(by("faults"));
    return;
  }
  fillWith(by("faults"),
    make("p", {}, make("strong", {}, "This cannot be worn yet. "), last ? "The picture still shows the sheet before it." : ""),
    make("ul", {}, ...faults.map((f) => make("li", {}, f.place ? make("strong", {}, `${f.place}: `) : "", sentence(f.message)))));
  const control = faults.map((f) => groups.reveal(f.place.split(" ")[0])).find(Boolean);
  if (control && last === null) control.element.querySelector("input")?.focus();
}

async function refresh(moving = false) {
  by("result").setAttribute("aria-busy", "true");
  const sheetText = JSON.stringify(state.work.sheet);
  const done = await ask({ sheet: JSON.parse(sheetText), sheetText, show: state.desk.show, moving });
  if (done) by("result").setAttribute("aria-busy", "false");
}

let shownUnit = state.desk.show;
state.listen((reason) => {
  why = reason;
  frame();
  if (reason === "looked" && shownUnit === state.desk.show) picture.redraw();
  else refresh(reason === "moved");
  shownUnit = state.desk.show;
  if (reason !== "looked" && reason !== "moved") variants.refresh();
});

/** Title, buttons, unit switch: what follows from the state alone. */
function frame() {
  const { sheet } = state.work;
  const name = sheet.client?.name || state.desk.file || "New client";
  setText(by("client"), name);
  if (document.title !== `${name} · Silhouette`) document.title = `${name} · Silhouette`;
  by("undo").disabled = !state.canUndo;
  by("redo").disabled = !state.canRedo;
  for (const radio of document.querySelectorAll("input[name=unit]")) radio.checked = radio.value === state.desk.show;
  clients.frame();
  hand.frame();
}

by("undo").addEventListener("click", state.undo);
by("redo").addEventListener("click", state.redo);
by("units").addEventListener("change", (event) => {
  state.look((desk) => (desk.show = event.target.value));
  variants.refresh();
});
addEventListener("popstate", () => state.fromHistory() || clients.open(fileInAddress()));
addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  const typing = event.target.matches?.("input[type=text], textarea");
  const key = event.key.toLowerCase();
  if (key === "z" && !typing) {
    event.preventDefault();
    if (event.shiftKey) state.redo();
    else state.undo();
  } else if (key === "y" && !typing) {
    event.preventDefault();
    state.redo();
  } else if (key === "s") {
    event.preventDefault();
    clients.save();
  }
});

// the picture stays below the head, however many lines that has
new ResizeObserver(([head]) => document.documentElement.style.setProperty("--head", `${Math.ceil(head.contentRect.height)}px`))
  .observe(document.querySelector(".page-head"));

state.write();
frame();
refresh();
variants.refresh();
if (named) clients.open(named);
