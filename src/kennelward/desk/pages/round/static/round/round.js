// The round: marks dogs with signs, and keeps ticks through a closed page until saved.

const form = document.querySelector("form[data-round]");
const KEY = "round-ticks";

/** Show a dog with signs as marked, also while it is folded. */
function mark(details) {
  const ticked = details.querySelectorAll("input[type=checkbox]:checked").length;
  const well = details.querySelector("input[value=well]:checked");
  details.classList.toggle("is-marked", ticked > 0 && !well);
}

/** Ticking a sign on a dog that was "well again" takes that back. */
function takeBack(details, input) {
  const still = details.querySelector("input[value=still]");
  if (still && input.type === "checkbox") still.checked = true;
}

function nameOf(input) {
  return `${input.name}=${input.value}`;
}

function keep() {
  const inputs = [...form.querySelectorAll("input[type=checkbox], input[type=radio]")];
  const ticked = inputs.filter((input) => input.checked !== input.defaultChecked);
  const kept = { day: form.dataset.round, changed: ticked.map(nameOf) };
  try {
    localStorage.setItem(KEY, JSON.stringify(kept));
  } catch {
    // storage may be closed in private windows: the round works without it
  }
}

function restore() {
  let kept = null;
  try {
    kept = JSON.parse(localStorage.getItem(KEY) || "null");
  } catch {
    return;
  }
  if (!kept || kept.day !== form.dataset.round) return;
  const changed = new Set(kept.changed);
  for (const input of form.querySelectorAll("input[type=checkbox], input[type=radio]")) {
    if (!changed.has(nameOf(input))) continue;
    input.checked = !input.defaultChecked;
    const details = input.closest("details");
    if (details) details.open = true;
  }
}

if (form) {
  restore();
  for (const details of form.querySelectorAll("[data-dog]")) mark(details);
  form.addEventListener("change", (event) => {
    const details = event.target.closest("[data-dog]");
    if (details) {
      takeBack(details, event.target);
      mark(details);
    }
    keep();
  });
  form.addEventListener("submit", () => {
    try {
      localStorage.removeItem(KEY);
    } catch {
      // nothing kept
    }
  });
}
