// Turning the figure: by pointer, by keyboard, by named views. Both figures always turn together.

export const REST = { turn: 0.55, tilt: 0.05 };
export const VIEWS = {
  front: { label: "Front", turn: 0, tilt: 0 },
  side: { label: "Side", turn: Math.PI / 2, tilt: 0 },
  back: { label: "Back", turn: Math.PI, tilt: 0 },
  quarter: { label: "Three-quarter", turn: -0.7, tilt: 0.06 },
  rest: { label: "Rest", ...REST },
};
const STEP = Math.PI / 24;
const HIGHEST = 0.9;

/** Lets a canvas be turned. `read` gives {turn, tilt}, `write(view, settled)` takes them. */
export function allowTurning(canvas, read, write) {
  let held = null;
  canvas.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    held = { x: event.clientX, y: event.clientY, ...read() };
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!held) return;
    const turn = wrapped(held.turn + ((event.clientX - held.x) / 180) * (Math.PI / 2));
    const tilt = bounded(held.tilt + (event.clientY - held.y) / 260);
    write({ turn, tilt }, false);
  });
  for (const name of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(name, () => {
      if (held) write(read(), true);
      held = null;
    });
  }
  canvas.addEventListener("keydown", (event) => {
    const { turn, tilt } = read();
    const moved = {
      ArrowLeft: { turn: wrapped(turn - STEP), tilt },
      ArrowRight: { turn: wrapped(turn + STEP), tilt },
      ArrowUp: { turn, tilt: bounded(tilt + STEP / 2) },
      ArrowDown: { turn, tilt: bounded(tilt - STEP / 2) },
      Home: REST,
    }[event.key];
    if (!moved || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    write({ ...moved }, true);
  });
}

/** Glides to a named view, or jumps where motion is not wanted. */
export function glideTo(goal, read, write) {
  const from = read();
  const way = wrapped(goal.turn - from.turn);
  if (window.matchMedia("(prefers-reduced-motion: reduce)").matches) {
    write({ turn: wrapped(goal.turn), tilt: goal.tilt }, true);
    return;
  }
  const begun = performance.now();
  const step = (now) => {
    const t = Math.min(Math.max((now - begun) / 320, 0), 1);
    const eased = t * t * (3 - 2 * t);
    write({ turn: wrapped(from.turn + way * eased), tilt: from.tilt + (goal.tilt - from.tilt) * eased }, t === 1);
    if (t < 1) requestAnimationFrame(step);
  };
  requestAnimationFrame(step);
}

/** In words, for those who cannot see the picture. */
export function viewWords({ turn }) {
  const names = ["the front", "the wearer's right front", "the wearer's right side", "the wearer's right back", "the back",
    "the wearer's left back", "the wearer's left side", "the wearer's left front"];
  return names[(Math.round(turn / (Math.PI / 4)) + 8) % 8];
}

function wrapped(angle) {
  return Math.atan2(Math.sin(angle), Math.cos(angle));
}

function bounded(tilt) {
  return Math.min(HIGHEST, Math.max(-0.5, tilt));
}
