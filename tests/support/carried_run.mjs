// What the script of a carried rig tells of a case. In node: JSON lines in, one answer a line out,
// asked with: node carried_run.mjs SCRIPT. Each line holds pack, groups, distances_m, butt; of a tape
// dialled_m, shown_m and of each the distance shown_at_m of its target, too.
export const told = (script, { pack, groups, distances_m, butt, dialled_m = [], shown_m = [], shown_at_m = [] }) => {
  const rig = script.opened(pack), state = script.update(rig, groups);
  const { steps, plain, why, checks, ladder } = state;
  return {
    steps, plain, why, ladder,
    odd: checks.map((one) => one.is_odd),
    chances: checks.map((one) => one.chance),
    marks: pack.trusted_m.map((_, pin) => script.marks(state, distances_m, pin + 1)),
    trusted_m: pack.trusted_m.map((_, pin) => script.trusted(state, pin + 1)),
    correction: groups.length ? script.correction(state, groups[groups.length - 1]) : null,
    next: script.next(state, butt),
    readings_m: dialled_m.map((one) => script.readingOf(rig, one)),
    dials_m: shown_m.map((one, n) => script.dialledOf(rig, one, 1, shown_at_m[n])),
  };
};

if (typeof process !== "undefined") {
  const { createInterface } = await import("node:readline");
  const script = await import(process.argv[2]);
  for await (const line of createInterface({ input: process.stdin })) {
    const started = performance.now(), found = told(script, JSON.parse(line));
    console.log(JSON.stringify({ ...found, spent_ms: performance.now() - started }));
  }
}
