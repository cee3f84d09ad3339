// Puts the page together: state, screens, drawers, picture and answer, and the one road between them and the server.

import { createAnswer } from "./answer.js";
import { Refusal, look, newestWins, postJson } from "./ask.js";
import { createBook } from "./book.js";
import { createClients } from "./clients.js";
import { FIVE, createDrawers } from "./drawers.js";
import { inWords, nameControls, plainWords } from "./faults.js";
import { createFindings } from "./findings.js";
import { createFirst } from "./first.js";
import { createFittings } from "./fittings.js";
import { createHandOver } from "./hand.js";
import { createHers } from "./hers.js";
import { withSigns } from "./lengths.js";
import { fillWith, make, setText } from "./make.js";
import { createMap } from "./map.js";
import { createOutlines } from "./outlines.js";
import { createPicture } from "./picture.js";
import { copy, createState, fileInAddress, readTable, setValue } from "./state.js";
import { createTrace } from "./trace.js";
import { REST } from "./turning.js";
import { createVariants } from "./variants.js";
import { createWish } from "./wish.js";
import { sentence } from "./words.js";

const by = (id) => document.getElementById(id);
const given = await postJson("/start", {});
nameControls(given.controls, FIVE);

const NEW_DESK = { file: null, mark: null, kept: false, example: false, show: null, screen: "book", face: "workroom",
  view: { ...REST, mode: "pair", wear: "dressed", light: "soft", wipe: 0.5 } };
const found = readTable();
const named = found ? null : fileInAddress();
const state = createState(
  { sheet: {}, variants: [], note: "", ...found?.work },
  { ...NEW_DESK, ...found?.desk, view: { ...NEW_DESK.view, ...found?.desk?.view } },
);
const firstUnit = () => (/^en-US\b/.test(navigator.language) ? "in" : "cm");
if (!["in", "cm"].includes(state.desk.show)) state.desk.show = found ? (state.work.sheet.unit === "in" ? "in" : "cm") : firstUnit();

const picture = createPicture(state, () => by("result").getAttribute("aria-busy") === "true");
const outlines = createOutlines(state, {
  target: (key) => drawers.target(key),
  side: () => drawers.side(),
  parameter: (key) => given.controls.find((p) => p.key === key),
});
const answer = createAnswer(state, given.controls.find((p) => p.key === "aim.look"), () => drawers.show("findings"));
const findings = createFindings(state, given.controls, outlines.point);
const variants = createVariants(state, given.controls, picture.setRow);
const clients = createClients(state, NEW_DESK, { opened, toBook: () => toScreen("book") });
const book = createBook(given, {
  open: (name) => clients.leave(() => clients.open(name)),
  back: (gone) => clients.leave(() => clients.bringBack(gone)),
  moved: clients.moved,
});
const first = createFirst(given, {
  unit: () => state.desk.show,
  take: (sheet) => clients.take(sheet, [], {}),
  away: () => toScreen("book"),
});
const fittings = createFittings(state, { save: clients.save, written: clients.written });
const map = createMap(state, {
  parameter: (key) => given.controls.find((p) => p.key === key),
  target: (key) => drawers.target(key),
  span: (key) => ({ "pads.thickness": [6, 25.4], "pads.front_reach": [75, 200], "pads.back_gap": [0, 100], ...ranges() })[key] ?? [0, 1],
  values: () => last?.numbers.values,
});
const trace = createTrace(state);
const hand = createHandOver(state, picture);
const hers = createHers(state, hand.short);

let last = null; // the newest answer that could be shown
let faults = [];
let why = "replaced";
let late = false; // whether what is shown answers an older sheet than the one on the table
let held = null; // the body that the picture already has, or is about to get

const drawers = createDrawers(given.controls, {
  move: (key, raw) => state.move((work) => setValue(work.sheet, key, raw)),
  coming,
  settle: () => state.settle(),
  unit: () => state.desk.show,
  sheet: () => state.work.sheet,
  stock: (unit) => given.stock[unit],
  pulled: (name) => ({ fittings: fittings.refresh, map: map.redraw })[name]?.(),
  refresh: () => {
    refreshControls();
    outlines.redraw();
  },
}, { findings: findings.element, levels: findings.levels, variants: variants.element, outline: trace.element, pads: outlines.element, map: map.element, fittings: fittings.element, hand: hand.element, cutting: hand.cutting, file: clients.element });
trace.watch();
const wish = createWish(state,
  (changes) => state.step((work) => changes.forEach(([key, value]) => setValue(work.sheet, key, value))), // in the sheet's own unit
  (words) => clients.notice(withSigns(words)));

