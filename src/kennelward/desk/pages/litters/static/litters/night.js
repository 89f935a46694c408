// The whelping page: taps, clocks, alerts and the list. Needs night-clocks.js and
// night-store.js before it.

const root = document.getElementById("night");
const say = root.dataset;
const frame = JSON.parse(document.getElementById("night-frame").textContent);
const form = document.getElementById("puppy-form");
const store = new NightStore({
  dam: say.dam,
  who: frame.who,
  seen: JSON.parse(document.getElementById("night-seen").textContent),
  address: say.sync,
  changed: show,
});
let firstTry = null; // when a puppy was first tapped, though its weight was asked about
let changing = null; // the puppy whose details are being put right
let shownAlerts = "";
let shownList = "";

function clockTime(at, withZone) {
  const moment = new Date(at);
  const asDay = { timeZone: frame.zone, dateStyle: "short" };
  const isToday =
    moment.toLocaleDateString([], asDay) === new Date().toLocaleDateString([], asDay);
  return moment.toLocaleString([], {
    timeZone: frame.zone,
    hour: "2-digit",
    minute: "2-digit",
    hourCycle: "h23",
    ...(isToday ? {} : { weekday: "short" }),
    ...(withZone ? { timeZoneName: "short" } : {}),
  });
}

/** Where the clocks change within the night, each time says which clock it is by. */
function clocksChange(entries) {
  const name = (at) =>
    new Intl.DateTimeFormat("en", { timeZone: frame.zone, timeZoneName: "longOffset" })
      .formatToParts(new Date(at))
      .find((part) => part.type === "timeZoneName").value;
  return new Set(entries.map((entry) => name(entry.at))).size > 1;
}

