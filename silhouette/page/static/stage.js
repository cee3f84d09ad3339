// Draws the figure before and after with WebGL2: side by side, or one over the other with a divider between.

import { lensMatrix, viewMatrix } from "./matrix.js";
import { FRAGMENT, VERTEX } from "./shaders.js";

const DISTANCE = 3200;
const REST_AFTER = 250; // ms

/** A stage on a canvas, or null where the browser has no working WebGL2. */
export function createStage(canvas) {
  const gl = canvas.getContext("webgl2", { alpha: true, antialias: false, premultipliedAlpha: true, preserveDrawingBuffer: true });
  if (!gl) return null;
  const surfaces = {};
  let program = null;
  let places = null;
  let before = null; // how the bare body was last seen
  let resting = 0;
  let quick = false;
  let bounds = { middle: [0, 0, -300], half: 340, reach: 230 };

  function prepare() {
    program = linked(gl);
    places = Object.fromEntries(
      ["view", "lens", "flip", "tone", "shade", "ribbon", "ribbonTone"].map((n) => [n, gl.getUniformLocation(program, n)]),
    );
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

  /** The bare body; it sets the scale, which then stays while pads change. */
  function setBody(surface, mirror) {
    put("body", surface, mirror);
    const low = [Infinity, Infinity, Infinity];
    const high = [-Infinity, -Infinity, -Infinity];
    for (let i = 0; i < surface.points.length; i++) {
      low[i % 3] = Math.min(low[i % 3], surface.points[i]);
      high[i % 3] = Math.max(high[i % 3], surface.points[i]);
    }
    const reach = Math.max(high[0], (high[1] - low[1]) / 2) + 45;
    bounds = { middle: [0, (low[1] + high[1]) / 2, (low[2] + high[2]) / 2], half: (high[2] - low[2]) / 2 + 34, reach };
  }

  function setPads(surface, mirror) {
    put("pads", surface, mirror);
  }

  /** The figure under cloth, drawn instead of body and pads when it is there. */
  function setWorn(surface, mirror) {
    if (surface) put("worn", surface, mirror);
    else delete surfaces.worn;
  }

  /** Draws at once, plainly; a little later, when nothing has moved since, once more with smooth edges. */
  function draw(view, tones) {
    paintAll(view, tones, 1);
    clearTimeout(resting);
    resting = setTimeout(() => paintAll(view, tones, 2), REST_AFTER);
  }

  function paintAll(view, tones, fineness) {
    if (gl.isContextLost() || !surfaces.body) return;
    quick = fineness === 1;
    const ratio = Math.min((window.devicePixelRatio || 1) * fineness, 3);
    const [width, height] = [Math.round(canvas.clientWidth * ratio), Math.round(canvas.clientHeight * ratio)];
    if (!width || !height) return;
    const sized = canvas.width !== width || canvas.height !== height;
    if (sized) [canvas.width, canvas.height] = [width, height];
    gl.enable(gl.SCISSOR_TEST);
    gl.useProgram(program);
    // while pads move the bare body stands still: what was drawn of it stays
    const seen = JSON.stringify([view.turn, view.tilt, view.mode, view.wipe, tones]);
    const still = !sized && !surfaces.body.fresh && seen === before && view.mode !== "over";
    before = seen;
    const middle = view.mode === "over" ? width : Math.floor(width / 2);
    const cut = view.mode === "over" ? Math.round(width * view.wipe) : middle;
    if (!still) half("before", view, tones, [0, 0, middle, height], [0, 0, cut, height]);
    const from = view.mode === "over" ? 0 : middle;
    half("after", view, tones, [from, 0, width - from, height], [cut, 0, width - cut, height]);
  }

  function half(which, view, tones, port, cut) {
    if (cut[2] <= 0) return;
    gl.viewport(...port);
    gl.scissor(...cut);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    const aspect = port[2] / port[3];
    const size = Math.max(bounds.half, bounds.reach / aspect);
    gl.uniformMatrix4fv(places.view, false, viewMatrix(view.turn, view.tilt, bounds.middle, DISTANCE));
    gl.uniformMatrix4fv(places.lens, false, lensMatrix(size, DISTANCE, aspect));
    gl.uniform3fv(places.ribbonTone, tones.ribbon);
    gl.uniform2f(places.ribbon, -(which === "before" ? view.bareLevel : view.level), Math.max(1.1, (1.3 * size) / port[3]));
    gl.enable(gl.DEPTH_TEST);
    gl.disable(gl.BLEND);
    const worn = which === "after" && surfaces.worn;
    gl.enable(gl.CULL_FACE);
    paint(surfaces[worn ? "worn" : "body"], tones.body, 1, tones.shade);
    gl.disable(gl.CULL_FACE);
    if (which === "after" && !worn && surfaces.pads) {
      gl.enable(gl.POLYGON_OFFSET_FILL);
      gl.polygonOffset(-1.5, -2);
      if (view.tint) {
        // depth first, so that only the nearest foam is tinted over the body
        gl.colorMask(false, false, false, false);
        paint(surfaces.pads, tones.pad, 1, tones.padShade);
        gl.colorMask(true, true, true, true);
        gl.depthFunc(gl.LEQUAL);
        gl.enable(gl.BLEND);
        gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
        paint(surfaces.pads, tones.pad, 0.84, tones.padShade);
        gl.depthFunc(gl.LESS);
      } else {
        paint(surfaces.pads, tones.body, 1, tones.shade);
      }
      gl.disable(gl.POLYGON_OFFSET_FILL);
    }
  }

  function paint(entry, tone, alpha, shade) {
    if (!entry.drawn) entry.drawn = buffers(gl, program);
    if (entry.fresh) {
      fill(gl, entry.drawn, entry.surface);
      entry.fresh = false;
    }
    gl.bindVertexArray(entry.drawn.array);
    gl.uniform4f(places.tone, ...tone, alpha);
    gl.uniform3fv(places.shade, shade);
    for (const flip of entry.mirror ? [1, -1] : [1]) {
      gl.uniform1f(places.flip, flip);
      gl.frontFace(flip > 0 ? gl.CCW : gl.CW);
      const { fine, coarse } = entry.drawn;
      if (quick) gl.drawElements(gl.TRIANGLES, coarse, gl.UNSIGNED_INT, fine * 4);
      else gl.drawElements(gl.TRIANGLES, fine, gl.UNSIGNED_INT, 0);
    }
  }

  canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
  canvas.addEventListener("webglcontextrestored", () => {
    prepare();
    for (const entry of Object.values(surfaces)) entry.fresh = true;
    canvas.dispatchEvent(new Event("redraw"));
  });
  return { setBody, setPads, setWorn, draw };
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