const ask = newestWins(
  ({ sheet, show, moving }) => look(sheet, show, held, { moving }),
  ({ answer: reply }) => {
    if (!reply) return;
    written(reply.numbers);
    held = reply.numbers.body; // before the next wish is sent off
  },
  ({ answer: reply, error, wish: asked }) => {
    if (state.desk.screen !== "desk") return;
    late = asked.sheetText !== JSON.stringify(state.work.sheet);
    if (reply) {
      last = reply;
      faults = [];
      picture.show(reply, asked.sheet);
      answer.show(reply.numbers);
      outlines.show(reply.numbers);
      trace.show(reply.numbers, late);
      hand.show(reply.numbers);
      wish.show(reply.numbers);
      if (!asked.moving || state.desk.face === "client") hers.show(reply.numbers);
      if (!asked.moving) findings.show(reply.numbers); // what to change is asked for once the hand rests
      if (!asked.moving && drawers.isOpen("map")) map.redraw();
    } else {
      faults = (error instanceof Refusal ? error.faults : [{ place: "", message: error.message }]).map((f) => ({ ...f, message: plainWords(f.message) }));
      picture.stand(); // with smooth edges, as no other is coming
    }
    showFaults();
    refreshControls(asked.moving);
  },
);

/** One way of writing fractions and of saying how grave something is, in the server's sentences too. */
function written(numbers) {
  numbers.rule_sentence = withSigns(numbers.rule_sentence);
  numbers.shell_lines = numbers.shell_lines?.map(withSigns);
  for (const finding of numbers.findings) for (const part of ["message", "advice", "basis"]) finding[part] = withSigns(finding[part]).replace(/\bobvious\b/g, "would show");
}

/** The useful part of a control's range: what suits this body. Typing reaches all that is declared. */
function ranges() {
  const values = last?.numbers.values;
  if (!values) return {};
  const [hip, drop] = [last.numbers.body_hip_mm, values["drops.hip"]];
  return { "aim.hip": [hip, hip + 180], "pads.start": [0, drop], "pads.end": [drop * 0.7, drop * 2.4], "pads.bevel": [0, 115] };
}

function refreshControls(held = false) {
  if (state.desk.screen !== "desk") return;
  drawers.update({ sheet: state.work.sheet, unit: state.desk.show, values: last?.numbers.values, ranges: ranges(), faults, stale: faults.length > 0, late, why, held });
}

function showFaults() {
  document.body.classList.toggle("stale", faults.length > 0);
  document.body.classList.toggle("empty", last === null);
  by("nothing").hidden = !(faults.length && last === null);
  setText(by("nothing"), "No figure yet: her sheet has to be mended first.");
  if (!faults.length) {
    if (by("faults").firstChild) fillWith(by("faults"));
    return;
  }
  fillWith(by("faults"),
    make("p", {}, make("strong", {}, "This cannot be shown yet. "), last ? "The picture is the one before it." : ""),
    make("ul", {}, ...faults.map(faultLine)));
  let control = null;
  faults.some((f) => (control = drawers.reveal(f.place.split(" ")[0]))); // the first that has a control: one drawer can be out
  if (control && last === null) control.element.querySelector("input")?.focus();
}

function faultLine(fault) {
  const { about, message } = inWords(fault);
  return make("li", {}, about ? make("strong", {}, `${about}: `) : "", about ? message : sentence(message));
}

async function refresh(moving = false) {
  if (state.desk.screen !== "desk") return;
  by("result").setAttribute("aria-busy", "true");
  const sheetText = JSON.stringify(state.work.sheet);
  const done = await ask({ sheet: JSON.parse(sheetText), sheetText, show: state.desk.show, moving });
  if (done) by("result").setAttribute("aria-busy", "false");
}

