// Lengths on show. What is stored is never touched here, and typed text is read by the server alone.

export const MM = { in: 25.4, cm: 10, mm: 1 };
const SIGNS = { "1/8": "⅛", "1/4": "¼", "3/8": "⅜", "1/2": "½", "5/8": "⅝", "3/4": "¾", "7/8": "⅞" };
const RAISED = "⁰¹²³⁴⁵⁶⁷⁸⁹";
const LOWERED = "₀₁₂₃₄₅₆₇₈₉";

/** A fraction as one sign: eighths have their own, sixteenths are put together. */
function fractionSign(above, below) {
  const put = (number, digits) => [...String(number)].map((digit) => digits[digit]).join("");
  return SIGNS[`${above}/${below}`] ?? `${put(above, RAISED)}⁄${put(below, LOWERED)}`;
}

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
    const shown = rest ? fractionSign(rest, parts) : "";
    text = whole || !rest ? `${whole}${shown}` : shown;
    zero = steps === 0;
  } else {
    text = (Math.abs(mm) / MM.cm).toFixed(1);
    zero = Number(text) === 0;
  }
  const lead = zero ? "" : mm < 0 ? "−" : sign ? "+" : "";
  return bare ? lead + text : `${lead}${text} ${unit === "in" ? "in" : "cm"}`;
}

/** How much more a tape shows after than before: the difference of what is shown, so that nothing contradicts. */
export function moreText(before, after, unit, options = {}) {
  const step = unit === "in" ? MM.in / 8 : 1;
  return tapeText((toEven(after / step) - toEven(before / step)) * step, unit, options);
}

/** Words from the server with their fractions as the page writes them: “44 5/8 in” becomes “44⅝ in”. */
export function withSigns(words) {
  return words.replace(/(^|[^\d/])(?:(\d+) )?(\d{1,2})\/(2|4|8|16)(?![\d/])/g, (all, lead, whole, above, below) =>
    (above % 2 && Number(above) < below ? `${lead}${whole ?? ""}${fractionSign(above, below)}` : all));
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
export function withUnit(typed, unit) {
  const text = plainly(typed);
  return /[\p{L}"″”'′.]\s*$/u.test(text) && !/\d\.\s*$/.test(text) ? text : `${text} ${unit}`;
}

/** Typed text with fractions that were put together taken apart again, as a sheet is written. */
function plainly(text) {
  const read = (list, digits) => [...list].map((digit) => digits.indexOf(digit)).join("");
  return text.replace(/([⁰¹²³⁴-⁹]+)⁄([₀-₉]+)/gu, (_, above, below) => ` ${read(above, RAISED)}/${read(below, LOWERED)}`).trim();
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
