// The turning picture on the page: stage, mirrors, named views, the divider and the captions.

import { createAhead } from "./ahead.js";
import { CLOTH, figureOf, giveGrids, gridsOf, tonesFrom } from "./figure.js";
import { tapeText } from "./lengths.js";
import { fillWith, make, setMark, setText } from "./make.js";
import { createStage } from "./stage.js";
import { setValue } from "./state.js";
import { VIEWS, allowTurning, glideTo, viewWords } from "./turning.js";
import { severitySign } from "./words.js";

const by = (id) => document.getElementById(id);

/** `awaited()` says whether the next picture is under way already. */
export function createPicture(state, awaited) {
  const canvas = by("picture");
  const stage = createStage(canvas, awaited);
  const colour = () => state.work.sheet.cloth?.colour ?? "slate";
  let tones = tonesFrom(colour());
  let shownColour = colour();
  let numbers = null;
  const ahead = createAhead();
  let exact = null; // the figure of the newest answer, {grids, level}
  let drawn = null; // the figure on the stage: that one, or one that is ahead of it
  let row = []; // the variants that stand beside one another

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
  for (const name of ["wear", "mode"]) by(name).addEventListener("change", (event) => state.look((desk) => (desk.view[name] = event.target.value)));
  by("side-light").addEventListener("change", (event) => state.look((desk) => (desk.view.light = event.target.checked ? "side" : "soft")));
  by("colours").append(...Object.entries(CLOTH).map(([name, tone]) => {
    const dot = make("span", { class: "dot" }, make("span", { class: "unseen" }, name));
    dot.style.setProperty("--tone", tone);
    return make("label", { title: name }, make("input", { type: "radio", name: "colour", value: name,
      onchange: () => state.step((work) => setValue(work.sheet, "cloth.colour", name)) }), dot);
  }));
  by("wipe").addEventListener("input", (event) => state.look((desk) => (desk.view.wipe = Number(event.target.value) / 100), { quiet: true }));
  by("wipe").addEventListener("change", () => state.write());
  canvas.addEventListener("redraw", redraw);
  new ResizeObserver(redraw).observe(canvas);
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
    tones = tonesFrom(colour());
    redraw();
  });

  function redraw() {
    const { show } = state.desk;
    const view = { ...state.desk.view, mode: seenMode() };
    for (const name of ["wear", "mode"]) for (const radio of by(name).querySelectorAll("input")) radio.checked = radio.value === view[name];
    by("side-light").checked = view.light === "side";
    if (shownColour !== colour()) tones = tonesFrom((shownColour = colour()));
    for (const radio of by("colours").querySelectorAll("input")) radio.checked = radio.value === shownColour;
    by("wipe-holder").hidden = view.mode !== "divide" || !stage;
    if (by("wipe").value !== String(Math.round(view.wipe * 100))) by("wipe").value = Math.round(view.wipe * 100);
    by("stage").dataset.mode = view.mode;
    by("stage").dataset.row = row.length;
    by("row-tags").hidden = view.mode !== "row" || !stage;
    by("stage").style.setProperty("--wipe", `${view.wipe * 100}%`);
    if (!numbers) return;
    const hip = numbers.girths.find((g) => g.level === "hip");
    setText(by("tag-before").lastElementChild, tapeText(hip.before_mm, show));
    setText(by("tag-after").lastElementChild, tapeText(numbers.new_hip_girth_mm, show));
    if (!stage) return;
    stage.draw({ ...view, level: drawn.level, bareLevel: hip.drop_mm }, tones);
    setMark(canvas, "aria-label", `${view.mode === "row" ? `Variants ${row.map((one) => one.name).join(", ")}` : "The figure before and after"}, seen from ${viewWords(view)}`);
    for (const button of by("views").children) {
      const goal = VIEWS[button.dataset.view];
      const there = Math.abs(Math.sin((goal.turn - view.turn) / 2)) < 0.02 && Math.abs(goal.tilt - view.tilt) < 0.03;
      setMark(button, "aria-pressed", there);
    }
  }

  /** Variants stand in a row only while there are some. */
  function seenMode() {
    return state.desk.view.mode === "row" && (!row.length || !stage) ? "pair" : state.desk.view.mode;
  }

  /** The figure of an answer; a body that was not sent again is that of the newest. */
  function figureIn(answer) {
    return { grids: gridsOf(answer.numbers, answer.block, exact?.grids), level: answer.numbers.new_hip_drop_mm };
  }

  function put(figure) {
    giveGrids(stage, figure.grids, drawn?.grids);
    drawn = figure;
  }

  /** Tells the page that a picture was shown, and whether it is `ahead` of its answer. */
  function pictured(early) {
    document.dispatchEvent(new CustomEvent("pictured", { detail: { ahead: early } }));
  }

  return {
    canvas,
    redraw,
    /** The variants to stand in a row, {name, numbers, block} each, none or up to four. */
    setRow(list) {
      row = list;
      by("row-choice").hidden = !list.length || !stage;
      if (stage) stage.setRow(list.map((one) => figureOf(one.numbers, one.block)));
      fillWith(by("row-tags"), ...list.map(({ name, numbers: own }) => make("p", {}, make("span", { class: "tag" },
        make("span", { class: "workroom-only" }, severitySign(own.verdict)), make("b", {}, name), tapeText(own.new_hip_girth_mm, state.desk.show)))));
      redraw();
    },
    /** A new answer to the sheet `asked`; where the one on the table has moved on, its figure is drawn ahead. */
    show(answer, asked) {
      numbers = answer.numbers;
      if (stage) {
        exact = figureIn(answer);
        ahead.keep(asked, numbers.values, exact);
        put(ahead.guess(state.work.sheet) ?? exact);
      }
      redraw();
      pictured(false);
    },
    /** An answer to a sheet that a control may soon come to: nothing of it is shown. */
    learn(answer, asked) {
      if (exact) ahead.learn(asked, answer.numbers.values, figureIn(answer));
    },
    knows: (key) => !stage || ahead.knows(key),
    /** The sheet on the table has moved on: its figure, where the answers so far tell it. */
    runAhead() {
      const guess = stage && ahead.guess(state.work.sheet);
      if (!guess) return;
      put(guess);
      redraw();
      pictured(true);
    },
    /** No answer is coming: what is drawn is the newest there is, and no guess. */
    stand() {
      if (exact) put(exact);
      redraw();
    },
    /** The picture as it stands, for paper. */
    still() {
      if (!stage || !numbers) return null;
      const view = { ...state.desk.view, mode: seenMode() === "row" ? "pair" : seenMode() };
      const hip = numbers.girths.find((g) => g.level === "hip");
      put(exact);
      stage.drawFine({ ...view, level: exact.level, bareLevel: hip.drop_mm }, tones);
      return titled(canvas, numbers, state.desk.show, hip.before_mm);
    },
  };
}

/** The picture on paper with its two girths below, as a PNG. */
function titled(canvas, numbers, unit, before) {
  const style = getComputedStyle(document.documentElement);
  const foot = Math.round(canvas.width * 0.045);
  const sheet = document.createElement("canvas");
  [sheet.width, sheet.height] = [canvas.width, canvas.height + 2 * foot];
  const pen = sheet.getContext("2d");
  pen.fillStyle = "#fbfaf7";
  pen.fillRect(0, 0, sheet.width, sheet.height);
  pen.drawImage(canvas, 0, 0);
  pen.fillStyle = "#23262c";
  pen.textAlign = "center";
  pen.font = `600 ${foot}px ${style.getPropertyValue("--serif")}`;
  const y = canvas.height + 1.25 * foot;
  pen.fillText(`Before ${tapeText(before, unit)}`, sheet.width / 4, y);
  pen.fillText(`After ${tapeText(numbers.worn_hip_girth_mm ?? numbers.new_hip_girth_mm, unit)}`, (3 * sheet.width) / 4, y);
  return sheet.toDataURL("image/png");
}
