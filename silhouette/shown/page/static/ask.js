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

export async function post(path, body) {
  let reply;
  try {
    reply = await fetch(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });
  } catch {
    throw new Unreachable("The page has lost its server. Start “silhouette page” again; what you see stays in the address.");
  }
  if (!reply.ok) throw new Refusal(reply.status, await reply.json().catch(() => ({})));
  return reply;
}

export async function postJson(path, body) {
  return (await post(path, body)).json();
}

/** The answer to one sheet: {numbers, block}; the body's grids are left out when `have` names them. */
export async function look(sheet, show, have = null) {
  const raw = await (await post("/preview", { sheet, show, have })).arrayBuffer();
  const size = new DataView(raw).getUint32(0, true);
  const numbers = JSON.parse(new TextDecoder().decode(new Uint8Array(raw, 4, size)));
  return { numbers, block: new Int16Array(raw, 4 + size) };
}

/** Makes `work` run one at a time; while it runs, only the newest wish is remembered. */
export function newestWins(work) {
  let busy = false;
  let waiting = null;
  return async (wish) => {
    waiting = { wish };
    if (busy) return;
    busy = true;
    while (waiting) {
      const now = waiting.wish;
      waiting = null;
      await work(now);
    }
    busy = false;
  };
}
