// Draws the figure before and after with WebGL2: side by side, the one laid over the other, or with a divider between;
// or several figures in a row.

import { lensMatrix, viewMatrix } from "./matrix.js";
import { FRAGMENT, VERTEX } from "./shaders.js";

const DISTANCE = 3600;
const REST_AFTER = 250; // ms
const TOP = 96; // mm above the waist, and below the hem, that are still in the picture
const FOOT = 120;
const HIDES = 20; // mm above hem and waist from which cloth hides the skin
const LAMPS = { soft: [0.88, 0.3, 0.12], side: [0.22, 1.05, 0.05] };
const UNIFORMS = ["view", "lens", "flip", "tone", "lamps", "hem", "alpha", "covered", "ribbon", "ribbonTone"];

/** A stage on a canvas, or null where the browser has no working WebGL2. `awaited()`: more is to be drawn soon. */
export function createStage(canvas, awaited = () => false) {
  const gl = canvas.getContext("webgl2", { alpha: true, antialias: false, premultipliedAlpha: true, preserveDrawingBuffer: true });
  if (!gl) return null;
  const surfaces = {};
  let program = null;
  let places = null;
  let standing = null; // how the figure before was last drawn
  let stirred = true; // whether it has changed since
  let resting = 0;
  let room = null; // px the canvas takes up; reading it while things move would lay the page out once more
  let quick = false;
  const lows = {}; // height of each figure's hem
  let row = []; // levels of the figures in a row, and what all of them need
  let rowBounds = null;
  let bounds = { middle: [0, 0, -300], half: 520, reach: 260 };

  function prepare() {
    program = linked(gl);
    places = Object.fromEntries(UNIFORMS.map((n) => [n, gl.getUniformLocation(program, n)]));
    for (const name of Object.keys(surfaces)) surfaces[name].drawn = null;
  }
  try {
    prepare();
  } catch {
    return null; // a browser that says it can and cannot: everything but the picture still works
  }

  function put(name, surface, mirror) {
    surfaces[name] = { surface, mirror, drawn: surfaces[name]?.drawn ?? null, fresh: true };
  }

  /** Torso and legs; they set the scale, which then stays while pads change. */
  function setSkin(surface, mirror) {
    put("skin", surface, mirror);
    bounds = { ...bounds, ...across(surface, bounds) };
    stirred = true;
  }

  /** The skirt of the figure `before` or `after`. */
  function setSkirt(which, skirt, mirror) {
    for (const part of ["cloth", "band", "seams", "zip"]) put(`${which} ${part}`, skirt[part], mirror);
    lows[which] = skirt.low;
    if (which === "before") bounds = { ...bounds, ...upright(skirt.low, bounds) };
    if (which === "before") stirred = true;
  }

  /** Several dressed figures, {skin, skirt, mirror, level} each, to stand in a row in one scale. */
  function setRow(figures) {
    row = figures.map((one) => one.level);
    rowBounds = null;
    figures.forEach(({ skin, skirt, mirror }, i) => {
      put(`row${i} skin`, skin, mirror);
      setSkirt(`row${i}`, skirt, mirror);
      const own = across(skin, bounds);
      rowBounds = { middle: own.middle, reach: Math.max(own.reach, rowBounds?.reach ?? 0), low: Math.min(skirt.low, rowBounds?.low ?? 0) };
    });
    if (rowBounds) rowBounds = { ...rowBounds, ...upright(rowBounds.low, rowBounds) };
  }

  function setPads(surface, mirror) {
    put("pads", surface, mirror);
  }

  /** Draws at once, plainly; a little later, when nothing has moved since, once more with smooth edges. */
  function draw(view, tones) {
    paintAll(view, tones, 1);
    clearTimeout(resting);
    resting = setTimeout(() => (awaited() ? null : paintAll(view, tones, 2)), REST_AFTER);
  }

  /** Draws at once with smooth edges. */
  function drawFine(view, tones) {
    clearTimeout(resting);
    paintAll(view, tones, 2);
  }

  function paintAll(view, tones, fineness) {
    if (gl.isContextLost() || !surfaces.skin) return;
    quick = fineness === 1;
    const ratio = Math.min((window.devicePixelRatio || 1) * fineness, 3);
    room ??= [canvas.clientWidth, canvas.clientHeight];
    const [width, height] = room.map((px) => Math.round(px * ratio));
    if (!width || !height) return;
    const sized = canvas.width !== width || canvas.height !== height;
    if (sized) [canvas.width, canvas.height] = [width, height];
    gl.enable(gl.SCISSOR_TEST);
    gl.useProgram(program);
    gl.enable(gl.DEPTH_TEST);
    gl.disable(gl.CULL_FACE);
    gl.disable(gl.BLEND);
    if (view.mode === "row") {
      standing = null;
      const wide = Math.floor(width / row.length);
      row.forEach((level, i) => half(`row${i}`, { ...view, wear: "dressed", level }, tones, [i * wide, 0, wide, height], [i * wide, 0, wide, height], rowBounds));
    } else if (view.mode === "pair") {
      // while pads move the figure before stands still: what was drawn of it stays
      const seen = JSON.stringify([view.turn, view.tilt, view.wear, view.light, view.bareLevel, tones]);
      const middle = Math.floor(width / 2);
      if (sized || stirred || seen !== standing) half("before", view, tones, [0, 0, middle, height], [0, 0, middle, height]);
      standing = seen;
      half("after", view, tones, [middle, 0, width - middle, height], [middle, 0, width - middle, height]);
    } else {
      standing = null;
      const all = [0, 0, width, height];
      const cut = view.mode === "divide" ? Math.round(width * view.wipe) : 0;
      if (view.mode === "divide") half("before", view, tones, all, [0, 0, cut, height]);
      half("after", view, tones, all, [cut, 0, width - cut, height]);
      if (view.mode === "over") laidOver(view, tones);
    }
    stirred = false;
  }

  function half(which, view, tones, port, cut, shown = bounds) {
    if (cut[2] <= 0) return;
    gl.viewport(...port);
    gl.scissor(...cut);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    aim(view, port, tones, shown);
    tape(which === "before" ? view.bareLevel : view.level, port);
    figure(which, view, tones);
  }

  function aim(view, port, tones, shown) {
    const aspect = port[2] / port[3];
    const size = Math.max(shown.half, shown.reach / aspect);
    gl.uniformMatrix4fv(places.view, false, viewMatrix(view.turn, view.tilt, shown.middle, DISTANCE));
    gl.uniformMatrix4fv(places.lens, false, lensMatrix(size, DISTANCE, aspect));
    gl.uniform3fv(places.lamps, LAMPS[view.light] ?? LAMPS.soft);
    gl.uniform3fv(places.ribbonTone, tones.ribbon);
    gl.uniform1f(places.alpha, 1);
    aim.size = size;
  }

  function tape(level, port) {
    if (level === null) gl.uniform2f(places.ribbon, 1e6, 1);
    else gl.uniform2f(places.ribbon, -level, Math.max(1.6, (1.4 * aim.size) / port[3]));
  }

  /** The dressed figure, or the bare one with its pads on. */
  function figure(which, view, tones) {
    const dressed = view.wear !== "pads" && surfaces[`${which} cloth`];
    const skin = surfaces[`${which} skin`] ?? surfaces.skin;
    if (dressed) {
      for (const [part, tone] of [["cloth", tones.cloth], ["band", tones.band], ["seams", tones.seam], ["zip", tones.zip]]) {
        paint(surfaces[`${which} ${part}`], tone);
      }
    }
    gl.uniform2f(places.covered, dressed ? lows[which] + HIDES : 1, dressed ? HIDES : 0);
    gl.uniform1f(places.hem, dressed ? lows[which] : -1e5);
    paint(dressed ? inSight(which, skin) : skin, tones.skin);
    gl.uniform2f(places.covered, 1, 0);
    gl.uniform1f(places.hem, -1e5);
    if (!dressed && which === "after" && surfaces.pads) {
      gl.enable(gl.POLYGON_OFFSET_FILL);
      gl.polygonOffset(-1.5, -2);
      paint(surfaces.pads, tones.pad);
      gl.disable(gl.POLYGON_OFFSET_FILL);
    }
  }

  /** What of the skin the cloth leaves in sight: the rest is never sent through. */
  function inSight(which, { surface, mirror }) {
    const name = `${which} in sight`;
    if (surfaces[name]?.of !== surface || surfaces[name].low !== lows[which]) {
      put(name, apartFrom(surface, lows[which] + HIDES, HIDES), mirror);
      Object.assign(surfaces[name], { of: surface, low: lows[which] });
    }
    return surfaces[name];
  }

  /** The figure before, thin as tracing paper, over the figure after: its nearest surface only. */
  function laidOver(view, tones) {
    gl.clear(gl.DEPTH_BUFFER_BIT);
    tape(null);
    gl.colorMask(false, false, false, false);
    figure("before", view, tones);
    gl.colorMask(true, true, true, true);
    gl.depthFunc(gl.LEQUAL);
    gl.enable(gl.BLEND);
    gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
    gl.uniform1f(places.alpha, 0.62);
    const pale = tones.cloth.map((c) => 0.35 * c + 0.65);
    figure("before", view, { ...tones, cloth: pale, band: pale, seam: pale, zip: pale, skin: tones.skin });
    gl.uniform1f(places.alpha, 1);
    gl.disable(gl.BLEND);
    gl.depthFunc(gl.LESS);
  }

  function paint(entry, tone) {
    if (!entry.drawn) entry.drawn = buffers(gl, program);
    if (entry.fresh) {
      fill(gl, entry.drawn, entry.surface);
      entry.fresh = false;
    }
    gl.bindVertexArray(entry.drawn.array);
    gl.uniform3fv(places.tone, tone.map((c) => c * c));
    for (const flip of entry.mirror ? [1, -1] : [1]) {
      gl.uniform1f(places.flip, flip);
      const { fine, coarse } = entry.drawn;
      if (quick) gl.drawElements(gl.TRIANGLES, coarse, gl.UNSIGNED_INT, fine * 4);
      else gl.drawElements(gl.TRIANGLES, fine, gl.UNSIGNED_INT, 0);
    }
  }

  new ResizeObserver(([box]) => (room = [box.contentRect.width, box.contentRect.height])).observe(canvas);
  canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
  canvas.addEventListener("webglcontextrestored", () => {
    prepare();
    stirred = true;
    for (const entry of Object.values(surfaces)) entry.fresh = true;
    canvas.dispatchEvent(new Event("redraw"));
  });
  return { setSkin, setSkirt, setPads, setRow, draw, drawFine };
}

