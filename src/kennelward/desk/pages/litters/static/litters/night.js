// The whelping night. What is tapped is kept on this phone first and sent when it can be;
// each entry carries an id made here, so sending twice writes once.

const root = document.getElementById("night");
const minutes = JSON.parse(document.getElementById("night-minutes").textContent);
const KEY = `kennelward-night-${root.dataset.dam}`;
const MINUTE = 60_000;
const MOST_AT_ONCE = 200; // as the desk takes them

/** UUID version 7 (RFC 9562): time first, then chance. */
function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  let now = Date.now();
  for (let at = 5; at >= 0; at -= 1) {
    bytes[at] = now % 256;
    now = Math.floor(now / 256);
  }
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

function waiting() {
  try {
    return JSON.parse(localStorage.getItem(KEY)) || [];
  } catch {
    return [];
  }
}

function keep(entries) {
  localStorage.setItem(KEY, JSON.stringify(entries));
}

let sent = JSON.parse(document.getElementById("night-seen").textContent);

function everything() {
  const queue = waiting();
  const known = new Set(queue.map((entry) => entry.id));
  return [...sent.filter((entry) => !known.has(entry.id)), ...queue].sort((a, b) =>
    a.at < b.at ? -1 : 1,
  );
}

function note(entry) {
  keep([...waiting(), { id: newId(), at: new Date().toISOString(), ...entry }]);
  show();
  send();
}

let sending = false;
async function send() {
  const queue = waiting()
    .filter((entry) => !entry.refused)
    .slice(0, MOST_AT_ONCE);
  if (sending || queue.length === 0) return;
  sending = true;
  try {
    const token = document.querySelector("[name=csrfmiddlewaretoken]").value;
    const answer = await fetch(root.dataset.sync, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-CSRFToken": token },
      body: JSON.stringify(queue),
    });
    if (answer.ok) {
      const { kept, refused } = await answer.json();
      const done = new Set(kept);
      const known = new Set(sent.map((entry) => entry.id));
      const fresh = queue.filter((entry) => done.has(entry.id) && !known.has(entry.id));
      sent = [...sent, ...fresh];
      keep(
        waiting()
          .filter((entry) => !done.has(entry.id))
          .map((entry) =>
            refused[entry.id] ? { ...entry, refused: refused[entry.id] } : entry,
          ),
      );
    }
  } catch {
    // No network: it stays on the phone and is tried again.
  } finally {
    sending = false;
    show();
  }
}

function alerts(entries, now) {
  const say = root.dataset;
  const found = [];
  const ago = (entry) => (now - Date.parse(entry.at)) / MINUTE;
  const puppies = entries.filter((entry) => entry.what === "puppy");
  const last = puppies.at(-1);
  const emergency = ["heavy-bleeding", "puppy-stuck", "collapse"];
  if (entries.some((entry) => emergency.includes(entry.what))) found.push(say.sayNow);
  const firstAt = puppies.length ? puppies[0].at : "9";
  if (entries.some((e) => e.what === "green-discharge" && e.at < firstAt)) {
    found.push(say.sayGreen);
  }
  let strain = null;
  for (const entry of entries) {
    if (entry.what === "puppy" || entry.what === "resting") strain = null;
    const strains = entry.what === "hard-straining" || entry.what === "weak-straining";
    if (strains && strain?.what !== entry.what) strain = entry;
  }
  if (strain?.what === "hard-straining" && ago(strain) >= minutes.hard) {
    found.push(say.sayHard);
  }
  if (strain?.what === "weak-straining" && ago(strain) >= minutes.weak) {
    found.push(say.sayWeak);
  }
  if (last && ago(last) >= minutes.red) found.push(say.sayGapRed);
  else if (last && ago(last) >= minutes.amber) found.push(say.sayGapAmber);
  const stage = entries.find((entry) => entry.what === "stage-one");
  const labour = entries.some((entry) => entry.what.endsWith("straining"));
  if (stage && !labour && !last) {
    if (ago(stage) >= minutes.stage_red) found.push(say.sayStageRed);
    else if (ago(stage) >= minutes.stage_amber) found.push(say.sayStageAmber);
  }
  return found;
}

