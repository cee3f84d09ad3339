// The turning picture on the page: stage, mirrors, named views, the divider and the captions.

import { giveGrids, tonesFrom } from "./figure.js";
import { tapeText } from "./lengths.js";
import { fillWith, make, setMark, setText } from "./make.js";
import { createStage } from "./stage.js";
import { VIEWS, allowTurning, glideTo, viewWords } from "./turning.js";

const by = (id) => document.getElementById(id);

export function createPicture(state) {
  const canvas = by("picture");
  const stage = createStage(canvas);
  let tones = tonesFrom();
  let numbers = null;
  let drawnFor = 0;

  by("plain").hidden = Boolean(stage);
  if (!stage) {
    by("stage").classList.add("no-picture");
    for (const hidden of [canvas, document.querySelector(".views"), document.querySelector(".grounds"), by("turn-help")]) hidden.hidden = true;
  }

  const readView = () => ({ turn: state.desk.view.turn, tilt: state.desk.view.tilt });
  const writeView = (view, settled) => {
    state.look((desk) => Object.assign(desk.view, view), { quiet: !settled });
  };
  allowTurning(canvas, readView, writeView);
  fillWith(by("views"), ...Object.entries(VIEWS).map(([name, view]) =>
    make("button", { type: "button", "data-view": name, onclick: () => glideTo(view, readView, writeView) }, view.label)));
  by("over").addEventListener("change", (event) => state.look((desk) => (desk.view.mode = event.target.checked ? "over" : "pair")));
  by("tint").addEventListener("change", (event) => state.look((desk) => (desk.view.tint = event.target.checked)));
  by("wipe").addEventListener("input", (event) => state.look((desk) => (desk.view.wipe = Number(event.target.value) / 100), { quiet: true }));
  by("wipe").addEventListener("change", () => state.write());
  canvas.addEventListener("redraw", redraw);
  new ResizeObserver(redraw).observe(canvas);
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
    tones = tonesFrom();
    redraw();
  });

  function redraw() {
    const { view, show } = state.desk;
    by("over").checked = view.mode === "over";
    by("tint").checked = view.tint;
    by("wipe-holder").hidden = view.mode !== "over" || !stage;
    if (by("wipe").value !== String(Math.round(view.wipe * 100))) by("wipe").value = Math.round(view.wipe * 100);
    by("stage").dataset.mode = view.mode;
    by("stage").style.setProperty("--wipe", `${view.wipe * 100}%`);
    if (!numbers) return;
    const hip = numbers.girths.find((g) => g.level === "hip");
    setText(by("tag-before").lastElementChild, tapeText(hip.before_mm, show));
    setText(by("tag-after").lastElementChild, tapeText(numbers.new_hip_girth_mm, show));
    if (!stage) return;
    stage.draw({ ...view, level: numbers.new_hip_drop_mm, bareLevel: hip.drop_mm }, tones);
    setMark(canvas, "aria-label", `The figure before and after, seen from ${viewWords(view)}`);
    for (const button of by("views").children) {
      const goal = VIEWS[button.dataset.view];
      const there = Math.abs(Math.sin((goal.turn - view.turn) / 2)) < 0.02 && Math.abs(goal.tilt - view.tilt) < 0.03;
      setMark(button, "aria-pressed", there);
    }
  }

  return {
    canvas,
    redraw,
    /** A new answer: its grids, and the numbers beside it. Tells the page that a picture was shown. */
    show(answer) {
      numbers = answer.numbers;
      if (stage) giveGrids(stage, numbers, answer.block);
      redraw();
      drawnFor += 1;
      document.dispatchEvent(new CustomEvent("pictured", { detail: drawnFor }));
    },
    /** The picture as it stands, for paper. */
    still() {
      if (!stage || !numbers) return null;
      redraw();
      return canvas.toDataURL("image/png");
    },
  };
}
