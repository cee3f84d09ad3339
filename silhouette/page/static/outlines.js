// The working drawings below the picture: silhouettes to scale and the flat draft, both shaped by hand.

import { draftFrame, draftPicture, padsOf } from "./draft.js";
import { frameOf, heightFor, placeOf, silhouettes, spread } from "./drawing.js";
import { createHandles } from "./handles.js";
import { stepText, tapeStep, tapeText } from "./lengths.js";
import { become, fillWith, make, setText } from "./make.js";
import { setValue, valueAt } from "./state.js";
import { reasonsOf } from "./words.js";

const by = (id) => document.getElementById(id);
/** What a grip changes, which way it is drawn, and what it is called. */
const GRIPS = {
  start: { key: "pads.start", label: "Upper end of the pads", way: "y", word: "start" },
  end: { key: "pads.end", label: "Lower end of the pads", way: "y", word: "end" },
  edge: { key: "pads.bevel", label: "Width of the edge", way: "y", word: "edge" },
  reach: { key: "pads.front_reach", label: "Reach to the front", way: "x", word: "reach" },
  gap: { key: "pads.back_gap", label: "Gap at the centre back", way: "x", word: "gap" },
};

const FREE_POINTS = 7;
const MARGIN = 78; // px left of the silhouettes, for the words beside the grips

/** Some points of an outline, evenly along it, both tips among them. */
function fewOf(edge) {
  return Array.from({ length: FREE_POINTS }, (_, i) => edge[Math.round((i / (FREE_POINTS - 1)) * (edge.length - 1))]);
}

