// The clock of a running strip. It counts from the start kept on the desk, by the
// desk's own time, so closing the page or a wrong phone clock changes nothing.

const SECOND = 1000;
const BEEPS = 8;

const box = document.querySelector("[data-clock]");
const digits = box.querySelector("[data-digits]");
const said = box.querySelector("[data-said]");
const bell = box.querySelector("[data-bell]");
const stop = box.querySelector("[data-bell-stop]");
const ahead = Date.now() - Number(box.dataset.now) * SECOND; // of the desk's clock
const from = Number(box.dataset.from) * SECOND;
const until = Number(box.dataset.until) * SECOND;
const title = document.title;

let audio = null;
let ringing = [];
let phase = box.dataset.phase;

function now() {
  return Date.now() - ahead;
}

function phaseAt(moment) {
  if (moment < from) return "wait";
  return moment <= until + SECOND ? "read" : "late";
}

function twoDigits(number) {
  return String(number).padStart(2, "0");
}

function left(milliseconds) {
  const seconds = Math.max(0, Math.ceil(milliseconds / SECOND));
  return `${Math.floor(seconds / 60)}:${twoDigits(seconds % 60)}`;
}

/** Show what belongs to a phase, wherever on the page it stands. */
function show(name) {
  box.dataset.phase = name;
  for (const part of document.querySelectorAll("[data-when]")) {
    part.hidden = !part.dataset.when.split(" ").includes(name);
  }
}

function showBell() {
  const on = audio !== null && audio.state === "running";
  bell.hidden = false;
  bell.setAttribute("aria-pressed", String(on));
  bell.querySelector("[data-bell-off]").hidden = on;
  bell.querySelector("[data-bell-on]").hidden = !on;
}

function beep(at, high) {
  const tone = audio.createOscillator();
  const volume = audio.createGain();
  tone.type = "triangle";
  tone.frequency.value = high ? 1046 : 659; // two notes apart enough to be told apart
  volume.gain.setValueAtTime(0.0001, at);
  volume.gain.exponentialRampToValueAtTime(0.6, at + 0.02);
  volume.gain.exponentialRampToValueAtTime(0.0001, at + 0.38);
  tone.connect(volume).connect(audio.destination);
  tone.start(at);
  tone.stop(at + 0.4);
  ringing.push(tone);
}

function buzz(pattern) {
  // browsers refuse to shake a phone before it was touched, and say so in the console
  if (navigator.vibrate && navigator.userActivation?.hasBeenActive) {
    navigator.vibrate(pattern);
  }
}

/** Ring for a new phase: seen, felt and, where the bell is on, heard. */
function ring(high) {
  box.classList.add("is-ringing");
  stop.hidden = false;
  buzz([500, 200, 500, 200, 500]);
  if (audio !== null && audio.state === "running") {
    for (let nth = 0; nth < BEEPS; nth += 1) beep(audio.currentTime + nth * 0.6, high);
  }
}

function hush() {
  for (const tone of ringing) tone.stop();
  ringing = [];
  buzz(0);
  box.classList.remove("is-ringing");
  stop.hidden = true;
}

async function turnBell() {
  if (audio === null) audio = new AudioContext();
  if (audio.state === "running") {
    await audio.suspend();
  } else {
    await audio.resume();
    beep(audio.currentTime, true);
  }
  showBell();
  keepAwake();
}

/** Keep the screen on while the bell is on; only where the browser lets a page do so. */
async function keepAwake() {
  try {
    await navigator.wakeLock?.request("screen");
  } catch {
    // not allowed on battery saving or plain http: the alarm file rings instead
  }
}

function tick() {
  const moment = now();
  const found = phaseAt(moment);
  if (found !== phase) {
    phase = found;
    show(phase);
    const words = phase === "read" ? box.dataset.titleRead : box.dataset.titleLate;
    said.textContent = words;
    document.title = `${words} · ${title}`;
    ring(phase === "read");
  }
  if (phase !== "late") digits.textContent = left((phase === "wait" ? from : until) - moment);
}

bell.addEventListener("click", turnBell);
stop.addEventListener("click", hush);
showBell();
show(phase);
tick();
setInterval(tick, 250);
document.addEventListener("visibilitychange", tick);
