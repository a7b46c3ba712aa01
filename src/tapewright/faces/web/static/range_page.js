/* Pages of the notebook on which a rig is told without it: /carried, and the form of a group. Loads the
   pack and the scripts that read it, weighs in a worker where that works, and counts what waits in the
   outbox. On the form of a group all this begins when the page stands, or with the first touch. */
const own = document.getElementById("range-page");
const read = (id) => JSON.parse(document.getElementById(id).textContent);
const id = document.body.dataset.rig, form = document.querySelector("form[data-group-form]");

/* The outbox as a store: nothing is deleted there by hand; a group can be left out of what is told here. */
const outboxStore = (outbox, proving) => {
  const key = `tapewright-left-out-${id}`;
  const left = () => { try { return JSON.parse(localStorage.getItem(key) ?? "[]"); } catch { return []; } };
  return {
    all: async () => (await outbox.all()).filter((one) => one.rig === id).map((one) => ({ ...one, is_of_proof: proving.includes(one.session), is_left_out: proving.includes(one.session) || left().includes(one.id) })),
    leaveOut: async (one, isLeft) => localStorage.setItem(key, JSON.stringify([...left().filter((other) => other !== one), ...(isLeft ? [one] : [])].slice(-200))),
  };
};
const begin = async () => {
  const [script, range, answer] = await Promise.all([import(own.dataset.script), import(own.dataset.range), fetch(`/api/rigs/${id}/pack`)]);
  if (!answer.ok) return null;
  const { proving, ...units } = read("range-here"), pack = { ...(await answer.json()), ...units }, rig = script.opened(pack);
  const worker = (() => {
    try { return new Worker(own.dataset.script, { type: "module" }); } catch { return null; }
  })();
  let asked = 0;
  const weighed = (groups) => new Promise((resolve, reject) => {
    const number = (asked += 1);
    const hear = ({ data }) => {
      if (data.id !== number) return;
      worker.removeEventListener("message", hear);
      resolve(data.state);
    };
    worker.addEventListener("message", hear);
    worker.addEventListener("error", reject, { once: true });
    worker.postMessage({ id: number, pack: number === 1 ? pack : null, groups });
  });
  const weigh = async (groups) => {
    if (!worker) return script.update(rig, groups);
    try { return script.revived(rig, await weighed(groups)); } catch { return script.update(rig, groups); }
  };
  const outbox = window.tapewrightOutbox, store = outbox ? outboxStore(outbox, proving) : null;
  const told = await range.atTheRange(script, { pack, words: read("range-words"), store, weigh, form });
  document.addEventListener("tapewright:outbox", () => told.renew());
  return told;
};
const start = () => { window.tapewrightRange ??= begin().catch(() => null); return window.tapewrightRange; };
if (form) {
  ["pointerdown", "focusin", "tapewright:changed"].forEach((name) => form.addEventListener(name, start, { once: true }));
  (window.requestIdleCallback ?? setTimeout)(start);
} else {
  const busy = document.getElementById("range-busy");
  busy?.removeAttribute("hidden");
  const told = await start();
  busy?.setAttribute("hidden", "");
  if (!told) document.getElementById("range-wrong-page")?.removeAttribute("hidden");
  document.addEventListener("tapewright:handed", ({ detail }) => { if (detail.kept) location.reload(); });
}
