// The frame's small helpers. Every page also works without them.

/** Show only the rows of a list whose words hold every word typed. */
function filterList(input) {
  const list = document.querySelector(input.dataset.filter);
  const none = document.querySelector(input.dataset.none || "[data-none]");
  if (!list) return;
  const apply = () => {
    const wanted = input.value.toLocaleLowerCase().split(/\s+/).filter(Boolean);
    let shown = 0;
    for (const row of list.querySelectorAll("[data-words]")) {
      const words = row.dataset.words.toLocaleLowerCase();
      row.hidden = !wanted.every((word) => words.includes(word));
      if (!row.hidden) shown += 1;
    }
    for (const group of list.querySelectorAll("[data-group]")) {
      group.hidden = !group.querySelector("[data-words]:not([hidden])");
    }
    if (none) none.hidden = shown > 0;
  };
  input.addEventListener("input", apply);
  apply();
}

/** A second tap on a sent form does nothing; coming back to the page frees it. */
function sendOnce(form) {
  form.addEventListener("submit", (event) => {
    if (form.dataset.sent) event.preventDefault();
    form.dataset.sent = "yes";
  });
  window.addEventListener("pageshow", () => delete form.dataset.sent);
}

/** Ask before a step that others will see. */
function confirmFirst(form) {
  form.addEventListener("submit", (event) => {
    if (!window.confirm(form.dataset.confirm)) event.preventDefault();
  });
}

/** A select or radio that sends its form as soon as it changes. */
function sendOnChange(control) {
  control.addEventListener("change", () => control.form.requestSubmit());
}

/** Choose the device's own time zone where the list has it and nobody chose yet. */
function guessZone(select) {
  const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
  if (select.value === "UTC" && [...select.options].some((o) => o.value === zone)) {
    select.value = zone;
  }
}

/** Pages kept for reading offline go as soon as nobody is logged in any more. */
function forgetKeptPages() {
  if (!("caches" in window)) return;
  caches.keys().then((names) => names.forEach((name) => caches.delete(name)));
}

document.querySelectorAll("form[data-logs-out]").forEach((form) => {
  form.addEventListener("submit", forgetKeptPages);
});
if (!document.querySelector(".lintel")) forgetKeptPages();
document.querySelectorAll("select[data-guess-zone]").forEach(guessZone);
document.querySelectorAll("[data-filter]").forEach(filterList);
document.querySelectorAll("form[data-confirm]").forEach(confirmFirst);
document.querySelectorAll("form[method=post]").forEach(sendOnce);
document.querySelectorAll("[data-send]").forEach(sendOnChange);
document.querySelectorAll("[data-print]").forEach((button) => {
  button.hidden = false;
  button.addEventListener("click", () => window.print());
});
document.addEventListener("click", (event) => {
  for (const open of document.querySelectorAll("details[data-close-outside][open]")) {
    if (!open.contains(event.target)) open.open = false;
  }
});
document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  for (const open of document.querySelectorAll("details[data-close-outside][open]")) {
    open.open = false;
    open.querySelector("summary").focus();
  }
});
