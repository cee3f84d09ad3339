// Talks to the server: one request for a picture in flight, and the newest wish wins.

export class Refusal extends Error {
  constructor(status, body) {
    super((body.faults ?? []).map((f) => `${f.place}: ${f.message}`).join("\n") || `refused (${status})`);
    this.status = status;
    this.faults = body.faults ?? [];
    this.body = body;
  }
}

export class Unreachable extends Error {}

export async function post(path, body, signal = null) {
  let reply;
  try {
    reply = await fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), signal });
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Unreachable("The page has lost its server. Start “silhouette page” again; what you see stays in this tab.");
  }
  if (!reply.ok) throw new Refusal(reply.status, await reply.json().catch(() => ({})));
  return reply;
}

export async function postJson(path, body) {
  return (await post(path, body)).json();
}

/** Each JSON line of a reply as it comes in. */
export async function eachLine(reply, tell) {
  const reader = reply.body.pipeThrough(new TextDecoderStream()).getReader();
  let rest = "";
  for (let part = await reader.read(); !part.done; part = await reader.read()) {
    const lines = (rest + part.value).split("\n");
    rest = lines.pop();
    for (const line of lines.filter(Boolean)) tell(JSON.parse(line));
  }
}

/**
 * The answer to one sheet: {numbers, block}; the body's grids are left out when `have` names them. `coming`: nobody has
 * wished for it yet, and null says that it cannot be.
 */
export async function look(sheet, show, have = null, { moving = false, coming = false } = {}) {
  const reply = await post("/preview", { sheet, show, have, moving, coming });
  if (reply.status === 204) return null;
  const raw = await reply.arrayBuffer();
  const size = new DataView(raw).getUint32(0, true);
  const numbers = JSON.parse(new TextDecoder().decode(new Uint8Array(raw, 4, size)));
  return { numbers, block: new Int16Array(raw, 4 + size) };
}

/**
 * One request in flight; while it is, only the newest wish is remembered. The next wish is sent off before the
 * answer to the last is shown, so that server and browser work at the same time. A wish that is not `moving` takes its
 * time: a newer one overtakes it, and its answer is dropped. `take` sees an answer before the next wish is sent off,
 * `show` after. True once nothing is left.
 */
export function newestWins(send, take, show) {
  let turn = 0;
  let busy = false;
  let slow = false;
  let waiting = null;
  const next = () => {
    if (!waiting) return null;
    const { wish } = waiting;
    waiting = null;
    slow = !wish.moving;
    return send(wish).then((answer) => ({ answer, wish }), (error) => ({ error, wish }));
  };
  return async (wish) => {
    waiting = { wish };
    if (busy && !slow) return false;
    const mine = ++turn;
    busy = true;
    for (let flight = next(); flight; ) {
      const landed = await flight;
      if (turn !== mine) return false;
      take(landed);
      flight = next();
      try {
        show(landed);
      } catch (error) {
        reportError(error);
      }
      flight ??= next();
    }
    busy = false;
    return true;
  };
}
