// Lengths on show. What is stored is never touched here, and typed text is read by the server alone.

const MM = { in: 25.4, cm: 10, mm: 1 };
const SIGNS = { "1/8": "⅛", "1/4": "¼", "3/8": "⅜", "1/2": "½", "5/8": "⅝", "3/4": "¾", "7/8": "⅞" };

/** A length as a tape shows it: eighths (fine: sixteenths) of an inch, or millimetres of a centimetre. */
export function tapeText(mm, unit, { fine = false, sign = false, bare = false } = {}) {
  let text;
  let zero;
  if (unit === "in") {
    let parts = fine ? 16 : 8;
    const steps = toEven((Math.abs(mm) / MM.in) * parts);
    const whole = Math.floor(steps / parts);
    let rest = steps % parts;
    while (rest && rest % 2 === 0) {
      rest /= 2;
      parts /= 2;
    }
    const fraction = rest ? `${rest}/${parts}` : "";
    const shown = SIGNS[fraction] ?? (whole && fraction ? ` ${fraction}` : fraction);
    text = whole || !rest ? `${whole}${shown}` : shown.trim();
    zero = steps === 0;
  } else {
    text = (Math.abs(mm) / MM.cm).toFixed(1);
    zero = Number(text) === 0;
  }
  const lead = zero ? "" : mm < 0 ? "−" : sign ? "+" : "";
  return bare ? lead + text : `${lead}${text} ${unit === "in" ? "in" : "cm"}`;
}

/** Words from the server with their fractions as the page writes them: “44 5/8 in” becomes “44⅝ in”. */
export function withSigns(words) {
  return words.replace(/(^|[^\d/])(?:(\d+) )?([1357]\/[248])(?![\d/])/g, (all, lead, whole, fraction) => (SIGNS[fraction] ? `${lead}${whole ?? ""}${SIGNS[fraction]}` : all));
}

/** The step of a tape in this unit, mm: what a slider moves by. */
export function tapeStep(parameter, unit) {
  if (unit === "in") return MM.in / (parameter.high <= 100 ? 16 : 8);
  return Math.max(parameter.step, 0.5);
}

/** A whole number of tape steps as text that a sheet can keep. */
export function stepText(count, step, unit) {
  const number = Number(((count * step) / MM[unit]).toFixed(6));
  return `${number} ${unit}`;
}

/** Typed text with the shown unit added when it has none of its own. */
export function withUnit(text, unit) {
  return /[\p{L}"″”'′.]\s*$/u.test(text) && !/\d\.\s*$/.test(text) ? text : `${text} ${unit}`;
}

/** Foam as it is sold: fractions of an inch, or millimetres. */
export function foamText(mm, unit) {
  return unit === "in" ? tapeText(mm, "in", { fine: true }) : `${Number(mm.toFixed(1))} mm`;
}

function toEven(x) {
  const low = Math.floor(x);
  const rest = x - low;
  if (Math.abs(rest - 0.5) < 1e-9) return low % 2 ? low + 1 : low;
  return Math.round(x);
}
