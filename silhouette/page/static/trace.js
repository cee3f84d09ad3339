// Her outline traced from photographs: a photograph in the place of the picture, two lines that say how it lies, and
// points that are drawn onto her outline.

import { createHandles } from "./handles.js";
import { tapeText } from "./lengths.js";
import { fillWith, make, setMark, setText } from "./make.js";
import { valueAt } from "./state.js";
import { createForm } from "./trace_form.js";
import { frameOf, reachName } from "./trace_geometry.js";
import { createPhotographs } from "./trace_photographs.js";
import { fitOf, hang, picture } from "./trace_picture.js";
import { NEW, REACH, STEP, VIEWS, createRows } from "./trace_rows.js";

/** Where handles lie on a photograph at first, in shares of it: a figure from head to foot. */
const FIRST = { waist: [0.5, 0.35], hip: [0.5, 0.48], knee: [0.5, 0.72], edges: [[0.4, 0.48], [0.6, 0.48]] };
const SIDES = { left: "Her left", right: "Her right", front: "Her front", back: "Her back" };

export function createTrace(state) {
  const photographs = createPhotographs();
  const settings = () => ({ ...NEW, ...state.work.trace, by: { ...NEW.by, ...state.work.trace?.by } });
  const rows = createRows(state, settings);
  let numbers = null;
  let view = "front";
  let whole = true;
  let held = false;
  let active = null;
  let size = null;
  let laying = false;

  const form = createForm({
    choose, settle: () => state.settle(), apart: rows.setApart, leaveOut: rows.leaveOut, forget: () => forget(),
    distance: (mm) => state.move(rows.set({ distance: mm })),
    by: (word) => state.step(rows.set({ by: { ...settings().by, [view]: word } })),
    way: (way) => state.step(rows.set({ way })),
  });
  const tabs = make("fieldset", { class: "switch little" }, make("legend", { class: "unseen" }, "Photograph"),
    ...Object.keys(VIEWS).map((name) => make("label", {}, make("input", { type: "radio", name: "trace-view", value: name, checked: name === view,
      onchange: () => turnTo(name) }), make("span", {}, `From the ${name}`))));
  const more = make("button", { type: "button", id: "trace-more", onclick: rows.between }, "More points");
  const near = make("button", { type: "button", id: "trace-near", onclick: () => { whole = !whole; redraw(); } });
  const room = make("div", { class: "trace-room" });
  const panel = make("section", { id: "tracing", class: "tracing workroom-only", "aria-label": "Photograph to trace", hidden: true },
    make("div", { class: "row trace-head" }, tabs, make("div", { class: "row" }, more, near)), room);
  const wide = matchMedia("(min-width: 1000px)");
  const handles = createHandles(aboutGrip, { start, moved, nudged, settled: letGo, words: gripWords });
  handles.layer.addEventListener("focusin", (event) => look(event.target.closest("[data-grip]")?.dataset.grip));
  handles.layer.addEventListener("focusout", () => look(null));
  new ResizeObserver(([box]) => {
    size = { width: Math.floor(box.contentRect.width), height: Math.floor(box.contentRect.height) };
    redraw();
  }).observe(room);
  wide.addEventListener("change", redraw);
  state.listen((reason) => reason !== "replaced" && redraw());

  function look(name) {
    active = name ?? null;
    redraw();
  }

  const isOpen = () => document.querySelector("[data-front=outline]")?.getAttribute("aria-expanded") === "true";

  /** The panel stands beside the drawer where there is room, else in it. Whether it is to be seen. */
  function lay() {
    const home = wide.matches ? document.querySelector(".look") : form.room;
    if (panel.parentElement !== home && !laying) {
      laying = true; // what is moved loses its focus, and says so
      home.append(panel);
      laying = false;
    }
    panel.hidden = !(isOpen() && photographs.held[view]);
    document.body.toggleAttribute("data-tracing", !panel.hidden);
    return !panel.hidden;
  }

  async function choose(name, input) {
    if (!input.files.length) return;
    const wrong = await photographs.take(name, input.files[0]);
    form.say(wrong);
    if (wrong) {
      input.value = "";
      return;
    }
    if (settings()[name]) state.step(rows.set({ [name]: null }));
    turnTo(name);
    if (!wide.matches) panel.scrollIntoView({ block: "start" }); // it stands below what was read
  }

  function forget() {
    photographs.forget();
    form.empty();
    form.say("");
    fillWith(room);
    whole = true;
    redraw();
  }

  function turnTo(name) {
    view = name;
    whole = true;
    for (const radio of tabs.querySelectorAll("input")) radio.checked = radio.value === name;
    redraw();
  }

  // ---- how the photograph lies
  const knee = () => numbers.values["drops.knee"];
  const caliper = () => (valueAt(state.work.sheet, "widths.hip_breadth") === undefined ? null : numbers.values["widths.hip_breadth"]);
  const scaledBy = () => {
    const wished = settings().by[view];
    return wished === "breadth" && (view !== "front" || !caliper()) ? "hip" : wished;
  };
  const lowDrop = () => (scaledBy() === "knee" ? knee() : numbers.values["drops.hip"]);

  function lines() {
    const [wide_, high] = photographs.held[view].size;
    const own = settings()[view];
    const px = (share) => [share[0] * wide_, share[1] * high];
    return { waist: px(own?.waist ?? FIRST.waist), low: px(own?.[scaledBy()] ?? FIRST[scaledBy()] ?? FIRST.hip), edges: (own?.edges ?? FIRST.edges).map(px) };
  }

  function frame() {
    const { way, distance } = settings();
    return frameOf(numbers, lines(), photographs.held[view].size, { view, way, distance, lowDrop: lowDrop(),
      aside: view === "side" ? way * rows.plumb() : 0, breadth: scaledBy() === "breadth" ? caliper() : null });
  }

  const fit = (lies) => fitOf(photographs.held[view].size, lies, knee(), { ...size, whole });

  // ---- grips
  /** A point's reach, level and side of the picture; null for the lines' handles. */
  function point(name) {
    const [word, i] = name.split(" ");
    return word in SIDES ? { word, i: Number(i), sign: reachName(view, settings().way, 1) === word ? 1 : -1 } : null;
  }

  function aboutGrip(name) {
    const at = point(name);
    if (at) return { label: `${SIDES[at.word]}, level ${at.i + 1} from the waist`, way: "x" };
    return { label: { waist: "Waist line", low: "Line that sets the scale, straight below the waist" }[name] ?? `Her hip, ${name.slice(5)} edge`, way: "both" };
  }

  function gripWords(name) {
    const at = point(name);
    if (!at) return { waist: "waist", low: scaledBy() }[name] ?? name.slice(5);
    return tapeText(rows.standing()[at.i][at.word], state.desk.show, { fine: true });
  }

  const from = () => ({ lines: lines(), rows: rows.standing(), frame: frame() });

  function start(name) {
    held = true;
    active = name;
    return from();
  }

  function moved(name, begun, dx, dy) {
    const { k } = fit(begun.frame);
    shift(name, begun, [dx / k, dy / k]);
  }

  function nudged(name, dx, dy) {
    const begun = from();
    const at = point(name);
    const { k } = fit(begun.frame);
    if (at) rows.put(view, at.i, at.word, begun.rows[at.i][at.word] + at.sign * (dx || -dy) * 2 * STEP[state.desk.show]);
    else shift(name, begun, [dx / k, dy / k]);
  }

  /** A grip moved by so many px of the photograph from where all of them stood. */
  function shift(name, begun, step) {
    const at = point(name);
    if (at) {
      const row = begun.rows[at.i];
      rows.put(view, at.i, at.word, row[at.word] + begun.frame.step(row.drop, at.sign, step));
      return;
    }
    const whole_ = photographs.held[view].size;
    const share = (place) => [0, 1].map((axis) => Math.min(1, Math.max(0, (place[axis] + step[axis]) / whole_[axis])));
    const own = { ...settings()[view] };
    if (name === "waist") own.waist = share(begun.lines.waist);
    else if (name === "low") own[scaledBy()] = share(begun.lines.low);
    else own.edges = (own.edges ?? FIRST.edges).map((edge, i) => (i === Number(name === "edge right") ? share(begun.lines.edges[i]) : edge));
    state.move(rows.set({ [view]: own }));
  }

  function letGo() {
    held = false;
    state.settle();
  }

  /** Where every grip stands on the screen. */
  function gripPlaces(lies, fitted) {
    const places = {};
    const add = (name, at, away, [now, low, high]) => {
      const [x, y] = fitted.screen(at);
      const free = away === "below" || away === "above" ? away : (away === "left" && x > 80) || x > size.width - 80 ? "left" : "right";
      places[name] = { x, y, away: free, now, low, high };
    };
    rows.standing().forEach((row, i) => {
      for (const sign of [-1, 1]) {
        const word = reachName(view, settings().way, sign);
        add(`${word} ${i}`, lies.place(row.drop, sign, row[word]), sign < 0 ? "left" : "right", [row[word], ...REACH[word]]);
      }
    });
    const laid = lines();
    add("waist", laid.waist, "above", [0, 0, 100]);
    if (scaledBy() === "breadth") laid.edges.forEach((edge, i) => add(`edge ${i ? "right" : "left"}`, edge, "below", [0, 0, 100]));
    else add("low", laid.low, "below", [0, 0, 100]);
    return places;
  }

  function redraw() {
    if (!numbers) return;
    const seen = lay();
    if (!isOpen()) return;
    form.update({ settings: settings(), scaledBy: scaledBy(), caliper: caliper(), view, unit: state.desk.show, isApart: rows.isApart(),
      traced: valueAt(state.work.sheet, "body.outline") !== undefined, any: Object.keys(photographs.held).length > 0, sentence: numbers.rests_on.words });
    for (const radio of tabs.querySelectorAll("input")) radio.disabled = !photographs.held[radio.value];
    more.disabled = !rows.traced || rows.full;
    setText(near, whole ? "Waist to knee" : "Whole picture");
    setMark(panel, "data-view", view);
    if (!seen || !size || size.width < 60 || size.height < 60) return;
    const lies = frame();
    const fitted = fit(lies);
    const places = gripPlaces(lies, fitted);
    handles.place(places, size.width, size.height);
    const drops = numbers.silhouette.drop_mm.filter((_, i, all) => i % 3 === 0 || i === all.length - 1);
    const marks = [...rows.standing().map(({ drop }) => ({ drop })), ...[0, lowDrop()].map((drop) => ({ drop, strong: true }))];
    hang(room, picture({ ...photographs.held[view], ...size, frame: lies, fit: fitted, drops, marks, view, way: settings().way,
      active: active && places[active] && [places[active].x, places[active].y] }), handles.layer);
  }

  return {
    element: form.element,
    redraw,
    /** The newest answer; `late`: the sheet has gone on since. */
    show(answer, late) {
      numbers = answer;
      rows.show(answer, held || late);
      redraw();
    },
    /** Its drawer is there: the photograph comes and goes with it. */
    watch: () => new MutationObserver(redraw).observe(document.querySelector("[data-front=outline]"), { attributeFilter: ["aria-expanded"] }),
    /** Another client: her photographs go with her. */
    forget() {
      rows.forget();
      forget();
    },
  };
}
