/* The rest of the form of a group: what to turn so far, what the bar says, and a key for the other
   side where a phone's number keys have no minus; what is odd in it where nobody else looks. Without this file nothing of it is there. */
"use strict";
(() => {
  const form = document.getElementById("group");
  if (!form || !form.matches("[data-group-form]")) return;
  const byId = (id) => document.getElementById(id);

  /* What to turn so far, told by the notebook; an arrow that is moved asks again, one by one. */
  const soFar = byId("so-far"), WAIT_MS = 120;
  let isAsking = false, isStale = false, last = "";
  const sent = () => new URLSearchParams(new FormData(form));
  const ask = async () => {
    isStale = false;
    const text = sent().toString();
    if (text === last) return;
    isAsking = true;
    last = text;
    let told = "";
    try {
      const answer = await fetch(form.dataset.soFar, { method: "POST", body: new URLSearchParams(text) });
      if (answer.ok && !answer.redirected) told = await answer.text();
    } catch { last = ""; }  /* no signal: nothing is told, and asked again at the next change */
    soFar.innerHTML = told;
    setTimeout(() => { isAsking = false; if (isStale) ask(); }, WAIT_MS);
  };
  const stale = () => { isStale = true; if (!isAsking) ask(); };

  /* The bar. */
  const picked = (name) => form.querySelector(`[name="${name}"]:checked`);
  const words = (name) => { const one = picked(name); return one ? one.parentElement.textContent.trim() : ""; };
  const bar = () => {
    const far = form.elements.distance.value.trim(), unit = window.tapewrightNumbers.unitIn(far) ? "" : words("distance_in");
    const pin = picked("pin");
    const said = [byId("count").textContent.toLowerCase(), far ? `${far} ${unit}`.trim() : "", pin ? `pin ${pin.value}` : ""];
    byId("bar-said").textContent = said.filter(Boolean).join("\n");
  };

  /* The other side: minus for plus, where keys are fingers. */
  const SIGNED = '[data-signed], [name="slope"], [name="windage"], [name="windage_clicks"]';
  const addSign = (input) => {
    const around = document.createElement("span"), button = document.createElement("button");
    around.className = "signed";
    button.type = "button";
    button.textContent = "±";
    button.setAttribute("aria-label", "Minus or plus");
    input.replaceWith(around);
    around.append(input, button);
  };
  if (matchMedia("(pointer: coarse)").matches) form.querySelectorAll(SIGNED).forEach(addSign);
  form.addEventListener("click", (event) => {
    const button = event.target.closest(".signed button");
    if (!button) return;
    const input = button.parentElement.querySelector("input"), text = input.value.trim();
    input.value = /^[-\u2212]/.test(text) ? text.slice(1) : `-${text.replace(/^\+/, "")}`;
    input.dispatchEvent(new Event("input", { bubbles: true }));
    input.focus();
  });

  const changed = () => { bar(); stale(); };
  ["input", "change", "tapewright:changed"].forEach((name) => form.addEventListener(name, changed));
  bar();
  byId("bar-said").hidden = false;
  if ([...form.elements].some((one) => /^(right|up)-/.test(one.name) && one.value)) stale();

  /* Without a signal: what the notebook would ask about later, while it can still be answered; the field,
     and what to write. */
  const NUMBER = /^[-−+]?\s*\d+(?:[.,]\d*)?(?:\s*[½¼¾\d/]+)?\s*[a-z"'′″]*$/i;
  const doubtOf = (form) => {
    const text = (name) => ((form.elements[name] || {}).value || "").trim(), names = [...form.elements].map((one) => one.name || "");
    if (!NUMBER.test(text("distance"))) return ["distance", "Write the distance as a number, such as 20."];
    if (!NUMBER.test(text("reading"))) return ["reading", "Write what the sight shows as a number, such as 31.2."];
    const odd = names.find((name) => /^(right|up)-\d+$/.test(name) && text(name) && !NUMBER.test(text(name)));
    if (odd) return [odd, "Write where the arrow hit as a number, such as 1.5."];
    const isHit = names.some((name) => /^(right|up)-\d+$/.test(name) && text(name)) || form.elements.here.checked;
    return isHit || text("missed") ? null : ["missed", "Tap or write where an arrow hit, or how many went past the butt."];
  };
  /* Told once: whoever keeps the same again means it, and nothing is lost. */
  const isDoubted = (form, say) => {
    const doubt = doubtOf(form), told = doubt && `${doubt[1]}${form.elements[doubt[0]].value}`;
    if (!doubt || form.dataset.doubted === told) return false;
    form.dataset.doubted = told;
    say(`Not kept yet. ${doubt[1]} Or keep it again as it is: the notebook asks about it later.`);
    form.elements[doubt[0]].focus();
    return true;
  };
  window.tapewright = { ...window.tapewright, isDoubted };
})();
