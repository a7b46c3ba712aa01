// What the script of a carried rig tells of many cases: JSON lines in, one answer a line out.
// Asked with: node carried_run.mjs SCRIPT; each line holds pack, groups, distances_m, butt.
import { createInterface } from "node:readline";

const script = await import(process.argv[2]);
for await (const line of createInterface({ input: process.stdin })) {
  const { pack, groups, distances_m, butt } = JSON.parse(line);
  const rig = script.opened(pack), started = performance.now();
  const state = script.update(rig, groups), spent = performance.now() - started;
  const { steps, plain, why, checks, ladder } = state;
  console.log(JSON.stringify({
    steps, plain, why, ladder, spent,
    odd: checks.map((one) => one.is_odd),
    chances: checks.map((one) => one.chance),
    marks: pack.trusted_m.map((_, pin) => script.marks(state, distances_m, pin + 1)),
    trusted_m: pack.trusted_m.map((_, pin) => script.trusted(state, pin + 1)),
    correction: groups.length ? script.correction(state, groups[groups.length - 1]) : null,
    next: script.next(state, butt),
  }));
}
