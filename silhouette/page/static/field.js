// What fields need that neither the sheet nor the server knows: a hand that types, a track that is filled.

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