/** A hand comes to a control: where it leads to is asked for, so that the picture can follow its first step. */
async function coming(key, raw) {
  if (faults.length || picture.knows(key) || by("result").getAttribute("aria-busy") === "true") return;
  const sheet = copy(state.work.sheet);
  setValue(sheet, key, raw);
  const reply = await look(sheet, state.desk.show, held, { moving: true, coming: true }).catch(() => null); // whatever is wrong, the hand will hear of it
  if (reply) picture.learn(reply, sheet);
}

/** Another client lies on the table: nothing of the one before stays. Her name is heard, and Tab goes on from there. */
function opened() {
  drawers.rest();
  fittings.forget();
  map.forget();
  trace.forget();
  by("client").focus({ preventScroll: true });
}

async function toScreen(screen) {
  const some = screen === "book" && (await book.refresh()); // before it is in sight: no list changes under a hand
  state.look((desk) => (desk.screen = screen));
  if (some) by("clients").querySelector("button")?.focus();
  if (screen === "first") first.begin();
}

let shownUnit = state.desk.show;
state.listen((reason) => {
  why = reason;
  if (reason === "replaced") {
    last = null;
    faults = [];
    answer.forget();
    showFaults();
  }
  frame();
  if (reason === "looked" && shownUnit === state.desk.show) picture.redraw();
  else {
    if (reason === "replaced") refresh(true); // the picture first; advice takes longer
    if (reason === "moved" && state.desk.screen === "desk") picture.runAhead();
    refresh(reason === "moved");
  }
  shownUnit = state.desk.show;
  if (reason !== "looked" && reason !== "moved" && state.desk.screen === "desk") variants.refresh();
});

/** Screen, title, buttons, switches: what follows from the state alone. */
function frame() {
  const { screen, face, show } = state.desk;
  document.body.dataset.screen = screen;
  document.body.dataset.face = face;
  for (const [id, name] of [["book", "book"], ["first", "first"], ["desk", "desk"]]) by(id).hidden = screen !== name;
  by("back").hidden = !state.work.sheet.girths;
  const name = screen === "desk" ? state.work.sheet.client?.name || state.desk.file || "New client" : "Silhouette";
  setText(by("client"), name);
  setText(by("back"), `Back to ${state.work.sheet.client?.name || state.desk.file || "the new client"}`);
  const title = screen === "desk" ? `${name} · Silhouette` : "Silhouette";
  if (document.title !== title) document.title = title;
  by("undo").disabled = !state.canUndo;
  by("redo").disabled = !state.canRedo;
  for (const radio of document.querySelectorAll("input[name=unit]")) radio.checked = radio.value === show;
  for (const radio of document.querySelectorAll("input[name=face]")) radio.checked = radio.value === face;
  if (screen === "first") first.frame();
  clients.frame();
}

document.body.addEventListener("click", (event) => {
  if (!event.target.matches(".skip")) return;
  event.preventDefault(); // the address names a client's file, and nothing else
  const goal = event.target.hash === "#chest" ? by("chest") : state.desk.screen === "desk" ? by("five") : document.querySelector("main");
  [...goal.querySelectorAll("button, input")].find((part) => part.checkVisibility())?.focus();
});
by("undo").addEventListener("click", state.undo);
by("redo").addEventListener("click", state.redo);
by("open").addEventListener("click", () => toScreen("book"));
by("back").addEventListener("click", () => {
  toScreen("desk");
  refresh();
});
by("fresh").addEventListener("click", () => clients.leave(() => toScreen("first")));
by("example").addEventListener("click", () => clients.leave(() => clients.take(given.demo, [], { kept: true, example: true })));
by("units").addEventListener("change", (event) => {
  state.look((desk) => (desk.show = event.target.value));
  if (state.desk.screen === "desk") variants.refresh();
});
by("faces").addEventListener("change", (event) => {
  state.look((desk) => (desk.face = event.target.value));
  if (last) outlines.show(last.numbers);
});
addEventListener("popstate", () => state.fromHistory() || clients.open(fileInAddress()));
addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || state.desk.screen !== "desk") return;
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

if (state.desk.screen === "desk" && found) {
  state.write();
  frame();
  refresh();
  variants.refresh();
} else if (named) {
  await clients.open(named);
} else {
  await toScreen((await book.refresh()) === 0 ? "first" : "book");
}
if (state.desk.screen !== "desk") by("result").setAttribute("aria-busy", "false");