/** How far a figure reaches to either side, and where its middle lies from front to back. */
function across(surface, { middle }) {
  const least = [Infinity, Infinity, Infinity];
  const most = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < surface.points.length; i++) {
    least[i % 3] = Math.min(least[i % 3], surface.points[i]);
    most[i % 3] = Math.max(most[i % 3], surface.points[i]);
  }
  return { reach: Math.max(most[0], -least[0], (most[1] - least[1]) / 2) + 55, middle: [0, (least[1] + most[1]) / 2, middle[2]] };
}

/** A surface without the triangles that lie between two heights altogether. */
function apartFrom(surface, low, high) {
  const hidden = (corner) => surface.points[3 * corner + 2] > low && surface.points[3 * corner + 2] < high;
  const left = (list) => {
    const kept = new Uint32Array(list.length);
    let count = 0;
    for (let k = 0; k < list.length; k += 3) {
      if (hidden(list[k]) && hidden(list[k + 1]) && hidden(list[k + 2])) continue;
      kept.set(list.subarray(k, k + 3), count);
      count += 3;
    }
    return kept.subarray(0, count);
  };
  return { ...surface, triangles: left(surface.triangles), coarse: left(surface.coarse) };
}

/** From a little above the waistband to a little below the hem: what lies beyond is cut off by the picture's edge. */
function upright(hem, { middle }) {
  const [top, foot] = [TOP, hem - FOOT];
  return { middle: [0, middle[1], (top + foot) / 2], half: (top - foot) / 2 };
}

