// What is on the table: the sheet, its variants and how they are looked at. This tab keeps all of it, step by step,
// for as long as it is open; the address, and with it the browser's history, names the client's file at most.

export const MOST_VARIANTS = 4;

/** `work` is what undo covers; `desk` is how it is looked at and where it is kept. */
export function createState(work, desk) {
  let now = { work: copy(work), desk: copy(desk) };
  let settled = JSON.stringify(now.work);
  const past = [];
  const future = [];
  const listeners = [];
  const tell = (why) => listeners.forEach((listener) => listener(why));

  const state = {
    get work() { return now.work; },
    get desk() { return now.desk; },
    get canUndo() { return past.length > 0 || JSON.stringify(now.work) !== settled; },
    get canRedo() { return future.length > 0; },
    listen: (listener) => listeners.push(listener),

    /** Changes the work while a control moves; `settle` makes it one step of undo. */
    move(change) {
      change(now.work);
      tell("moved");
    },
    settle() {
      const text = JSON.stringify(now.work);
      if (text === settled) {
        tell("settled");
        return;
      }
      past.push(settled);
      if (past.length > 200) past.shift();
      future.length = 0;
      settled = text;
      now.desk.kept = false;
      writeTable(now, true);
      tell("settled");
    },
    /** A change that is one step at once. */
    step(change) {
      change(now.work);
      tell("moved");
      state.settle();
    },
    undo() { walk(past, future); },
    redo() { walk(future, past); },

    /** How it is looked at; not a step of undo. */
    look(change, { quiet = false } = {}) {
      change(now.desk);
      if (!quiet) writeTable(now, false);
      tell("looked");
    },
    /** Another client on the table. */
    replace(nextWork, nextDesk) {
      now = { work: copy(nextWork), desk: copy(nextDesk) };
      settled = JSON.stringify(now.work);
      past.length = future.length = 0;
      writeTable(now, true);
      tell("replaced");
    },
    /** The back button was pressed. False when nothing was kept for the place it led to. */
    fromHistory() {
      const read = history.state && readTable();
      if (!read) return false;
      const text = JSON.stringify(read.work);
      if (text !== settled) past.push(settled);
      now = read;
      settled = text;
      tell("replaced");
      return true;
    },
    write: () => writeTable(now, false),
  };

  function walk(from, to) {
    const text = JSON.stringify(now.work);
    if (text !== settled && from === past) {
      now.work = JSON.parse(settled);
    } else if (from.length) {
      to.push(settled);
      settled = from.pop();
      now.work = JSON.parse(settled);
    } else return;
    now.desk.kept = false;
    writeTable(now, true);
    tell("settled");
  }
  return state;
}

/** Value of a dotted key in nested values, undefined when left out. */
export function valueAt(sheet, key) {
  return key.split(".").reduce((table, name) => (table && typeof table === "object" ? table[name] : undefined), sheet);
}

/** Sets a dotted key; null takes it out, and the table too when it was the last. */
export function setValue(sheet, key, value) {
  const [name, ...rest] = key.split(".");
  if (!rest.length) {
    if (value === null) delete sheet[name];
    else sheet[name] = value;
    return;
  }
  if (typeof sheet[name] !== "object" || sheet[name] === null) sheet[name] = {};
  setValue(sheet[name], rest.join("."), value);
  if (!Object.keys(sheet[name]).length) delete sheet[name];
}

const STEP = "silhouette step ";
const LATEST = "silhouette latest";
const KEPT_STEPS = 150; // the back button reaches no further

/** What this tab kept at the place in its history where it stands, or when it was last here; null when nothing. */
export function readTable() {
  const at = history.state?.at ?? (fileInAddress() ? null : sessionStorage.getItem(LATEST));
  try {
    const read = JSON.parse(sessionStorage.getItem(STEP + at));
    if (!isTable(read?.work?.sheet) || !Array.isArray(read.work.variants) || !isTable(read.desk)) return null;
    if (!read.work.variants.every((v) => isTable(v?.sheet) && typeof v.name === "string")) return null;
    read.work.variants.length = Math.min(read.work.variants.length, MOST_VARIANTS);
    if (typeof read.work.note !== "string") read.work.note = "";
    return read;
  } catch {
    return null;
  }
}

/** The client's file that the address names, or null. */
export function fileInAddress() {
  try {
    return decodeURIComponent(location.hash.slice(1)) || null;
  } catch {
    return null;
  }
}

function writeTable(now, step) {
  const latest = Number(sessionStorage.getItem(LATEST)) || 0;
  const at = step || !history.state?.at ? latest + 1 : history.state.at;
  try {
    sessionStorage.removeItem(STEP + (at - KEPT_STEPS));
    sessionStorage.setItem(STEP + at, JSON.stringify(now));
    if (at > latest) sessionStorage.setItem(LATEST, at);
  } catch (error) {
    reportError(error); // no room left: what is on the page stands, reloading would show the step before
  }
  // without the key, which has done its work
  const place = location.pathname + (now.desk.file ? `#${encodeURIComponent(now.desk.file)}` : "");
  if (step) history.pushState({ at }, "", place);
  else history.replaceState({ at }, "", place);
}

export function isTable(value) {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

export function copy(value) {
  return JSON.parse(JSON.stringify(value));
}
