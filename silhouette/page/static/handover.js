// The hand-over file turns where scripts run: the figure from what the file itself carries, in place of its stills.

import { giveGrids, gridsOf, tonesFrom } from "./figure.js";
import { fillWith, make } from "./make.js";
import { createStage } from "./stage.js";
import { REST, VIEWS, allowTurning, glideTo, viewWords } from "./turning.js";

const carried = JSON.parse(document.getElementById("data").textContent);
const view = { ...REST, mode: "pair", wear: "dressed", light: "soft", wipe: 0.5, level: carried.level, bareLevel: carried.bareLevel };
const canvas = document.getElementById("picture");
const stage = createStage(canvas);

function turned() {
  stage.draw(view, tonesFrom(carried.colour));
  canvas.setAttribute("aria-label", `The figure before and after, seen from ${viewWords(view)}`);
}

function setTheStage() {
  document.getElementById("turning").hidden = false;
  document.getElementById("stills").hidden = true;
  const bytes = Uint8Array.from(atob(carried.points), (c) => c.charCodeAt(0));
  giveGrids(stage, gridsOf(carried, new Int16Array(bytes.buffer)));
  const read = () => ({ turn: view.turn, tilt: view.tilt });
  const write = (next) => {
    Object.assign(view, next);
    turned();
  };
  allowTurning(canvas, read, write);
  const light = make("label", { class: "pick" }, make("input", { type: "checkbox", onchange: (event) => write({ light: event.target.checked ? "side" : "soft" }) }),
    make("span", {}, "Side light"));
  fillWith(document.getElementById("views"),
    ...Object.values(VIEWS).filter((goal) => goal !== VIEWS.rest).map((goal) => make("button", { type: "button", onclick: () => glideTo(goal, read, write) }, goal.label)), light);
  new ResizeObserver(turned).observe(canvas);
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", turned);
}

if (stage) setTheStage(); // where the browser cannot draw it, the stills stay
