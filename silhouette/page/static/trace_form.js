// What stands in the drawer of her outline: the photographs, how they lie, and what came of them.

import { tapeText, withSigns } from "./lengths.js";
import { make, setText } from "./make.js";
import { VIEWS } from "./trace_rows.js";

const FAR = [1000, 8000]; // mm from the camera to her

/** `hooks`: choose(name, input), distance(mm), settle(), by(word), way(1 or -1), apart(flag), leaveOut(), forget(). */
export function createForm(hooks) {
  const inputs = Object.keys(VIEWS).map((name) => make("input", { type: "file", accept: "image/*", id: `trace-${name}`, class: "trace-file",
    onchange: (event) => hooks.choose(name, event.target) }));
  const distance = make("input", { type: "range", id: "trace-distance", min: FAR[0], max: FAR[1], step: 50,
    oninput: () => hooks.distance(Number(distance.value)), onchange: () => hooks.settle() });
  const distanceWords = make("output", { for: "trace-distance" });
  const by = choice("trace-by", { hip: "Waist line to hip line", knee: "Waist line to knee line", breadth: "Her hip breadth, by caliper" }, hooks.by);
  const faces = choice("trace-faces", { 1: "Right of the picture", "-1": "Left of the picture" }, (word) => hooks.way(Number(word)));
  const apart = make("input", { type: "checkbox", id: "trace-apart", onchange: () => hooks.apart(apart.checked) });
  const out = make("button", { type: "button", id: "trace-out", onclick: () => hooks.leaveOut() }, "Leave her outline out");
  const away = make("button", { type: "button", id: "trace-away", onclick: () => hooks.forget() }, "Take the photographs away");
  const told = make("p", { class: "trace-told", role: "status" });
  const words = make("p", { class: "small", id: "trace-words" });
  const facesField = field("She faces the", faces);
  const room = make("div", {});
  const element = make("div", { class: "trace" },
    make("p", { class: "trace-promise" }, make("strong", {}, "Photographs stay in this page. "),
      "They are not uploaded, not stored and not written anywhere, and gone when the page is closed. Only the points are kept, in her sheet."),
    make("div", { class: "trace-files" }, ...inputs.map((input, i) => make("label", { class: "trace-choose", for: input.id },
      make("strong", {}, `From the ${Object.keys(VIEWS)[i]}`), input))),
    told,
    make("ol", { class: "small trace-steps" },
      make("li", {}, "Lay the waist line on her waist, the other line straight below it: they set scale and upright."),
      make("li", {}, "Draw each point sideways onto her outline; arrow keys move it a millimetre.")),
    room, words,
    make("div", { class: "controls" }, field("Scale from", by), facesField,
      field("Camera to her", make("span", { class: "field" }, distanceWords), distance),
      make("label", { class: "pick" }, apart, make("span", {}, "Left and right differ"))),
    make("p", { class: "small" }, "The distance is assumed until you set it. The camera is taken to be level and to point at the middle of the ",
      "picture: do not crop it. Something close-fitting, arms clear, feet a hand apart."),
    make("div", { class: "row" }, out, away));

  return {
    element, room,
    say: (text) => setText(told, text),
    empty: () => inputs.forEach((input) => (input.value = "")),
    /** `now`: settings, the scale in use, whether a caliper breadth is known, the view, and what there is. */
    update({ settings, scaledBy, caliper, view, unit, isApart, traced, any, sentence }) {
      setText(distanceWords, tapeText(settings.distance, unit));
      if (distance.value !== String(settings.distance)) distance.value = settings.distance;
      by.value = scaledBy;
      by.lastElementChild.disabled = view !== "front" || !caliper;
      faces.value = String(settings.way);
      facesField.hidden = view !== "side";
      apart.checked = isApart;
      out.disabled = !traced;
      away.disabled = !any;
      setText(words, withSigns(sentence));
    },
  };
}

function choice(id, words, take) {
  const select = make("select", { id, onchange: () => take(select.value) }, ...Object.entries(words).map(([value, text]) => make("option", { value }, text)));
  return select;
}

function field(label, input, below = null) {
  return make("div", { class: "control" }, make("label", { class: "label", for: (below ?? input).id }, label), input, below && make("div", { class: "slider" }, below));
}
