// Controls made from the sheet's declarations: label, range, unit, step and help all come from there.

import { beside, onComing, paintTrack, typingIn } from "./field.js";
import { foamText, stepText, tapeStep, tapeText, withUnit } from "./lengths.js";
import { make, setMark, setText } from "./make.js";
import { stockSwatches } from "./swatches.js";
import { sentence } from "./words.js";
import { valueAt } from "./state.js";

/** One control. `hooks`: move(key, raw), coming(key, raw), settle(), target(key), unit(). Returns {element, update, key}. */
export function controlFor(parameter, hooks) {
  const kinds = { length: lengthControl, number: textControl, fraction: fractionControl, choice: choiceControl,
    flag: flagControl, text: textControl, points: pointsControl };
  if (parameter.ends?.length) return fractionControl(parameter, hooks);
  return (kinds[parameter.kind] ?? textControl)(parameter, hooks);
}

/** A value in words, for buttons and notes: “3/4 in”, “straight”. */
export function valueText(parameter, value, unit) {
  if (value === null || value === undefined) return "left out";
  if (parameter.kind === "length") return parameter.high <= 100 ? foamText(value, unit) : tapeText(value, unit);
  if (parameter.kind === "flag") return value ? "yes" : "no";
  return String(value);
}

function shell(parameter, hooks, inputs, { id, wide = false, legend = false } = {}) {
  const help = make("p", { class: "help", id: `${id}-help`, hidden: true });
  const fault = make("p", { class: "fault", id: `${id}-fault`, hidden: true });
  const note = make("p", { class: "differs", hidden: true });
  const about = make("button", {
    type: "button", class: "about", "aria-expanded": "false", "aria-controls": `${id}-help`,
    "aria-label": `About ${parameter.label}`,
    onclick: () => {
      help.hidden = !help.hidden;
      about.setAttribute("aria-expanded", String(!help.hidden));
    },
  }, "?");
  const clear = make("button", {
    type: "button", class: "clear", hidden: true, "aria-label": `Leave out ${parameter.label}: ${parameter.absent || "as usual"}`,
    title: parameter.absent ? `Leave out: ${parameter.absent}` : "Leave out",
    onclick: () => {
      hooks.move(hooks.target(parameter.key), null);
      hooks.settle();
    },
  }, "×");
  const [comma, ofSide] = [make("span", { class: "comma" }), make("span", { class: "of-side" })];
  const name = legend
    ? make("span", { class: "label", id: `${id}-label` }, sentence(parameter.label))
    : make("label", { class: "label", for: id }, sentence(parameter.label), comma, ofSide);
  const element = make("div", { class: `control${wide ? " wide" : ""}`, "data-key": parameter.key },
    make("div", { class: "head" }, name, about), inputs.field ?? null, clear, inputs.slider ?? null, help, fault, note);
  if (inputs.field) element.querySelector(".head").after(inputs.field);

  const input = element.querySelector("input:not([type=range]), textarea, select");

  /** What every kind shares: faults, the note about one side, the button that leaves a value out. */
  function common({ sheet, unit, faults, values }) {
    setText(help, helpText(parameter, unit));
    const key = hooks.target(parameter.key);
    setText(ofSide, key === parameter.key ? "" : `her ${key.split(".")[1]}`);
    setText(comma, key === parameter.key ? "" : ", ");
    const own = faults.filter((f) => matches(f.place, key) || (key !== parameter.key && matches(f.place, parameter.key)));
    fault.hidden = !own.length;
    setText(fault, own.map((f) => sentence(f.message)).join(". "));
    if (input) setMark(input, "aria-invalid", own.length > 0);
    const given = valueAt(sheet, key) !== undefined;
    clear.hidden = !(given && (parameter.absent || key !== parameter.key || (!parameter.needed && parameter.kind === "text")));
    element.classList.toggle("worked-out", !given && Boolean(parameter.absent));
    const sides = ["left", "right"].filter((s) => valueAt(sheet, `pads.${s}.${parameter.key.slice(5)}`) !== undefined);
    const apart = key === parameter.key && parameter.key.startsWith("pads.") ? sides : [];
    note.hidden = !apart.length;
    setText(note, apart
      .map((s) => `Her ${s}: ${valueText(parameter, values?.[`pads.${s}.${parameter.key.slice(5)}`], unit)}`)
      .join("; "));
    return { key, own, given };
  }
  return { element, common, described: `${id}-help ${id}-fault` };
}

/** What a key stands at: as the sheet says it now, else as the last answer worked it out. An answer may be late. */
function standing(now, key, p) {
  return valueAt(now.sheet, key) ?? valueAt(now.sheet, p.key) ?? now.values?.[key] ?? now.values?.[p.key];
}

function matches(place, key) {
  return place === key || place.startsWith(`${key} `) || place.startsWith(`${key}.`);
}