function hours(milliseconds) {
  const minutes = Math.max(0, Math.floor(milliseconds / MINUTE));
  return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}`;
}

function words(entry) {
  if (entry.what !== "puppy") {
    const button = document.querySelector(`[data-sign="${entry.what}"]`);
    return button ? button.textContent.trim() : entry.what;
  }
  const sexes = { bitch: say.sayBitch, dog: say.sayDog };
  const parts = [say.sayPuppy, sexes[entry.sex], entry.marking];
  if (entry.weight_g) parts.push(`${Math.round(entry.weight_g)} g`);
  const born = { alive: say.sayAlive, stillborn: say.sayStillborn };
  parts.push(born[entry.born] ?? say.sayRevived);
  if (entry.shares_sac) parts.push(say.sayTwin);
  return parts.filter(Boolean).join(", ");
}

function make(tag, className, text = "") {
  const made = document.createElement(tag);
  made.className = className;
  made.textContent = text;
  return made;
}

function showAlerts(alerts) {
  const found = alerts.map((alert) => `${alert.rule}.${alert.urgency}`);
  if (found.join() === shownAlerts) return;
  shownAlerts = found.join();
  document.getElementById("night-alerts").replaceChildren(
    ...found.map((code) => {
      const isRed = code.endsWith(".red");
      const panel = make("p", `panel ${isRed ? "is-red" : "is-caution"}`);
      panel.append(make("strong", "", frame.alerts[code] ?? say.sayNow));
      return panel;
    }),
  );
  document.getElementById("night-call").hidden = found.length === 0;
  if (found.length && navigator.vibrate) navigator.vibrate([400, 200, 400]);
}

/** Each running clock once: how long it runs, and when the vet is called by it. */
function showClocks(state, now) {
  const running = new Map();
  for (const one of [...state.alerts, ...state.coming]) {
    const word = frame.clocks[one.rule];
    if (word && !running.has(one.rule)) running.set(one.rule, { ...one, word });
  }
  document.getElementById("night-clocks").replaceChildren(
    ...[...running.values()].map((one) => {
      const next = state.coming.find((alert) => alert.rule === one.rule);
      const row = make("li", "row");
      row.append(make("span", "row-main", one.word));
      row.append(make("b", "row-side num night-clock", hours(now - one.since)));
      if (next) {
        const does = next.urgency === "red" ? say.sayThenNow : say.sayThenAsk;
        row.append(make("span", "row-sub", `${hours(next.at - next.since)}: ${does}`));
      }
      return row;
    }),
  );
}

function rowOf(entry, withZone) {
  const row = make("li", entry.goneBy ? "row is-struck" : "row");
  row.append(make("span", "row-main", words(entry)));
  const side = make("span", "row-side");
  side.append(make("span", "num", clockTime(entry.at, withZone)));
  const replaced = entry.goneBy?.supersedes;
  if (entry.mine && !entry.goneBy) {
    if (entry.what === "puppy" && !entry.refused) {
      side.append(tapped(say.sayChange, () => change(entry)));
    }
    side.append(tapped(say.sayUndo, () => store.strike(entry)));
  } else if (entry.goneBy?.mine && !replaced) {
    side.append(tapped(say.sayBack, () => store.strike(entry.goneBy)));
  }
  row.append(side);
  const notes = [];
  if (entry.goneBy) notes.push(replaced ? say.sayReplaced : say.sayUndone);
  if (entry.by) notes.push(entry.by);
  if (entry.received) notes.push(`${say.sayReceived} ${clockTime(entry.received)}`);
  if (entry.refused) notes.push(`${say.sayRefused}: ${entry.refused}`);
  if (notes.length) row.append(make("span", "row-sub", notes.join(" · ")));
  return row;
}

function tapped(text, does) {
  const button = make("button", "btn is-small is-quiet", text);
  button.type = "button";
  button.addEventListener("click", does);
  return button;
}

function show() {
  const entries = store.everything();
  const now = Date.now();
  const counted = entries.filter((entry) => !entry.goneBy);
  const state = nightState(
    counted.map((entry) => ({ at: Date.parse(entry.at), sign: entry.what })),
    now,
    frame.minutes,
  );
  const twins = counted.filter((entry) => entry.shares_sac).length;
  const expected = state.puppies - twins;
  document.getElementById("night-puppies").textContent = state.puppies;
  document.getElementById("night-placentas").textContent =
    `${state.placentas} / ${expected}`;
  document.getElementById("night-since").textContent =
    state.lastPuppyAt === null ? "–" : hours(now - state.lastPuppyAt);
  document.getElementById("end-placentas").hidden = state.placentas >= expected;
  showAlerts(state.alerts);
  showClocks(state, now);
  const list = JSON.stringify(entries);
  if (list !== shownList) {
    shownList = list;
    const withZone = clocksChange(entries);
    document
      .getElementById("night-list")
      .replaceChildren(...entries.toReversed().map((one) => rowOf(one, withZone)));
  }
  const left = store.waiting().length;
  const told = left ? [`${left} ${say.sayWaiting}`] : [say.sayKept];
  if (store.trouble === "login") told.push(say.sayLogin);
  if (store.ofOthers()) told.push(say.sayOthers);
  document.getElementById("night-sent").textContent = told.join(". ");
}

/** Put a puppy's details into the form to be put right. */
function change(entry) {
  changing = entry;
  form.elements.born.value = entry.born;
  form.elements.sex.value = entry.sex ?? "";
  form.elements.marking.value = entry.marking ?? "";
  form.elements.weight_g.value = entry.weight_g ?? "";
  form.elements.shares_sac.checked = Boolean(entry.shares_sac);
  setChanging(true);
  form.scrollIntoView({ block: "start" });
  form.elements.marking.focus();
}

function setChanging(is) {
  document.getElementById("puppy-heading").textContent = is
    ? `${say.sayChanging} ${clockTime(changing.at)}`
    : say.sayOut;
  for (const button of document.querySelectorAll("[data-out]")) {
    button.querySelector("span").textContent = is ? say.saySave : say.sayOutNow;
  }
  document.getElementById("puppy-leave").hidden = !is;
}

function forget() {
  changing = firstTry = null;
  form.reset();
  document.getElementById("weight-doubt").hidden = true;
  setChanging(false);
}

/** Grams, or null where the box is empty; NaN where it needs another look. */
function gramsTyped() {
  const text = form.elements.weight_g.value.trim().replace(",", ".");
  if (!text) return null;
  const grams = /^[0-9]+(\.[0-9]+)?$/.test(text) ? Number(text) : Number.NaN;
  return grams >= frame.least_g && grams <= frame.most_g ? grams : Number.NaN;
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  const grams = gramsTyped();
  const doubt = document.getElementById("weight-doubt");
  doubt.hidden = !Number.isNaN(grams);
  if (Number.isNaN(grams)) {
    firstTry ??= new Date().toISOString(); // the birth is now, whatever the scale says
    form.elements.weight_g.focus();
    return;
  }
  const values = new FormData(form);
  const entry = {
    what: "puppy",
    born: values.get("born"),
    sex: values.get("sex"),
    marking: String(values.get("marking")).trim(),
    weight_g: grams,
    shares_sac: values.get("shares_sac") !== null,
  };
  if (changing) {
    const { id, at, puppy } = changing;
    Object.assign(entry, { at, puppy: puppy ?? id, supersedes: id });
  } else if (firstTry) entry.at = firstTry;
  forget();
  store.add(entry);
});
document.getElementById("puppy-leave").addEventListener("click", forget);
document.querySelectorAll("[data-sign]").forEach((button) => {
  button.addEventListener("click", (event) => {
    event.preventDefault();
    store.add({ what: button.dataset.sign });
  });
});
// Closing makes a litter of what the desk has: nothing may still wait on this phone.
document.getElementById("end-form")?.addEventListener(
  "submit",
  (event) => {
    const left = store.waiting().length > 0;
    document.getElementById("end-waits").hidden = !left;
    if (!left) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    store.send();
  },
  true,
);
window.addEventListener("online", () => store.send());
document.addEventListener("visibilitychange", () => document.hidden || store.send());
setInterval(show, 15_000);
setInterval(() => document.hidden || store.send(), 20_000);
if ("serviceWorker" in navigator && window.isSecureContext) {
  navigator.serviceWorker.register(say.worker, { scope: "/litters/" });
}
show();
store.send();
