// The drawing board: the preview follows the form, features are dragged or moved by the arrow keys, and
// undo goes back through what the form said. Without this script the form's buttons do the same by submitting.
const PAUSE_MS = 120;
const DEPTH = 60;
const past = [];
const ASIDE = ["note", "new_kind"];
let waiting;
let now = null;
let busy = false;

const form = () => document.getElementById("piece-form");
const shot = () => new URLSearchParams(new FormData(form())).toString();

function changed() {
  clearTimeout(waiting);
  waiting = setTimeout(() => busy || form()?.dispatchEvent(new Event("board-changed")), PAUSE_MS);
}

// A button's answer brings the whole board anew: no preview may cross it.
document.addEventListener("htmx:beforeRequest", (event) => {
  if (event.detail.elt.id !== "piece-form") busy = true;
});
document.addEventListener("htmx:afterRequest", (event) => {
  if (event.detail.elt.id !== "piece-form") busy = false;
});

function remember() {
  const then = now;
  now = shot();
  if (then !== null && then !== now) {
    past.push(then);
    if (past.length > DEPTH) past.shift();
  }
  showUndo();
}

function showUndo() {
  const button = document.querySelector("[data-undo]");
  if (button) button.hidden = past.length === 0;
}

function undo() {
  const before = past.pop();
  if (!before) return;
  now = null;
  const values = Object.fromEntries(new URLSearchParams(before));
  values.do = "show";
  htmx.ajax("POST", form().dataset.post, { values, source: "#editor", target: "#editor", select: "#editor", swap: "outerHTML" });
}

document.addEventListener("input", (event) => {
  const field = event.target;
  const shows = !field.hasAttribute("data-reload") && !ASIDE.includes(field.name);
  if (shows && field.closest("#piece-form")) changed();
});
document.addEventListener("change", (event) => {
  if (event.target.closest("#piece-form")) remember();
});
document.addEventListener("click", (event) => {
  if (event.target.closest("[data-undo]")) undo();
});
document.addEventListener("keydown", (event) => {
  const typing = event.target.matches("input, textarea, select");
  if ((event.ctrlKey || event.metaKey) && event.key === "z" && !event.shiftKey && !typing) {
    event.preventDefault();
    undo();
  }
});

// --- refusals at their fields ---------------------------------------------------------------------------
function mark() {
  for (const note of document.querySelectorAll("#piece-form p.fault[id$='-fault']")) note.textContent = "";
  for (const field of document.querySelectorAll("#piece-form [aria-invalid]")) field.removeAttribute("aria-invalid");
  for (const row of document.querySelectorAll("#refusals [data-field]")) {
    const field = row.dataset.field && document.getElementById(row.dataset.field);
    const note = field && document.getElementById(`${field.id}-fault`);
    if (!note) continue;
    field.setAttribute("aria-invalid", "true");
    field.setAttribute("aria-describedby", note.id);
    note.textContent = note.textContent ? `${note.textContent}; ${row.dataset.message}` : row.dataset.message;
  }
}

// --- where the focus goes when the board comes anew ------------------------------------------------------
let left = null;
const parts = () => [...document.querySelectorAll("#piece-form .take-out")].map((button) => button.value);

// To the first field of a part that was added, else to where it was, else to the head of the board.
function refocus() {
  const [id, before] = left ?? ["", []];
  const lost = left !== null && (document.activeElement === null || document.activeElement === document.body);
  left = null;
  if (!lost) return;
  const added = parts().find((path) => !before.includes(path));
  const part = added && document.querySelector(`#piece-form .take-out[value="${added}"]`).closest("fieldset");
  const first = part?.querySelector("input:not([type='hidden']), select");
  (first ?? document.getElementById(id || "board-head"))?.focus({ preventScroll: !first });
}
document.addEventListener("htmx:beforeSwap", (event) => {
  if (event.detail.target.id === "editor") left = [document.activeElement?.id ?? "", parts()];
});
document.addEventListener("htmx:afterSettle", (event) => {
  if (event.target.id === "editor") {
    remember();
    refocus();
  }
  mark();
  showUndo();
});

// --- moving features in the drawing ---------------------------------------------------------------------
function drawing(handle) {
  const svg = handle.ownerSVGElement;
  const [x0, y0, x1, y1] = svg.dataset.box.split(" ").map(Number);
  return { svg, unit: Number(svg.dataset.unitMm), step: Number(svg.dataset.stepMm), x0, y0, x1, y1 };
}