function helpText(p, unit) {
  const parts = [p.help, p.looks];
  if (p.kind === "length") {
    const fine = p.high <= 300;
    parts.push(`${tapeText(p.low, unit, { fine, bare: true })} to ${tapeText(p.high, unit, { fine })}.`);
  } else if (p.kind === "number") parts.push(`${p.low} to ${p.high}${p.symbol ? ` ${p.symbol}` : ""}.`);
  if (p.absent) parts.push(`Left out: ${p.absent}.`);
  return parts.join(" ");
}

function lengthControl(p, hooks) {
  const id = `field-${p.key}`;
  const input = make("input", { type: "text", id, inputmode: "text", autocomplete: "off", spellcheck: "false" });
  const unitMark = make("span", { class: "unit", "aria-hidden": "true" });
  const swatches = p.key === "pads.thickness" ? stockSwatches(p, hooks, (mm, text) => wish(mm, text, true)) : null;
  const slider = make("input", { type: "range", class: "slider", "aria-label": `${sentence(p.label)}, slider` });
  const base = shell(p, hooks, { field: make("span", { class: "field" }, input, unitMark), slider: swatches?.element ?? slider }, { id });
  input.setAttribute("aria-describedby", base.described);
  let step = 1;
  let mm = null;
  let shown = "";
  let ends = { min: 0, max: 1 };
  /** What was just wished for, shown at once; the answer to it comes later. */
  const wish = (length, text, settled = false) => {
    show(length, hooks.unit());
    hooks.move(hooks.target(p.key), text);
    if (settled) hooks.settle();
  };
  const toCount = (count) => wish(count * step, stepText(count, step, hooks.unit()));
  slider.addEventListener("input", () => toCount(Number(slider.value)));
  slider.addEventListener("change", hooks.settle);
  onComing(slider, () => hooks.coming(hooks.target(p.key), stepText(beside(slider, 1), step, hooks.unit())));
  let touched = false;
  const typedIn = () => {
    if (!touched) return;
    touched = false;
    // the same text is a change only where it turns an estimate into a measurement
    if (input.value.trim() === shown && valueAt(hooks.sheet(), hooks.target(p.key)) !== undefined) return;
    const typed = input.value.trim();
    hooks.move(hooks.target(p.key), typed ? withUnit(typed, hooks.unit()) : null);
    hooks.settle();
  };
  input.addEventListener("input", () => (touched = true));
  input.addEventListener("change", typedIn);
  input.addEventListener("blur", typedIn);
  input.addEventListener("keydown", (event) => {
    const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
    if (!way || mm === null) return;
    event.preventDefault();
    const count = Math.min(Math.floor(p.high / step + 1e-6), Math.max(Math.ceil(p.low / step - 1e-6), Math.round(mm / step) + way));
    toCount(count);
    hooks.settle();
  });

  function show(length, unit) {
    mm = length;
    const fine = p.high <= 100;
    shown = tapeText(mm, unit, { fine, bare: true });
    if (input.value !== shown) input.value = shown;
    swatches?.show(mm, unit);
    const count = Math.round(mm / step);
    setMark(slider, "min", Math.min(count, ends.min));
    setMark(slider, "max", Math.max(count, ends.max));
    if (slider.value !== String(count)) slider.value = count;
    setMark(slider, "aria-valuetext", tapeText(mm, unit, { fine }));
    paintTrack(slider);
  }

  function update(now) {
    const { key, own } = base.common(now);
    const unit = now.unit;
    step = tapeStep(p, unit);
    const [low, high] = now.ranges?.[p.key] ?? [p.low, p.high];
    ends = { min: Math.ceil(Math.max(low, p.low) / step - 1e-6), max: Math.floor(Math.min(high, p.high) / step + 1e-6) };
    setText(unitMark, unit === "in" ? "in" : "cm");
    if (!now.values || (own.length && now.stale)) {
      slider.hidden = !now.values; // nothing was worked out yet: the sheet's own words
      shown = String(valueAt(now.sheet, key) ?? "");
      if (document.activeElement !== input || (!touched && input.value.trim() !== shown)) input.value = shown;
      return;
    }
    if (now.values && !(p.key in now.values)) return; // worked out only once things rest
    const here = document.activeElement;
    if (now.late && (here === slider || here === input)) return; // an older answer must not move what is held
    mm = now.values?.[key] ?? now.values?.[p.key] ?? null;
    setMark(input, "placeholder", p.absent.length > 13 ? "left out" : p.absent);
    slider.hidden = mm === null;
    if (mm === null) shown = input.value = "";
    else if (here !== input || !touched) show(mm, unit);
  }
  return { element: base.element, update, key: p.key };
}

