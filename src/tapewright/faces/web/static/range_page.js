/* The page of a carried rig in the notebook: loads what it needs, weighs in a worker where that works. */
const own = document.getElementById("range-page");
const [script, range] = await Promise.all([own.dataset.script, own.dataset.range].map((address) => import(address)));
const [pack, words] = ["range-pack", "range-words"].map((id) => JSON.parse(document.getElementById(id).textContent));

/* A worker that weighs groups; null where there is none, and then the page does it itself. */
const worker = (() => {
  try { return new Worker(own.dataset.script, { type: "module" }); } catch { return null; }
})();
let asked = 0;
const weighed = worker && ((groups) => new Promise((resolve, reject) => {
  const id = (asked += 1);
  const hear = ({ data }) => {
    if (data.id !== id) return;
    worker.removeEventListener("message", hear);
    resolve(data.state);
  };
  worker.addEventListener("message", hear);
  worker.addEventListener("error", reject, { once: true });
  worker.postMessage({ id, pack: id === 1 ? pack : null, groups });
}));
const rig = script.opened(pack);
const weigh = async (groups) => {
  try { return weighed ? script.revived(rig, await weighed(groups)) : script.update(rig, groups); }
  catch { return script.update(rig, groups); }
};
const store = window.tapewright?.outbox?.ofRig?.(pack.rig_id) ?? range.browserStore(`tapewright-range-${pack.rig_id}`);
window.tapewrightRange = await range.atTheRange(script, { pack, words, store, weigh });
