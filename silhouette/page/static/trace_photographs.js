// Photographs read from disk into this page's own memory: no request carries them, nothing keeps them.

import { make } from "./make.js";

const LARGEST = 60e6; // bytes of a file
const FINEST = 2400; // px of the longer side: finer than points are drawn

/** What is held: {front, side}, each {url, size} or missing. */
export function createPhotographs() {
  const held = {};

  function drop(name) {
    if (held[name]) URL.revokeObjectURL(held[name].url);
    delete held[name];
  }

  return {
    held,
    drop,
    /** Takes a file in. A word about what is wrong with it, or "" when it is there. */
    async take(name, file) {
      if (file.size > LARGEST) return "A photograph of at most 60 MB, please.";
      try {
        const read = await inMemory(file);
        drop(name);
        held[name] = read;
        return "";
      } catch {
        return "The browser cannot open this file as a picture.";
      }
    },
    forget: () => Object.keys(held).forEach(drop),
  };
}

/** A photograph upright and of a size to work with, under an address of this page's memory. */
async function inMemory(file) {
  const bitmap = await createImageBitmap(file);
  const share = Math.min(1, FINEST / Math.max(bitmap.width, bitmap.height));
  const canvas = make("canvas", { width: Math.round(bitmap.width * share), height: Math.round(bitmap.height * share) });
  canvas.getContext("2d").drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  bitmap.close();
  const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.93));
  return { url: URL.createObjectURL(blob), size: [canvas.width, canvas.height] };
}
