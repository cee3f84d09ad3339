// Faults in the page's own words: a key of the sheet goes by the name of its control, here and nowhere else.

import { withSigns } from "./lengths.js";
import { sentence } from "./words.js";

const KEY = /\b([a-z_]+)\.(?:(left|right)\.)?([a-z_]+)\b/g;
const declared = new Map(); // key → {label as declared, name as shown}

/** What every control is called; `shown` holds names that differ from the declared label. */
export function nameControls(parameters, shown = {}) {
  for (const { key, label } of parameters) declared.set(key, { label, name: shown[key] ?? label });
}

function named(text, put) {
  return text.replace(KEY, (all, section, side, name) => {
    const control = declared.get(`${section}.${name}`);
    return control ? put(side ? `${control.name}, her ${side}` : control.name) : all;
  });
}

/** A message: keys by name, fractions as signs, a range in the unit that is shown alone. */
export function plainWords(message) {
  return withSigns(named(message, (name) => `“${sentence(name)}”`))
    .replace("not valid TOML", "not readable")
    .replace(/ \(byte \d+ is not UTF-8\)/, "")
    .replace(/( (?:in|cm)) \(-?[\d.]+ to -?[\d.]+ mm\)/g, "$1")
    .replace(/(\d)\.0 to (-?\d+)\.0 cm/g, "$1 to $2 cm");
}

/** What a fault is about, and what is wrong with it: “Foam, 12 in” and “must be ⅛ to 3⅛ in”. */
export function inWords({ place, message }) {
  const [key, value] = place.split(" = ");
  const about = named(key, (name) => name);
  if (about === key) return { about: place, message: plainWords(message) };
  const label = declared.get(key.replace(/\.(left|right)\./, "."))?.label ?? "";
  const rest = label && message.toLowerCase().startsWith(`${label} must`) ? message.slice(label.length + 1) : message;
  return { about: sentence(value === undefined ? about : `${about}, ${withSigns(value)}`), message: plainWords(rest) };
}

/** A fault as one sentence, without its full stop. */
export function faultText(fault) {
  const { about, message } = inWords(fault);
  if (!about) return sentence(message);
  return /^(was|is|cannot) /.test(message) ? `“${about}” ${message}` : sentence(`${about}: ${message}`);
}

/** The same for a fault that comes as one line. */
export function lineText(line) {
  const [place, ...rest] = line.split(": ");
  return rest.length ? faultText({ place, message: rest.join(": ") }) : sentence(plainWords(line));
}
