/* Entries of the bench. Each gets a key here and is kept on the phone until the shop has it: with a signal at
   once, else when the signal returns. The key makes sending twice harmless. */
"use strict";

(() => {
  const bench = document.querySelector("[data-bench]");
  if (!bench) return;
  const person = bench.dataset.person;
  const QUEUE = `bench-kept:${person}`;
  const REFUSED = `bench-refused:${person}`;
  const FOCUS = "bench-focus";
  const RETRY_MS = 15000;
  const running = bench.querySelector("[data-running]");
  const kept = bench.querySelector("[data-kept]");
  const refusedList = bench.querySelector("[data-refused]");
  let sending = false;
  let signedOut = false;
  let askedAgain = false;
  let sentSomething = false;
  let lastPressed = "";

  const read = (name) => JSON.parse(localStorage.getItem(name) || "[]");
  const write = (name, rows) => localStorage.setItem(name, JSON.stringify(rows));
  const newKey = () => {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  };
  const cookie = (name) => {
    const found = document.cookie.split("; ").find((part) => part.startsWith(`${name}=`));
    return found ? decodeURIComponent(found.slice(name.length + 1)) : "";
  };
  const today = () => {
    const now = new Date();
    return new Date(now.getTime() - now.getTimezoneOffset() * 60000).toISOString().slice(0, 10);
  };
  const clock = (at) => new Date(at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });

  /* --- what is shown --------------------------------------------------------------------------------- */
  function showQueue() {
    const count = read(QUEUE).length;
    kept.textContent = count
      ? `${count} ${count === 1 ? "entry is" : "entries are"} kept on this phone until ${signedOut ? "you sign in again" : "there is a signal"}.`
      : "";
  }

  function showRefused() {
    const rows = read(REFUSED);
    refusedList.replaceChildren(...rows.map((row) => {
      const item = document.createElement("li");
      item.textContent = `Refused: ${row.said}. ${row.why} `;
      const form = row.entry && formOf(row.entry);
      if (form) item.append(again(row, form), " ");
      else if (row.entry && row.entry.texts) item.append(`You typed: ${row.entry.texts}. `);
      const drop = document.createElement("button");
      drop.type = "button";
      drop.className = "quiet";
      drop.textContent = "Put away";
      drop.addEventListener("click", () => putAway(row));
      item.append(drop);
      return item;
    }));
    refusedList.hidden = rows.length === 0;
  }

  function putAway(row) {
    write(REFUSED, read(REFUSED).filter((other) => other.id !== row.id));
    showRefused();
  }

  /* What was typed for a refused entry goes back into its form, at the field that was wrong. */
  const formOf = (entry) => entry.texts && [...bench.querySelectorAll("form[data-api]")]
    .find((form) => form.dataset.api === entry.url && form.dataset.entry === entry.kind);

  function again(row, form) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "quiet";
    button.textContent = "Put it right";
    button.addEventListener("click", () => {
      putAway(row);
      form.closest("details").open = true;
      for (const [name, value] of Object.entries(row.entry.body)) {
        const field = form.elements.namedItem(name);
        if (field) field.value = value;
      }
      const wrong = form.elements.namedItem(row.path);
      mark(wrong instanceof HTMLElement ? wrong : form.querySelector("select, input:not([type=hidden])"), row.why);
    });
    return button;
  }

  function mark(field, why) {
    const said = document.createElement("p");
    said.className = "fault";
    said.id = `${field.id}-refused`;
    said.textContent = why;
    field.after(said);
    field.setAttribute("aria-invalid", "true");
    field.setAttribute("aria-describedby", said.id);
    field.form.addEventListener("submit", () => {
      said.remove();
      field.removeAttribute("aria-invalid");
      field.removeAttribute("aria-describedby");
    }, { once: true });
    field.focus();
  }

  function showRunning(name, at, key) {
    const text = running.querySelector("[data-running-text]");
    const stop = running.querySelector("form");
    running.dataset.name = name;
    running.dataset.at = at;
    running.dataset.key = key;
    text.textContent = at ? `Running: ${name || "other work"}, since ${clock(at)}` : "No timer of yours is running.";
    if (stop) stop.hidden = !at;
  }

  function showRunningOfQueue() {
    for (const entry of read(QUEUE)) {
      if (entry.kind === "start") showRunning(entry.name, entry.body.at, entry.body.key);
      if (entry.kind === "stop") showRunning("", "", "");
    }
  }

  /* --- keeping and sending --------------------------------------------------------------------------- */
  function bodyOf(form, kind) {
    const body = {};
    for (const [name, value] of new FormData(form)) {
      if (!["csrfmiddlewaretoken", "do", "counted_in"].includes(name) && value !== "") body[name] = value;
    }
    const chosen = form.querySelector("option[data-unit]:checked");
    if (chosen) body.unit = chosen.dataset.unit;
    for (const name of ["operation", "material", "mishap", "castings"]) {
      if (name in body) body[name] = Number(body[name]);
    }
    const now = new Date().toISOString();
    if (kind === "stop") {
      body.at = now;
      if (running.dataset.key) body.key = running.dataset.key;
      return body;
    }
    body.key = newKey();
    if (kind === "start") { body.at = now; body.switch = true; }
    if (kind === "progress" || kind === "share") body.at = now;
    if (kind === "mishap" || kind === "draw") body[kind === "draw" ? "drawn_on" : "happened_on"] = today();
    return body;
  }

  const textsOf = (form) => [...form.elements]
    .filter((field) => field.value && !["hidden", "submit", "radio"].includes(field.type))
    .map((field) => (field.selectedOptions ? field.selectedOptions[0].text : field.value)).join("; ");

  /* What a quantity counts is said at its field: the list of materials is too narrow on a phone to show it. */
  function showCounted() {
    const chosen = bench.querySelector("option[data-unit]:checked");
    const told = bench.querySelector("[data-counted]");
    if (!chosen || !told) return;  // a page kept on the phone may be older than this script
    const { unit, pack } = chosen.dataset;
    told.textContent = `Counted in ${unit}${pack ? `; ${pack}` : ""}.`;
  }

  function keep(form) {
    const kind = form.dataset.entry;
    const name = form.dataset.name || "";
    const body = bodyOf(form, kind);
    const said = `${kind}${name ? ` ${name}` : ""}, ${clock(new Date())}`;
    write(QUEUE, [...read(QUEUE), { id: newKey(), url: form.dataset.api, kind, name, body, said, texts: textsOf(form) }]);
    if (kind === "start") showRunning(name, body.at, body.key);
    if (kind === "stop") showRunning("", "", "");
    showQueue();
  }

  async function send(entry) {
    const answer = await fetch(entry.url, {
      method: "POST",
      credentials: "same-origin",
      headers: { "Content-Type": "application/json", "X-CSRFToken": cookie("csrftoken") },
      body: JSON.stringify(entry.body),
    });
    if (answer.ok) return { done: true };
    if (answer.status === 400 || answer.status === 404 || answer.status === 409 || answer.status === 422) {
      const problem = await answer.json().catch(() => ({}));
      const first = (problem.errors || [])[0];
      const why = (first && first.detail) || problem.detail || `Status ${answer.status}.`;
      return { done: true, why, path: (first && first.path) || "" };
    }
    return { done: false, signedOut: answer.status === 401 || answer.status === 403 };
  }

  async function flush() {
    if (sending) { askedAgain = true; return; }
    sending = true;
    askedAgain = false;
    try {
      for (let queue = read(QUEUE); queue.length; queue = read(QUEUE)) {
        const entry = queue[0];
        const result = await send(entry);
        signedOut = Boolean(result.signedOut);
        if (!result.done) { showQueue(); break; }
        write(QUEUE, read(QUEUE).filter((other) => other.id !== entry.id));
        if (result.why) {
          const { said, id } = entry;
          write(REFUSED, [...read(REFUSED), { id, said, why: result.why, path: result.path, entry }]);
        }
        sentSomething = true;
        showQueue();
        showRefused();
      }
    } catch {
      /* no signal: everything stays where it is */
    } finally {
      sending = false;
    }
    if (sentSomething && read(QUEUE).length === 0 && !bench.querySelector("details[open]")) {
      sentSomething = false;
      sessionStorage.setItem(FOCUS, lastPressed);
      location.reload();
    } else if (askedAgain) {
      flush();
    }
  }

  // The page came again with what the shop has: whoever works by keys goes on where the last press was.
  function focusAgain() {
    const words = sessionStorage.getItem(FOCUS);
    sessionStorage.removeItem(FOCUS);
    if (!words) return;
    const there = [...bench.querySelectorAll("button, summary")].find((one) => one.innerText === words);
    if (there) there.focus({ preventScroll: true });
  }

  /* --- the phone ------------------------------------------------------------------------------------- */
  bench.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.dataset.api) return;
    event.preventDefault();
    keep(form);
    const around = form.closest("details");
    const pressed = around ? around.querySelector("summary") : event.submitter;
    lastPressed = pressed ? pressed.innerText : "";
    if (around) { form.reset(); showCounted(); around.open = false; }
    flush();
  });
  bench.addEventListener("change", showCounted);
  window.addEventListener("online", flush);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) flush(); });
  setInterval(flush, RETRY_MS);

  if ("serviceWorker" in navigator) {
    if (localStorage.getItem("bench-person") !== person && "caches" in window) caches.delete("bench");
    localStorage.setItem("bench-person", person);
    navigator.serviceWorker.register("/bench/worker.js", { scope: "/bench/" }).catch(() => {});
  }
  showRunningOfQueue();
  showQueue();
  showRefused();
  showCounted();
  focusAgain();
  flush();
})();