function clock(at) {
  return new Date(at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
}

function words(entry) {
  if (entry.what !== "puppy") {
    const button = document.querySelector(`[data-sign="${entry.what}"]`);
    return button ? button.textContent.trim() : entry.what;
  }
  const sexes = { bitch: root.dataset.sayBitch, dog: root.dataset.sayDog };
  const parts = [root.dataset.sayPuppy, sexes[entry.sex], entry.marking];
  if (entry.weight_g) parts.push(`${entry.weight_g} g`);
  const born = { alive: "sayAlive", stillborn: "sayStillborn", revived: "sayRevived" };
  parts.push(root.dataset[born[entry.born]]);
  return parts.filter(Boolean).join(", ");
}

let shownAlerts = "";
function show() {
  const entries = everything();
  const now = Date.now();
  const puppies = entries.filter((entry) => entry.what === "puppy");
  document.getElementById("night-puppies").textContent = puppies.length;
  document.getElementById("night-placentas").textContent = entries.filter(
    (entry) => entry.what === "placenta",
  ).length;
  const last = puppies.at(-1);
  const since = last ? Math.floor((now - Date.parse(last.at)) / MINUTE) : null;
  document.getElementById("night-since").textContent =
    since === null
      ? "–"
      : `${Math.floor(since / 60)}:${String(since % 60).padStart(2, "0")}`;
  const found = alerts(entries, now);
  if (found.join() !== shownAlerts) {
    shownAlerts = found.join();
    document.getElementById("night-alerts").replaceChildren(
      ...found.map((text) => {
        const panel = document.createElement("p");
        panel.className = "panel is-red";
        panel.textContent = text;
        return panel;
      }),
    );
    if (found.length && navigator.vibrate) navigator.vibrate([400, 200, 400]);
  }
  document.getElementById("night-list").replaceChildren(
    ...entries.toReversed().map((entry) => {
      const row = document.createElement("li");
      row.className = "row";
      const main = document.createElement("span");
      main.className = "row-main";
      main.textContent = words(entry);
      const side = document.createElement("span");
      side.className = "row-side";
      side.textContent = clock(entry.at);
      row.append(main, side);
      if (entry.refused) {
        const why = document.createElement("span");
        why.className = "row-sub";
        why.textContent = `${root.dataset.sayRefused}: ${entry.refused}`;
        row.append(why);
      }
      return row;
    }),
  );
  const left = waiting().length;
  document.getElementById("night-sent").textContent = left
    ? `${left} ${root.dataset.sayWaiting}`
    : root.dataset.sayKept;
}

document.getElementById("puppy-form").addEventListener("submit", (event) => {
  event.preventDefault();
  const form = event.target;
  const values = new FormData(form);
  const grams = Number.parseFloat(String(values.get("weight_g")).replace(",", "."));
  note({
    what: "puppy",
    born: values.get("born"),
    sex: values.get("sex"),
    marking: String(values.get("marking")).trim(),
    weight_g: Number.isFinite(grams) ? grams : null,
  });
  form.reset();
});
document.querySelectorAll("[data-sign]").forEach((button) => {
  button.addEventListener("click", () => note({ what: button.dataset.sign }));
});
// Closing makes a litter of what the desk has: nothing may still wait on this phone.
document.getElementById("end-form").addEventListener(
  "submit",
  (event) => {
    const left = waiting().length > 0;
    document.getElementById("end-waits").hidden = !left;
    if (!left) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    send();
  },
  true,
);
window.addEventListener("online", send);
document.addEventListener("visibilitychange", () => document.hidden || send());
setInterval(show, 15_000);
setInterval(send, 20_000);
if ("serviceWorker" in navigator && window.isSecureContext) {
  navigator.serviceWorker.register(root.dataset.worker, { scope: "/litters/" });
}
show();
send();
