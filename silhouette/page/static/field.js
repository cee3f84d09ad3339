// What fields need that neither the sheet nor the server knows: a hand that types or comes near, a track that is filled.

/** Whether something is being typed that no late answer may write over; another client's sheet may. */
export function typingIn(input) {
  let touched = false;
  input.addEventListener("input", () => (touched = true));
  input.addEventListener("change", () => (touched = false));
  input.addEventListener("blur", () => (touched = false));
  return (now) => {
    if (now.why === "replaced") touched = false;
    return document.activeElement === input && (touched || now.why === "moved");
  };
}

/** How far along its track a slider stands, for the filled part of the track. */
export function paintTrack(slider) {
  const [low, high] = [Number(slider.min), Number(slider.max)];
  const share = high > low ? ((Number(slider.value) - low) / (high - low)) * 100 : 0;
  const text = `${share.toFixed(2)}%`;
  if (slider.style.getPropertyValue("--share") !== text) slider.style.setProperty("--share", text);
}

/** Calls when a hand or the keyboard comes to a slider. */
export function onComing(slider, call) {
  for (const event of ["pointerenter", "focus"]) slider.addEventListener(event, call);
}

/** A value some steps beside where a slider stands. */
export function beside(slider, step) {
  const here = Number(slider.value);
  return here + 4 * step * (here + 4 * step > Number(slider.max) ? -1 : 1);
}