function buffers(gl, program) {
  const array = gl.createVertexArray();
  gl.bindVertexArray(array);
  const drawn = { array, fine: 0, coarse: 0, place: gl.createBuffer(), normal: gl.createBuffer(), index: gl.createBuffer() };
  for (const name of ["place", "normal"]) {
    const at = gl.getAttribLocation(program, name);
    gl.bindBuffer(gl.ARRAY_BUFFER, drawn[name]);
    gl.enableVertexAttribArray(at);
    gl.vertexAttribPointer(at, 3, gl.FLOAT, false, 0, 0);
  }
  gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, drawn.index);
  return drawn;
}

function fill(gl, drawn, surface) {
  gl.bindVertexArray(drawn.array);
  gl.bindBuffer(gl.ARRAY_BUFFER, drawn.place);
  gl.bufferData(gl.ARRAY_BUFFER, surface.points, gl.DYNAMIC_DRAW);
  gl.bindBuffer(gl.ARRAY_BUFFER, drawn.normal);
  gl.bufferData(gl.ARRAY_BUFFER, surface.normals, gl.DYNAMIC_DRAW);
  gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, drawn.index);
  [drawn.fine, drawn.coarse] = [surface.triangles.length, surface.coarse.length];
  gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, (drawn.fine + drawn.coarse) * 4, gl.DYNAMIC_DRAW);
  gl.bufferSubData(gl.ELEMENT_ARRAY_BUFFER, 0, surface.triangles);
  gl.bufferSubData(gl.ELEMENT_ARRAY_BUFFER, drawn.fine * 4, surface.coarse);
}

function linked(gl) {
  const program = gl.createProgram();
  for (const [kind, text] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(program, shader);
  }
  gl.linkProgram(program);
  if (!gl.getProgramParameter(program, gl.LINK_STATUS) && !gl.isContextLost()) {
    throw new Error(`the picture could not be set up: ${gl.getProgramInfoLog(program)}`);
  }
  return program;
}
