// From a photograph to millimetres and back: one camera held level, its distance given, tangent sight lines.
//
// Lengths in mm lie in the plane through her axis square to the line of sight: U to the right of the picture, Z down from
// the waist. A contour lies nearer than that plane, a leg seen from the side much nearer; both look larger and stand
// further from the level of the lens than they are. How near they lie is the model's, which the points are correcting.

const CROTCH_SHARE = 0.58; // of the way from the hip to under the seat
/** Where points lie: 0 waist, 1 hip, 2 crotch, 3 knee; closest together where women differ most from the model. */
const LEVELS = [0, 0.2, 0.4, 0.68, 1, 1.9, 2.1, 2.35, 2.6, 2.85, 3];
const APART = 9; // mm; a sheet takes no levels nearer to each other than 8

/** The drops of the points that are offered, mm, for the values that an answer carries. */
export function offeredDrops(values) {
  const marks = [0, values["drops.hip"], crotchDrop(values), values["drops.knee"]];
  const drops = LEVELS.map((level) => {
    const i = Math.min(Math.floor(level), 2);
    return Math.round((marks[i] + (level - i) * (marks[i + 1] - marks[i])) * 2) / 2;
  });
  return drops.reduce((kept, drop) => (kept.length && drop - kept.at(-1) < APART ? kept : [...kept, drop]), []);
}

function crotchDrop(values) {
  return values["drops.hip"] + CROTCH_SHARE * (values["drops.under_seat"] - values["drops.hip"]);
}

/** Reaches of the body at a drop, mm: left, right, front, back, all outward. */
export function reachesAt(numbers, drop) {
  const { drop_mm: drops, front, side } = numbers.silhouette;
  let i = drops.findIndex((d) => d >= drop);
  if (i < 0) i = drops.length - 1;
  const low = Math.max(i - 1, 0);
  const share = drops[i] > drops[low] ? (drop - drops[low]) / (drops[i] - drops[low]) : 0;
  const mix = (pairs, end) => pairs[low][end] * (1 - share) + pairs[i][end] * share;
  return { left: mix(front.before, 1), right: -mix(front.before, 0), front: mix(side.before, 1), back: -mix(side.before, 0) };
}

/** Where a sight line touches the body at a drop: how far nearer than her axis, how far short of the full reach. */
function contactAt(numbers, drop, name) {
  const { drop_mm: drops, [name]: row } = numbers.contact;
  const i = Math.max(drops.findIndex((d) => d >= drop), 1);
  const share = Math.min(Math.max((drop - drops[i - 1]) / (drops[i] - drops[i - 1]), 0), 1);
  return [0, 1].map((end) => row[i - 1][end] * (1 - share) + row[i][end] * share);
}

/** What is seen of the body at a drop on the side `sign` (1 right, -1 left): U in the plane, growth there. */
export function seenAt(numbers, drop, sign, camera) {
  const name = reachName(camera.view, camera.way, sign);
  const [near, short] = contactAt(numbers, drop, camera.view === "front" ? "wide" : name);
  const growth = camera.distance / (camera.distance - near);
  const edge = sign * (reachesAt(numbers, drop)[name] - short) + camera.aside;
  return { seen: camera.s + (edge - camera.s) * growth, growth };
}

/** Which reach lies on the side `sign` of a picture. */
export function reachName(view, way, sign) {
  if (view === "front") return sign > 0 ? "left" : "right";
  return sign * way > 0 ? "front" : "back";
}

/**
 * How a photograph of `size` [width, height] px lies, from its handles in px: waist, and low (hip or knee, `lowDrop` mm
 * below) or edges (her hip on the left and the right of the picture, `breadth` mm apart).
 */
export function frameOf(numbers, handles, size, { view, way, distance, aside, lowDrop = null, breadth = null }) {
  const camera = { view, way, distance, aside, s: 0 };
  const [first, second] = breadth ? handles.edges : [handles.waist, handles.low];
  const long = Math.max(Math.hypot(second[0] - first[0], second[1] - first[1]), 1);
  const along = [(second[0] - first[0]) / long, (second[1] - first[1]) / long];
  const down = breadth ? [-along[1], along[0]] : along;
  const right = [down[1], -down[0]];
  const over = (point, from, way_) => (point[0] - from[0]) * way_[0] + (point[1] - from[1]) * way_[1];
  const middle = breadth ? [(first[0] + second[0]) / 2, (first[1] + second[1]) / 2] : handles.waist;
  const rise = over(handles.waist, middle, down);
  const origin = [middle[0] + down[0] * rise, middle[1] + down[1] * rise];
  const lens = [over([size[0] / 2, size[1] / 2], origin, right), over([size[0] / 2, size[1] / 2], origin, down)];
  let scale = (breadth ?? lowDrop) / long;
  let top = 1;
  for (let i = 0; i < 4; i += 1) {
    camera.s = lens[0] * scale;
    const growth = (drop) => (seenAt(numbers, drop, 1, camera).growth + seenAt(numbers, drop, -1, camera).growth) / 2;
    top = growth(0);
    if (breadth) {
      const hip = numbers.values["drops.hip"];
      const own = reachesAt(numbers, hip);
      const looks = seenAt(numbers, hip, 1, camera).seen - seenAt(numbers, hip, -1, camera).seen;
      scale = (breadth * looks) / (own.left + own.right) / long;
    } else scale = (lowDrop * growth(lowDrop)) / (long + (lens[1] * (growth(lowDrop) - top)) / top);
  }
  camera.s = lens[0] * scale;
  const level = (lens[1] * scale) / top; // of the lens, below the waist
  const plane = (u, z) => [origin[0] + (right[0] * u + down[0] * z) / scale, origin[1] + (right[1] * u + down[1] * z) / scale];
  const lift = level * (top - 1); // the waist itself stands at Z = 0
  return {
    camera, scale, right, down, origin, plane,
    /** Where the contour of a reach (mm, outward; null: the model's own) at a drop lies on the picture, px. */
    place(drop, sign, reach = null) {
      const { seen, growth } = seenAt(numbers, drop, sign, camera);
      const own = reachesAt(numbers, drop)[reachName(view, way, sign)] + sign * aside;
      const u = reach === null ? seen : seen + sign * (reach - own) * growth;
      return plane(u, level + (drop - level) * growth + lift);
    },
    /** How many mm of reach a step of px [x, y] on the picture is, there. */
    step(drop, sign, [x, y]) {
      return (sign * (x * right[0] + y * right[1]) * scale) / seenAt(numbers, drop, sign, camera).growth;
    },
  };
}
