// What takes a moment says so: a chalk line along the head of the sheet, and words for who cannot see it.
// A form is sent once, however often its button is pressed.
const LATE_MS = 400;
const said = document.getElementById("waiting");
let late;
let open = 0;

function begin() {
  open += 1;
  clearTimeout(late);
  late = setTimeout(() => {
    document.body.classList.add("waiting");
    if (said) said.textContent = "Working …";
  }, LATE_MS);
}

function end() {
  open = Math.max(0, open - 1);
  if (open) return;
  clearTimeout(late);
  document.body.classList.remove("waiting");
  if (said) said.textContent = "";
}

function release() {
  for (const form of document.querySelectorAll("form[aria-busy]")) form.removeAttribute("aria-busy");
  open = 0;
  end();
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.target) return;
  if (form.hasAttribute("aria-busy")) {
    event.preventDefault();
    return;
  }
  if (event.submitter && event.submitter.value === "download") return; // a file comes, the page stays
  form.setAttribute("aria-busy", "true");
  begin();
});
window.addEventListener("pageshow", release);
document.addEventListener("htmx:beforeRequest", begin);
document.addEventListener("htmx:afterRequest", end);