/** `hooks`: target(key) → the key for the side that is meant, side() → "left", "right" or "both", parameter(key). */
export function createOutlines(state, hooks) {
  let numbers = null;
  let pointed = null;
  const rooms = {};
  const maps = {}; // how mm lie on each drawing
  const under = { outlines: make("div"), draft: make("div") };
  const handles = Object.fromEntries(Object.keys(under).map((id) => [id, handlesOn(id)]));

  for (const id of Object.keys(under)) {
    by(id).append(under[id], handles[id].layer);
    new ResizeObserver(([box]) => {
      const fixed = Boolean(parseFloat(getComputedStyle(box.target).getPropertyValue("--room")));
      rooms[id] = { width: Math.floor(box.contentRect.width), height: box.contentRect.height, fixed };
      redraw();
    }).observe(by(id));
  }

  function size(id, shape) {
    const { width, height, fixed } = rooms[id];
    return [width, Math.round(fixed ? Math.max(130, height) : Math.max(230, Math.min(width * shape, 440)))];
  }

  function redraw() {
    if (!numbers) return;
    const unit = state.desk.show;
    if (rooms.outlines?.width > 50) {
      const [width, most] = size("outlines", 0.66);
      const height = rooms.outlines.fixed ? most : Math.ceil(heightFor(numbers, width, most, MARGIN));
      const places = spread(reasonsOf(numbers).map((r) => placeOf(r, r.number)).filter(Boolean));
      if (!handles.outlines.held || !maps.outlines) maps.outlines = frameOf(numbers, width, height, MARGIN);
      become(under.outlines, silhouettes(numbers, { width, height, unit, places, pointed, frame: maps.outlines }));
      handles.outlines.place(onOutlines(maps.outlines), width, height);
    }
    if (rooms.draft?.width > 50) {
      const [width, height] = size("draft", 0.9);
      const side = hooks.side() === "right" ? "right" : "left";
      if (!numbers.draft.length) {
        fillWith(under.draft, make("p", { class: "small" }, "No pad is worn."));
        handles.draft.place({}, width, height);
        return;
      }
      // what is held stays under the hand: the drawing is fitted anew once it is let go
      maps.draft = handles.draft.held && maps.draft ? { ...maps.draft, pads: padsOf(numbers, side) } : draftFrame(numbers, side, width, height);
      become(under.draft, draftPicture(numbers, maps.draft, { width, height, unit, side }));
      handles.draft.place(onDraft(maps.draft), width, height);
    }
  }

  const value = (name) => numbers.values[hooks.target(GRIPS[name].key)] ?? numbers.values[GRIPS[name].key];
  const about = (name) => {
    const p = hooks.parameter(GRIPS[name].key);
    return { now: value(name), low: p.low, high: p.high };
  };

  /** Upper end, lower end and edge in the front view, on the side that is meant. */
  function onOutlines(f) {
    if (!numbers.draft.length) return {};
    const after = numbers.silhouette.front.after;
    const out = (drop) => {
      const row = Math.max(0, f.drops.findIndex((d) => d >= drop));
      return f.x(0, after[row][hooks.side() === "left" ? 1 : 0]);
    };
    const away = "left"; // outside the figure, or inside on her left: the levels are named between the two views
    const [start, end, edge] = [value("start"), value("end"), value("start") + value("edge")];
    return {
      start: { x: out(start), y: f.y(start), away, ...about("start") },
      edge: { x: out(edge), y: f.y(edge), away, ...about("edge") },
      end: { x: out(end), y: f.y(end), away, ...about("end") },
    };
  }

  function onDraft(f) {
    const hip = numbers.values["drops.hip"];
    const found = {};
    const free = { front: false, back: false };
    // slabs and further pads lie on the first of a part, which is the one that the choices draw
    for (const pad of f.pads.filter((one, i) => f.pads.findIndex((other) => other.part === one.part) === i)) {
      const way = pad.part === "front" ? 1 : -1;
      const points = ownPoints(pad.part);
      if (points) {
        free[pad.part] = true;
        points.slice(1, -1).forEach(([d, drop], i) => {
          found[`${pad.part} ${i + 1}`] = { x: f.x(way * d), y: f.y(drop), away: "above", now: d, low: 0, high: 600 };
        });
        continue;
      }
      const far = Math.max(...pad.edge.map(([d]) => way * d));
      found[pad.part === "front" ? "reach" : "gap"] = { x: f.x(way * far), y: f.y(hip), away: "above", ...about(pad.part === "front" ? "reach" : "gap") };
      if (pad.part === "front" || f.pads.length === 1) {
        found.edge = { x: f.x(way * Math.max(...pad.inside.map(([d]) => way * d))), y: f.y(hip), away: "below", ...about("edge") };
      }
    }
    if (!free.front && !free.back) {
      found.start = { x: f.x(0), y: f.y(value("start")), away: "right", ...about("start") };
      found.end = { x: f.x(0), y: f.y(value("end")), away: "right", ...about("end") };
    }
    return found;
  }

  /** The points that a free outline is drawn by, mm, or null. */
  function ownPoints(part) {
    return numbers.points?.[hooks.side() === "right" ? "right" : "left"]?.[part] ?? null;
  }

  function handlesOn(id) {
    return createHandles((name) => GRIPS[name] ?? { label: `Point ${name.split(" ")[1]} of the ${name.split(" ")[0]} outline`, way: "both" }, {
      start: (name) => ({ mm: GRIPS[name] ? value(name) : ownPoints(name.split(" ")[0]) }),
      moved: (name, from, dx, dy) => (GRIPS[name] ? slide(id, name, from.mm, dx, dy) : shift(name, from.mm, dx / maps[id].scale, dy / maps[id].scale)),
      nudged(name, dx, dy) {
        if (!GRIPS[name]) {
          const step = state.desk.show === "in" ? 25.4 / 8 : 5;
          shift(name, ownPoints(name.split(" ")[0]), dx * step, dy * step);
          return;
        }
        const p = hooks.parameter(GRIPS[name].key);
        const step = tapeStep(p, state.desk.show);
        const way = name === "gap" ? dx - dy : name === "reach" ? dx - dy : id === "draft" && name === "edge" ? dy - dx : dx + dy;
        put(name, (Math.round(value(name) / step) + way) * step);
      },
      settled: () => state.settle(),
      words: (name) => (GRIPS[name] ? `${GRIPS[name].word} ${tapeText(value(name), state.desk.show, { bare: true })}` : ""),
    });
  }

  /** A grip drawn along its way: how much its value changes for so many px. */
  function slide(id, name, from, dx, dy) {
    const { scale } = maps[id];
    const along = { start: dy, end: dy, edge: id === "draft" ? -dx : dy, reach: dx, gap: dx }[name];
    put(name, from + along / scale);
  }

  function put(name, mm) {
    const p = hooks.parameter(GRIPS[name].key);
    const unit = state.desk.show;
    const step = tapeStep(p, unit);
    const count = Math.round(Math.min(p.high, Math.max(p.low, mm)) / step);
    const text = stepText(count, step, unit);
    const key = hooks.target(GRIPS[name].key);
    if (valueAt(state.work.sheet, key) !== text) state.move((work) => setValue(work.sheet, key, text));
  }

  /** One point of a free outline, moved by so many mm from where all of them stood. */
  function shift(name, points, dx, dy) {
    const [part, place] = name.split(" ");
    const way = part === "front" ? 1 : -1;
    const next = points.map(([d, drop], i) => (i === Number(place)
      ? [Math.max(2, d + way * dx), Math.min(points[i + 1][1] - 2, Math.max(points[i - 1][1] + 2, drop + dy))] : [d, drop]));
    const text = (mm) => `${Number(mm.toFixed(1))} mm`;
    state.move((work) => setValue(work.sheet, hooks.target(`pads.${part}_outline`), next.map((pair) => pair.map(text))));
  }

  /** Turns the drafted outlines into points that can be moved one by one, or back into what the numbers draw. */
  const freely = make("button", { type: "button", id: "freely", onclick: () => {
    const free = isFree();
    const side = hooks.side() === "right" ? "right" : "left";
    state.step((work) => {
      for (const part of ["front", "back"]) {
        const pad = numbers.draft.find((p) => p.part === part && p.side === side) ?? numbers.draft.find((p) => p.part === part);
        const own = free || !pad ? null : fewOf(pad.edge).map(([d, drop]) => [`${Math.abs(d)} mm`, `${drop} mm`]);
        setValue(work.sheet, hooks.target(`pads.${part}_outline`), own);
      }
    });
  } });
  const element = make("div", {}, make("div", { class: "row" }, freely),
    make("p", { class: "small" }, "Points can be moved on the flat draft, or typed above: distance from the seam; drop."));

  function isFree() {
    return Boolean(ownPoints("front") || ownPoints("back"));
  }

  return {
    element,
    show(answer) {
      numbers = answer;
      setText(freely, isFree() ? "Draw it by the numbers again" : "Shape it freely, point by point");
      freely.disabled = !numbers.draft.length;
      redraw();
    },
    point(number) {
      pointed = number;
      redraw();
    },
    redraw,
  };
}
