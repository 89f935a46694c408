// What the whelping rules say of a night: a twin of `litters.night`, so that the clocks
// run with the network cut. Moments are milliseconds; a test holds the two together.

const MINUTE = 60_000;
const AT_ONCE = ["heavy-bleeding", "puppy-stuck", "collapse"];
const STRAINS = ["hard-straining", "weak-straining"];

/** A rule that holds, or will hold at `at` if nothing changes. */
function ruleClock(minutes, rule, urgency, since) {
  return { rule, urgency, since, at: since + minutes[`${rule}.${urgency}`] * MINUTE };
}

function atOnce(past, firstPuppy) {
  const found = past
    .filter((one) => AT_ONCE.includes(one.sign))
    .map((one) => ({ rule: one.sign, urgency: "red", at: one.at, since: one.at }));
  for (const one of past) {
    // Green before the first puppy is an emergency; after puppies have begun, normal.
    const isEarly = firstPuppy === null || one.at < firstPuppy;
    if (one.sign === "green-discharge" && isEarly) {
      const alert = { rule: "green-before-puppy", urgency: "red" };
      found.push({ ...alert, at: one.at, since: one.at });
    }
  }
  return found;
}

/** The clock of the present run of straining; a puppy or rest stops it. */
function straining(past, minutes) {
  let run = null;
  for (const one of past) {
    if (one.sign === "puppy" || one.sign === "resting") run = null;
    else if (STRAINS.includes(one.sign) && one.sign !== run?.sign) run = one;
  }
  if (run === null) return [];
  const red = ruleClock(minutes, run.sign, "red", run.at);
  if (run.sign === "hard-straining") return [red];
  return [ruleClock(minutes, run.sign, "amber", run.at), red];
}

function stages(past, minutes) {
  if (past.some((one) => one.sign === "puppy")) return [];
  if (past.some((one) => STRAINS.includes(one.sign))) return [];
  const stage = past.find((one) => one.sign === "stage-one");
  if (stage) {
    return ["amber", "red"].map((urgency) =>
      ruleClock(minutes, "stage-one", urgency, stage.at),
    );
  }
  const drop = past.find((one) => one.sign === "temperature-drop");
  return drop ? [ruleClock(minutes, "after-drop", "red", drop.at)] : [];
}

/** One alert a rule: red before amber, then the longest running. */
function worstEach(holds) {
  const rank = (one) => (one.urgency === "red" ? 0 : 1);
  const worst = new Map();
  for (const one of holds.toSorted((a, b) => rank(a) - rank(b) || a.at - b.at)) {
    if (!worst.has(one.rule)) worst.set(one.rule, one);
  }
  return [...worst.values()];
}

/** Alerts that hold now, and those to come, from `seen` ({at, sign}) up to `now`. */
function nightState(seen, now, minutes) {
  const past = seen.filter((one) => one.at <= now).sort((a, b) => a.at - b.at);
  const puppies = past.filter((one) => one.sign === "puppy");
  const last = puppies.at(-1)?.at ?? null;
  const found = [
    ...atOnce(past, puppies[0]?.at ?? null),
    ...straining(past, minutes),
    ...stages(past, minutes),
  ];
  if (last !== null) {
    found.push(ruleClock(minutes, "gap", "amber", last));
    found.push(ruleClock(minutes, "gap", "red", last));
  }
  const labour = past.find((one) => one.sign === "puppy" || STRAINS.includes(one.sign));
  if (labour) found.push(ruleClock(minutes, "long", "amber", labour.at));
  return {
    puppies: puppies.length,
    placentas: past.filter((one) => one.sign === "placenta").length,
    lastPuppyAt: last,
    alerts: worstEach(found.filter((one) => one.at <= now)),
    coming: found.filter((one) => one.at > now).sort((a, b) => a.at - b.at),
  };
}
