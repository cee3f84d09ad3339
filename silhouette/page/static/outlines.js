// The silhouettes to scale below the picture, with the numbered places that reasons point at.

import { placeOf, silhouettes, spread } from "./drawing.js";
import { fillWith } from "./make.js";
import { reasonsOf } from "./words.js";

const by = (id) => document.getElementById(id);

export function createOutlines(state) {
  let numbers = null;
  let pointed = null;
  let room = null; // of the drawing; known without asking for a layout on every change

  new ResizeObserver(([box]) => {
    room = { width: Math.floor(box.contentRect.width), height: box.contentRect.height };
    room.fixed = Boolean(parseFloat(getComputedStyle(box.target).getPropertyValue("--room")));
    redraw();
  }).observe(by("outlines"));

  function redraw() {
    if (!numbers || !room || room.width < 50) return;
    const { width } = room;
    const height = Math.round(room.fixed ? Math.max(140, Math.min(room.height, width * 0.75)) : Math.max(230, Math.min(width * 0.66, 440)));
    const places = spread(reasonsOf(numbers).map((r) => placeOf(r, r.number)).filter(Boolean));
    fillWith(by("outlines"), silhouettes(numbers, { width, height, unit: state.desk.show, places, pointed }));
  }

  return {
    show(answer) {
      numbers = answer;
      redraw();
    },
    point(number) {
      pointed = number;
      redraw();
    },
  };
}
