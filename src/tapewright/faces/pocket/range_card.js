// The range's part of the pocket card: groups are kept in this browser, after a look whether it does.
(() => {
  const parts = ["range-pack", "range-words"].map((id) => document.getElementById(id));
  if (!parts[0]) return;
  document.getElementById("along").hidden = false;
  const [pack, words] = parts.map((one) => JSON.parse(one.textContent));
  const key = `tapewright-card-${pack.rig_id}-${pack.fingerprint}`;
  const kept = range.keeps(`${key}-try`), storeTold = { yes: "", no: "no_store", reload: "reload" }[kept];
  const store = kept === "yes" ? range.browserStore(key) : null;
  window.pocketRange = range.atTheRange(carried, { pack, words, store, storeTold, encode: uqr.encode });
})();