function fractionControl(p, hooks) {
  const id = `field-${p.key}`;
  const slider = make("input", { type: "range", id, class: "slider", min: p.low, max: p.high, step: p.step });
  const out = make("output", { class: "field", for: id });
  const base = shell(p, hooks, { field: out, slider }, { id });
  if (p.ends.length) slider.after(make("p", { class: "ends", "aria-hidden": "true" }, ...p.ends.map((end) => make("span", {}, end))));
  const words = (value) => (p.ends.length ? (value ? `${value < 0 ? "−" : "+"}${Math.abs(value)}` : "as usual") : value.toFixed(2));
  slider.setAttribute("aria-describedby", base.described);
  slider.addEventListener("input", () => {
    setText(out, words(Number(slider.value)));
    paintTrack(slider);
    hooks.move(hooks.target(p.key), Number(slider.value));
  });
  slider.addEventListener("change", hooks.settle);
  onComing(slider, () => hooks.coming(hooks.target(p.key), beside(slider, p.step)));
  function update(now) {
    const { key } = base.common(now);
    if (now.late && document.activeElement === slider) return;
    const value = standing(now, key, p) ?? p.low;
    if (Number(slider.value) !== value) slider.value = value;
    setText(out, words(Number(value)));
    setMark(slider, "aria-valuetext", words(Number(value)));
    paintTrack(slider);
  }
  return { element: base.element, update, key: p.key };
}

function choiceControl(p, hooks) {
  const id = `field-${p.key}`;
  const left = p.default === null ? [make("option", { value: "" }, sentence(p.absent))] : [];
  const select = make("select", { id }, ...left, ...p.choices.map((choice) => make("option", { value: choice }, p.default === null ? choice : sentence(choice))));
  const base = shell(p, hooks, { field: make("span", { class: "field" }, select) }, { id });
  select.setAttribute("aria-describedby", base.described);
  select.addEventListener("change", () => {
    hooks.move(hooks.target(p.key), select.value || null);
    hooks.settle();
  });
  function update(now) {
    const { key } = base.common(now);
    const value = standing(now, key, p);
    if (value !== undefined && (value !== null || left.length)) select.value = value ?? "";
  }
  return { element: base.element, update, key: p.key };
}

function flagControl(p, hooks) {
  const id = `field-${p.key}`;
  const box = make("input", { type: "checkbox", id });
  const base = shell(p, hooks, { field: make("span", { class: "field tick" }, box) }, { id });
  box.setAttribute("aria-describedby", base.described);
  box.addEventListener("change", () => {
    hooks.move(hooks.target(p.key), box.checked);
    hooks.settle();
  });
  function update(now) {
    const { key } = base.common(now);
    box.checked = Boolean(standing(now, key, p));
  }
  return { element: base.element, update, key: p.key };
}

function textControl(p, hooks) {
  const id = `field-${p.key}`;
  const long = /\.notes?$/.test(p.key);
  const number = p.kind === "number";
  const input = long
    ? make("textarea", { id, rows: 3, maxlength: 2000 })
    : make("input", { id, type: "text", inputmode: number ? "decimal" : "text", autocomplete: "off", maxlength: number ? 20 : 200 });
  const base = shell(p, hooks, { field: make("span", { class: "field" }, input) }, { id, wide: !number });
  input.setAttribute("aria-describedby", base.described);
  const raw = () => {
    const typed = long ? input.value : input.value.trim();
    if (!typed) return null;
    const read = Number(typed.replace(",", "."));
    return number && Number.isFinite(read) ? read : typed;
  };
  const write = () => {
    const next = raw();
    if (next === (valueAt(hooks.sheet(), hooks.target(p.key)) ?? null)) return;
    hooks.move(hooks.target(p.key), next);
    hooks.settle();
  };
  input.addEventListener("change", write);
  const busy = typingIn(input);
  function update(now) {
    const { key } = base.common(now);
    if (busy(now)) return;
    const value = valueAt(now.sheet, key) ?? (number ? now.values?.[key] ?? now.values?.[p.key] : null);
    if (input.value !== String(value ?? "")) input.value = value ?? "";
    if (number) input.placeholder = p.absent ? "not given" : "";
  }
  return { element: base.element, update, key: p.key };
}

function pointsControl(p, hooks) {
  const id = `field-${p.key}`;
  const input = make("textarea", { id, rows: 4, spellcheck: "false", placeholder: "0; 2\n4 1/2; 8\n0; 12" });
  const base = shell(p, hooks, { field: make("span", { class: "field" }, input) }, { id, wide: true });
  input.setAttribute("aria-describedby", base.described);
  input.addEventListener("change", () => {
    const lines = input.value.split("\n").map((line) => line.trim()).filter(Boolean);
    const pairs = lines.map((line) => line.split(";").map((end) => withUnit(end.trim(), hooks.unit())));
    hooks.move(hooks.target(p.key), pairs.length ? pairs : null);
    hooks.settle();
  });
  const busy = typingIn(input);
  function update(now) {
    const { key } = base.common(now);
    if (busy(now)) return;
    const pairs = valueAt(now.sheet, key);
    const own = typeof now.sheet.unit === "string" ? now.sheet.unit : "cm";
    const end = (value) => (typeof value === "number" ? `${value} ${own}` : String(value));
    input.value = Array.isArray(pairs) ? pairs.map((pair) => [pair].flat().map(end).join("; ")).join("\n") : "";
  }
  return { element: base.element, update, key: p.key };
}
