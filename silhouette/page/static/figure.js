// From an answer to what the stage draws.

import { ofRole, padSurface, pointsOf, skinSurface } from "./grids.js";
import { skirtOf } from "./skirt.js";

/** The grids of an answer with their points; a bare figure that was not sent again is that of the grids `before`. */
export function gridsOf({ grids }, block, before = []) {
  const sent = grids.map((grid) => ({ ...grid, points: pointsOf(grid, block) }));
  const bare = sent.some((grid) => grid.role === "skin") ? [] : before.filter(({ role }) => role === "skin" || role === "before");
  return [...bare, ...sent];
}

/** Hands grids to a stage; what it has `shown` already stays as it is. */
export function giveGrids(stage, grids, shown = []) {
  const of = (role) => ofRole(grids, role);
  const changed = (role) => {
    const old = ofRole(shown, role);
    return of(role).length !== old.length || of(role).some((grid, i) => grid.points !== old[i].points);
  };
  if (changed("skin")) stage.setSkin(skinSurface(of("skin")), of("skin")[0].mirror);
  for (const name of ["before", "after"]) if (changed(name)) stage.setSkirt(name, skirtOf(of(name)), of(name)[0].mirror);
  if (!changed("pad")) return;
  const pads = of("pad");
  const mirrored = pads.length > 0 && pads.every((g) => g.mirror);
  stage.setPads(padSurface(mirrored ? pads : bothSides(pads)), mirrored);
}

/** The dressed figure of one answer whose block holds everything, to stand in a row. */
export function figureOf(numbers, block) {
  const grids = gridsOf(numbers, block);
  const [skin, halves] = ["skin", "after"].map((role) => ofRole(grids, role));
  return { skin: skinSurface(skin), skirt: skirtOf(halves), mirror: halves[0].mirror, level: numbers.new_hip_drop_mm };
}

/** Pads of which only some are mirrored: every one written out. */
function bothSides(pads) {
  return pads.flatMap((g) => (g.mirror ? [g, { ...g, points: g.points.map((v, i) => (i % 3 ? v : -v)), name: `${g.name} mirror` }] : [g]));
}

/** Tones the cloth can be shown in, matt and of middle lightness; the words are those of the sheet. */
export const CLOTH = { slate: "#74889e", ink: "#4a546c", wine: "#8e4854", moss: "#788460", plum: "#7a5c80", oat: "#c4b296" };

/** Tones of the figure as numbers for the shader: skin, pads and tape from the style sheet, the cloth as chosen. */
export function tonesFrom(colour) {
  const style = getComputedStyle(document.documentElement);
  const read = (name) => parts(style.getPropertyValue(name).trim());
  const cloth = parts(CLOTH[colour] ?? CLOTH.slate);
  const share = (s) => cloth.map((c) => c * s);
  return { skin: read("--figure"), pad: read("--pad"), ribbon: read("--tape-line"), cloth, band: share(0.93), seam: share(0.78), zip: share(0.5) };
}

function parts(hex) {
  return [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16) / 255);
}
