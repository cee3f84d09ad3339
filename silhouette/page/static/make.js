// Builds elements. Text is always text, never markup.

const SVG = "http://www.w3.org/2000/svg";

export function make(tag, attributes = {}, ...children) {
  return furnish(document.createElement(tag), attributes, children);
}

export function draw(tag, attributes = {}, ...children) {
  return furnish(document.createElementNS(SVG, tag), attributes, children);
}

function furnish(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

/** Replaces what an element holds. */
export function fillWith(element, ...children) {
  element.replaceChildren(...children.filter((child) => child !== null && child !== undefined && child !== false));
}

/** Changes a text only where it differs: an untouched element costs no layout. */
export function setText(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

/** Changes an attribute only where it differs. */
export function setMark(element, name, value) {
  if (element.getAttribute(name) !== String(value)) element.setAttribute(name, value);
}

/** Makes what an element holds like `next`, which may then be used up: what is the same already is left alone. */
export function become(element, next) {
  if (!element.firstChild) fillWith(element, next);
  else alike(element.firstChild, next);
}

function alike(old, next) {
  if (old.nodeName !== next.nodeName || old.childNodes.length !== next.childNodes.length) {
    old.replaceWith(next);
  } else if (old.nodeType === Node.TEXT_NODE) {
    if (old.data !== next.data) old.data = next.data;
  } else {
    for (const { name, value } of next.attributes) setMark(old, name, value);
    for (const { name } of [...old.attributes]) if (!next.hasAttribute(name)) old.removeAttribute(name);
    [...next.childNodes].forEach((child, i) => alike(old.childNodes[i], child));
  }
}
