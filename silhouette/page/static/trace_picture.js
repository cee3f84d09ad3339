// The photograph with everything that is drawn on it: lines, the figure as it is now, points, a magnifying glass.

import { draw, fillWith } from "./make.js";
import { reachName } from "./trace_geometry.js";

const GLASS = { radius: 62, small: 44, power: 3.2 };

/** How a photograph lies in a room of `width` × `height`: whole, or her figure from waist to knee; k screen px per px. */
export function fitOf(size, frame, knee, { width, height, whole }) {
  let box = [0, 0, size[0], size[1]];
  if (!whole) {
    const corners = [0, knee].flatMap((drop) => [-1, 1].map((sign) => frame.place(drop, sign)));
    const wide = Math.max(...[0.35, 0.6].map((share) => Math.abs(frame.place(knee * share, 1)[0] - frame.place(knee * share, -1)[0])));
    const [xs, ys] = [0, 1].map((axis) => corners.map((point) => point[axis]));
    const [tall, x, y] = [Math.max(...ys) - Math.min(...ys), (Math.min(...xs) + Math.max(...xs)) / 2, (Math.min(...ys) + Math.max(...ys)) / 2];
    box = [x - wide * 0.9, y - tall * 0.6, wide * 1.8, tall * 1.2];
  }
  const k = Math.min(width / box[2], height / box[3]);
  const left = width / 2 - (box[0] + box[2] / 2) * k;
  const top = height / 2 - (box[1] + box[3] / 2) * k;
  return { k, left, top, screen: ([x, y]) => [left + x * k, top + y * k] };
}

/** The drawing under the grips. `marks`: lines [{drop, word, strong}], `rows` with their drops, `active` a place on the screen. */
export function picture({ url, size, frame, fit, width, height, drops, marks, active, view, way }) {
  const svg = draw("svg", { class: "trace-picture", viewBox: `0 0 ${width} ${height}`, width, height, role: "img",
    "aria-label": `Photograph from the ${view} with the figure drawn on it` });
  const photograph = () => draw("image", { href: url, width: size[0], height: size[1],
    transform: `translate(${fit.left} ${fit.top}) scale(${fit.k})` });
  const scene = () => draw("g", {}, photograph(), ...marks.map((mark) => levelLine(frame, fit, mark)), midLine(frame, fit, drops.at(-1)),
    ...[-1, 1].map((sign) => contour(frame, fit, drops, sign)));
  svg.append(scene());
  for (const sign of [-1, 1]) svg.append(name(frame, fit, sign, reachName(view, way, sign)));
  if (active) svg.append(...glass(scene, active, width));
  return svg;
}

function line(from, to, className) {
  return draw("line", { class: className, x1: from[0], y1: from[1], x2: to[0], y2: to[1] });
}

function levelLine(frame, fit, { drop, strong }) {
  const [left, right] = [-1, 1].map((sign) => frame.place(drop, sign));
  const past = (point, way) => fit.screen([point[0] + frame.right[0] * way, point[1] + frame.right[1] * way]);
  const over = (strong ? 90 : 30) / frame.scale;
  return line(past(left, -over), past(right, over), strong ? "trace-level strong" : "trace-level");
}

function midLine(frame, fit, knee) {
  return line(fit.screen(frame.plane(0, -20)), fit.screen(frame.plane(0, knee)), "trace-middle");
}

function contour(frame, fit, drops, sign) {
  const at = drops.map((drop) => fit.screen(frame.place(drop, sign)).map((n) => n.toFixed(1)).join(" "));
  return draw("path", { class: "trace-model", d: `M${at.join("L")}` });
}

function name(frame, fit, sign, word) {
  const [x, y] = fit.screen(frame.place(0, sign));
  const told = { left: "her left", right: "her right", front: "front", back: "back" }[word];
  return draw("text", { class: "trace-word", x: x + sign * 14, y: y - 12, "text-anchor": sign > 0 ? "start" : "end" }, told);
}

/** What lies under a point, enlarged, in the corner furthest from it. */
function glass(scene, [x, y], width) {
  const radius = width < 480 ? GLASS.small : GLASS.radius;
  const { power } = GLASS;
  const centre = [x > width / 2 ? radius + 10 : width - radius - 10, radius + 10];
  const clip = draw("clipPath", { id: "trace-glass" }, draw("circle", { cx: centre[0], cy: centre[1], r: radius }));
  const shown = draw("g", { "clip-path": "url(#trace-glass)", "aria-hidden": "true" },
    draw("circle", { class: "glass-ground", cx: centre[0], cy: centre[1], r: radius }),
    draw("g", { transform: `translate(${centre[0] - x * power} ${centre[1] - y * power}) scale(${power})` }, scene()),
    line([centre[0] - 12, centre[1]], [centre[0] + 12, centre[1]], "glass-cross"), line([centre[0], centre[1] - 12], [centre[0], centre[1] + 12], "glass-cross"));
  return [clip, shown, draw("circle", { class: "glass-rim", cx: centre[0], cy: centre[1], r: radius })];
}

/** Shows a picture in its room. */
export function hang(room, svg, layer) {
  if (room.lastChild === layer && room.childNodes.length === 2) room.firstChild.replaceWith(svg);
  else fillWith(room, svg, layer);
}
