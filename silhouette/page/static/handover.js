// The hand-over file: the same picture, drawing and numbers, from what the file itself carries.

import { giveGrids, tonesFrom } from "./figure.js";
import { silhouettes, placeOf, spread } from "./drawing.js";
import { fillWith, make } from "./make.js";
import { createStage } from "./stage.js";
import { girthParts, levelsTable, reasonPart, reasonsOf, sentence, verdictPart } from "./words.js";
import { tapeText } from "./lengths.js";
import { REST, VIEWS, allowTurning, glideTo, viewWords } from "./turning.js";

const carried = JSON.parse(document.getElementById("data").textContent);
const view = { ...REST, mode: "pair", wear: "dressed", light: "soft", wipe: 0.5, level: carried.new_hip_drop_mm };
view.bareLevel = carried.girths.find((g) => g.level === "hip").drop_mm;
let unit = carried.unit;
const canvas = document.getElementById("picture");
const stage = createStage(canvas);

function turned() {
  stage.draw(view, tonesFrom(carried.values["cloth.colour"]));
  canvas.setAttribute("aria-label", `The figure before and after, seen from ${viewWords(view)}`);
}

function setTheStage() {
  const bytes = Uint8Array.from(atob(carried.points), (c) => c.charCodeAt(0));
  const block = new Int16Array(bytes.buffer);
  giveGrids(stage, carried, block);
  const read = () => ({ turn: view.turn, tilt: view.tilt });
  const write = (next) => {
    Object.assign(view, next);
    turned();
  };
  allowTurning(canvas, read, write);
  fillWith(document.getElementById("views"),
    ...Object.values(VIEWS).map((goal) => make("button", { type: "button", onclick: () => glideTo(goal, read, write) }, goal.label)),
    make("label", { class: "pick" }, make("input", { type: "checkbox", checked: true, onchange: (event) => write({ tint: event.target.checked }) }),
      make("span", {}, "Show the pads")));
  new ResizeObserver(turned).observe(canvas);
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", turned);
}

function tellAll() {
  const put = (id, ...parts) => fillWith(document.getElementById(id), ...parts);
  const { big, lines } = girthParts(carried, unit);
  const reasons = reasonsOf(carried);
  const hip = carried.girths.find((g) => g.level === "hip");
  put("tag-before", make("b", {}, "Before"), ` ${tapeText(hip.before_mm, unit)}`);
  put("tag-after", make("b", {}, "After"), ` ${tapeText(carried.new_hip_girth_mm, unit)}`);
  put("girth", big);
  put("girth-lines", ...lines.map((line) => make("p", {}, line)));
  put("shell", ...(carried.shell_lines ?? []).slice(0, 1).map((line) => make("p", {}, line)));
  put("verdict", verdictPart(carried));
  put("reasons", ...reasons.map((r) => reasonPart(r)));
  put("table", levelsTable(carried, unit));
  put("cautions", ...carried.cautions.map((c) => make("li", {}, sentence(c))));
  const box = document.getElementById("outlines");
  const width = Math.floor(box.clientWidth);
  const places = spread(reasons.map((r) => placeOf(r, r.number)).filter(Boolean));
  put("outlines", silhouettes(carried, { width, height: Math.round(Math.max(230, Math.min(width * 0.66, 420))), unit, places }));
}

document.getElementById("client").textContent = carried.client || "Before and after";
document.getElementById("date").textContent = new Date(carried.date).toLocaleDateString(undefined, { dateStyle: "long" });
document.getElementById("note").textContent = carried.note;
document.getElementById("note").hidden = !carried.note;
for (const radio of document.querySelectorAll("input[name=unit]")) {
  radio.checked = radio.value === unit;
  radio.addEventListener("change", () => {
    unit = radio.value;
    tellAll();
  });
}
if (stage) setTheStage();
else {
  document.getElementById("stage").hidden = true;
  document.getElementById("plain").hidden = false;
}
tellAll();
new ResizeObserver(tellAll).observe(document.getElementById("outlines"));
