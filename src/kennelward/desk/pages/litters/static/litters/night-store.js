// What is tapped is kept on this phone first and sent when it can be. Each entry carries
// an id made here, so sending twice writes once. Kept under who is logged in: nobody
// sends another person's taps under their own name.

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

class NightStore {
  constructor({ dam, who, seen, address, changed }) {
    this.prefix = `kennelward-night-${dam}-`;
    this.key = this.prefix + who;
    this.sent = seen; // what the desk had when it last answered
    this.address = address;
    this.changed = changed;
    this.sending = false;
    this.trouble = ""; // "", "offline" or "login"
  }

  waiting() {
    try {
      return JSON.parse(localStorage.getItem(this.key)) || [];
    } catch {
      return [];
    }
  }

  keep(entries) {
    if (entries.length) localStorage.setItem(this.key, JSON.stringify(entries));
    else localStorage.removeItem(this.key);
  }

  /** Taps kept on this phone by somebody else's login; only they can send them. */
  ofOthers() {
    return Object.keys(localStorage).filter(
      (key) => key.startsWith(this.prefix) && key !== this.key,
    ).length;
  }

  add(entry) {
    const at = new Date().toISOString();
    this.keep([...this.waiting(), { id: newId(), at, mine: true, ...entry }]);
    this.changed();
    this.send();
  }

  /** Strike an entry; one the desk refused never got into the book and just goes. */
  strike(entry) {
    if (entry.refused) {
      this.keep(this.waiting().filter((one) => one.id !== entry.id));
      this.changed();
      return;
    }
    this.add({ what: "strike", entry: entry.id });
  }

  /** All entries by time, each told whether it is struck or replaced, and by what. */
  everything() {
    const queue = this.waiting();
    const known = new Set(queue.map((entry) => entry.id));
    const all = [...this.sent.filter((entry) => !known.has(entry.id)), ...queue];
    all.sort((a, b) => Date.parse(a.at) - Date.parse(b.at));
    const gone = new Map();
    for (const entry of all.toReversed()) {
      if (entry.what === "strike" && !gone.has(entry.id)) gone.set(entry.entry, entry);
    }
    for (const entry of all) {
      if (entry.supersedes && !gone.has(entry.id)) gone.set(entry.supersedes, entry);
    }
    return all
      .filter((entry) => entry.what !== "strike")
      .map((entry) => ({ ...entry, goneBy: gone.get(entry.id) ?? null }));
  }

  /** A token as fresh as the login: a page from the phone's memory may hold an old one. */
  async token(isStale) {
    const field = document.querySelector("[name=csrfmiddlewaretoken]");
    if (!isStale) return field.value;
    const answer = await fetch(location.href);
    if (answer.redirected) throw new Error("login");
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = page.querySelector("[name=csrfmiddlewaretoken]").value;
    for (const one of document.querySelectorAll("[name=csrfmiddlewaretoken]")) {
      one.value = fresh;
    }
    return fresh;
  }

  async post(entries, isStale = false) {
    const answer = await fetch(this.address, {
      method: "POST",
      headers: {
        "Content-Type": "application/json",
        "X-CSRFToken": await this.token(isStale),
      },
      body: JSON.stringify({ phone_now: new Date().toISOString(), entries }),
    });
    if (answer.redirected || answer.status === 401) throw new Error("login");
    if (answer.status === 403 && !isStale) return this.post(entries, true);
    if (!answer.ok) throw new Error("offline");
    return answer.json();
  }

  async send() {
    if (this.sending) return;
    this.sending = true;
    const queue = this.waiting()
      .filter((entry) => !entry.refused)
      .slice(0, MOST_AT_ONCE);
    try {
      const { kept, refused, night } = await this.post(queue);
      const done = new Set(kept);
      this.sent = night;
      this.trouble = "";
      this.keep(
        this.waiting()
          .filter((entry) => !done.has(entry.id))
          .map((entry) =>
            refused[entry.id] ? { ...entry, refused: refused[entry.id] } : entry,
          ),
      );
    } catch (problem) {
      // It stays on the phone and is tried again.
      this.trouble = problem.message === "login" ? "login" : "offline";
    } finally {
      this.sending = false;
      this.changed();
    }
  }
}