// The lines a feature catches on: the middle of the piece, and the other features.
function lines(handle, board) {
  const others = [...board.svg.querySelectorAll(".handle")].filter((one) => one !== handle);
  return {
    x: [(board.x0 + board.x1) / 2, ...others.map((one) => Number(one.dataset.x))],
    y: [(board.y0 + board.y1) / 2, ...others.map((one) => Number(one.dataset.y))],
  };
}

function caught(value, on, step) {
  const near = on.find((line) => Math.abs(line - value) < step * 0.8);
  return near === undefined ? Math.round(value / step) * step : near;
}

function put(handle, x, y) {
  const board = drawing(handle);
  const field = document.getElementById(handle.dataset.field);
  if (!field) return;
  const places = board.unit === 1 ? 2 : 4;
  const said = (length) => String(Number((length / board.unit).toFixed(places)));
  carry(handle, (x - Number(handle.dataset.x)) / board.unit, (y - Number(handle.dataset.y)) / board.unit, places);
  handle.dataset.x = x;
  handle.dataset.y = y;
  handle.setAttribute("transform", `translate(${x} ${-y})`);
  const points = field.value.split(";").map((point) => point.trim()).filter(Boolean);
  points[Number(handle.dataset.index)] = `${said(x)}, ${said(y)}`;
  field.value = points.join("; ");
}

// What stands in a trough moves with it.
function carry(handle, dx, dy, places) {
  const trough = handle.dataset.field.match(/^f-features-[0-9]+(?=-at$)/);
  if (!trough || (dx === 0 && dy === 0)) return;
  for (const drain of document.querySelectorAll(`[id^="${trough[0]}-drains-"][id$="-at"]`)) {
    const [x, y] = drain.value.split(",").map((part) => Number(part.trim()));
    if (!Number.isFinite(x) || !Number.isFinite(y)) continue;
    drain.value = `${Number((x + dx).toFixed(places))}, ${Number((y + dy).toFixed(places))}`;
  }
}

function settled(handle) {
  const field = document.getElementById(handle.dataset.field);
  field.dispatchEvent(new Event("input", { bubbles: true }));
  field.dispatchEvent(new Event("change", { bubbles: true }));
}

document.addEventListener("keydown", (event) => {
  const handle = event.target.closest?.(".handle");
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
  if (!handle || !way) return;
  event.preventDefault();
  const step = drawing(handle).step * (event.shiftKey ? 0.1 : 1);
  put(handle, Number(handle.dataset.x) + way[0] * step, Number(handle.dataset.y) + way[1] * step);
  settled(handle);
});

// [ and ] turn the feature that has the focus.
document.addEventListener("keydown", (event) => {
  const handle = event.target.closest?.(".handle");
  const by = { "[": 5, "]": -5 }[event.key];
  const field = handle && by && document.getElementById(handle.dataset.field.replace(/-at$/, "-turn"));
  if (!field || field.id === handle.dataset.field) return;
  field.value = String((((Number(field.value) || 0) + by + 360) % 360));
  field.dispatchEvent(new Event("input", { bubbles: true }));
  field.dispatchEvent(new Event("change", { bubbles: true }));
});

let held = null;
document.addEventListener("pointerdown", (event) => {
  const handle = event.target.closest?.(".handle");
  if (!handle || event.button !== 0) return;
  const board = drawing(handle);
  const turn = board.svg.getScreenCTM().inverse();
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(turn);
  held = {
    handle, board, turn, moved: false, on: lines(handle, board),
    dx: Number(handle.dataset.x) - at.x, dy: Number(handle.dataset.y) + at.y,
  };
  handle.setPointerCapture(event.pointerId);
  handle.focus();
  event.preventDefault();
});
document.addEventListener("pointermove", (event) => {
  if (!held) return;
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(held.turn);
  const { board, on } = held;
  put(held.handle, caught(at.x + held.dx, on.x, board.step), caught(-at.y + held.dy, on.y, board.step));
  held.moved = true;
});
function letGo() {
  if (held?.moved) settled(held.handle);
  held = null;
}
document.addEventListener("pointerup", letGo);
document.addEventListener("pointercancel", letGo);

document.documentElement.classList.add("scripted");
remember();
mark();
