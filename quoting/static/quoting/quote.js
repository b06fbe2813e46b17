// Totals follow the form: one request a little after the last keystroke.
let waiting;
document.addEventListener("input", (event) => {
  const form = event.target.closest("#quote-form");
  if (!form) return;
  clearTimeout(waiting);
  waiting = setTimeout(() => form.dispatchEvent(new Event("quote-changed")), 250);
});
document.documentElement.classList.add("scripted");
