// From an answer to what the stage draws.

import { bodySurface, padSurface, pointsOf } from "./grids.js";

/** Hands grids to a stage; a body that was not sent again stays. */
export function giveGrids(stage, numbers, block) {
  const of = (role) => numbers.grids.filter((g) => g.role === role).map((g) => ({ ...g, points: pointsOf(g, block) }));
  const [outer, inner] = of("body");
  if (outer) stage.setBody(bodySurface(outer, inner), outer.mirror);
  const pads = of("pad");
  const mirrored = pads.length > 0 && pads.every((g) => g.mirror);
  stage.setPads(padSurface(mirrored ? pads : bothSides(pads)), mirrored);
  const worn = of("worn");
  stage.setWorn(worn.length ? (worn.length > 1 ? bodySurface(worn[0], worn[1]) : padSurface(worn)) : null, worn[0]?.mirror);
}

/** Pads of which only some are mirrored: every one written out. */
function bothSides(pads) {
  return pads.flatMap((g) => (g.mirror ? [g, { ...g, points: g.points.map((v, i) => (i % 3 ? v : -v)), name: `${g.name} mirror` }] : [g]));
}

/** Tones of the figure from the style sheet, as numbers for the shader. */
export function tonesFrom() {
  const style = getComputedStyle(document.documentElement);
  const read = (name) => {
    const hex = style.getPropertyValue(name).trim().slice(1);
    return [0, 2, 4].map((i) => parseInt(hex.slice(i, i + 2), 16) / 255);
  };
  return { body: read("--figure"), shade: read("--figure-shade"), pad: read("--pad"), padShade: read("--pad-shade"), ribbon: read("--ribbon") };
}
