/* Taken along: this page's part of working without a signal. It registers the worker, stamps a
   page that comes from this phone, and carries a rig. Without this file pages work online. */
"use strict";
(() => {
  const root = document.documentElement, body = document.body, byId = (id) => document.getElementById(id);
  const when = (iso) => new Date(iso).toLocaleString("sv", { dateStyle: "short", timeStyle: "short" });
  const ago = (iso) => {
    const minutes = Math.round((Date.now() - Date.parse(iso)) / 60000);
    if (minutes < 1) return "just now";
    if (minutes < 90) return `${minutes} min ago`;
    return minutes < 2880 ? `${Math.round(minutes / 60)} h ago` : `${Math.round(minutes / 1440)} days ago`;
  };
  const ALIVE_MS = 2500, MOST_MS = 300000, READY_MS = 20000;
  /* Older browsers have no clock for a fetch. */
  AbortSignal.timeout ??= (ms) => {
    const stop = new AbortController();
    setTimeout(() => stop.abort(), ms);
    return stop.signal;
  };
  const isAlive = async () => {
    try {
      const answer = await fetch("/health", { cache: "no-store", signal: AbortSignal.timeout(ALIVE_MS) });
      return answer.ok && (await answer.text()) === "well";
    } catch { return false; }
  };
  const hasWorker = "serviceWorker" in navigator;
  if (hasWorker) navigator.serviceWorker.register("/worker.js").catch(() => {});

  const ask = async (said) => {
    const never = new Promise((resolve) => { setTimeout(resolve, READY_MS, null); });
    const ready = await Promise.race([navigator.serviceWorker.ready, never]), channel = new MessageChannel();
    if (!ready) return { wrong: "worker" };
    return new Promise((resolve) => {
      channel.port1.onmessage = (event) => resolve(event.data.told);
      setTimeout(resolve, MOST_MS, { wrong: "signal" });
      ready.active.postMessage(said, [channel.port2]);
    });
  };
  /* What the worker keeps of rigs: which, the pages of one, what it noted of one; null for none. */
  const RIGS = "tapewright-rig-";
  const rigsKept = async () => ("caches" in window ? await caches.keys() : [])
    .filter((name) => name.startsWith(RIGS)).map((name) => name.slice(RIGS.length));
  const keptOf = async (rig) => ("caches" in window && (await caches.has(RIGS + rig)) ? caches.open(RIGS + rig) : null);
  const metaOf = async (rig) => {
    const cache = await keptOf(rig), found = cache && (await cache.match("/carried-meta"));
    return found ? found.json() : null;
  };
  /* What is kept under an address of a rig, unpacked as worker.js packed it. */
  const pageKept = async (rig, address) => {
    const cache = await keptOf(rig), found = cache && (await cache.match(address));
    if (!found || !found.headers.get("Carried-Packed")) return found || null;
    return new Response(found.body.pipeThrough(new DecompressionStream("gzip")));
  };
  if (hasWorker && "caches" in window && !root.dataset.carried) ask({ renew: true });
  window.tapewrightAlong = { isAlive, rigsKept, keptOf, metaOf, pageKept, when, ago, hasWorker };

  /* A page from this phone says so, first of all. */
  const stamp = byId("stamp"), isCarried = Boolean(root.dataset.carried);
  if (isCarried && stamp) {
    const told = document.createElement("strong");
    told.textContent = `Carried on ${when(root.dataset.carried)}, no signal now.`;
    const again = document.createElement("a");
    again.href = location.href;
    again.textContent = "Look again";
    stamp.append(told, " What changed since is not on this page. ", again);
    stamp.hidden = false;
    window.addEventListener("online", async () => {
      if (await isAlive()) told.textContent = `Carried on ${when(root.dataset.carried)}. The notebook answers again.`;
    });
    /* Other forms need the notebook: what was typed in them is not given up to a page that fails. */
    document.addEventListener("submit", async (event) => {
      const form = event.target;
      if (event.defaultPrevented || form.matches("[data-group-form]") || form.dataset.passed) return;
      event.preventDefault();
      if (await isAlive()) {
        form.dataset.passed = "yes";
        if (form.requestSubmit) form.requestSubmit(event.submitter); else form.submit();
        return;
      }
      told.textContent = "This needs the notebook, and it does not answer now. Nothing was sent; what you typed stands.";
      stamp.scrollIntoView({ block: "nearest" });
    });
    /* The address fills the form, as the notebook would have done. */
    const form = document.querySelector("form[data-group-form]");
    if (form) {
      for (const [name, text] of new URLSearchParams(location.search)) {
        const field = form.elements[name];
        if (!field || field.type === "hidden" && name !== "session" || field.length) continue;
        if (field.type === "checkbox") field.checked = true; else field.value = text;
        field.dispatchEvent(new Event("input", { bubbles: true }));
      }
    }
  }

  /* Carry this rig. */
  const box = byId("carry"), rig = body.dataset.rig;
  if (box && rig) {
    const told = byId("carry-told"), button = byId("carry-do"), drop = byId("carry-drop");
    const show = async () => {
      const meta = await metaOf(rig);
      drop.hidden = !meta;
      button.textContent = meta ? "Carry it again" : "Carry this rig";
      if (!meta) {
        told.textContent = "Not carried. Carried, it opens here without a signal, and keeps every group you shoot.";
        return;
      }
      const less = meta.missing.length ? ` Not carried: ${meta.missing.join(", ")}.` : "";
      const kept = navigator.storage && navigator.storage.persisted ? await navigator.storage.persisted() : true;
      told.textContent = `Carried ${ago(meta.when)} (${when(meta.when)}): ${meta.names.join(", ")}; `
        + `${Math.max(1, Math.round(meta.bytes / 1000))} kB.${less}`
        + (kept ? "" : " This browser may clear it when it runs short of room: put the notebook on the home screen.");
    };
    const WRONG = {
      passcode: "The passcode is asked for. Enter it, then carry again.",
      worker: "This browser keeps no pages of this address: it does not trust it. See “On a phone” under Settings.",
      signal: "The notebook does not answer. What was carried before stands.",
      room: "This browser has no room for it. Put down a rig that you do not need, or make room on the phone; then carry again.",
    };
    box.hidden = false;
    if (!hasWorker || !("caches" in window)) {
      const link = document.createElement("a");
      link.href = "/phone";
      link.textContent = "How a phone comes to it";
      told.append("This address is not encrypted, so a browser keeps no pages of it for the range. ", link);
      button.hidden = true;
    } else {
      button.addEventListener("click", async () => {
        button.disabled = true;
        told.textContent = "Fetching…";
        if (navigator.storage && navigator.storage.persist) await navigator.storage.persist().catch(() => false);
        const answer = await ask({ carry: rig });
        button.disabled = false;
        if (answer.wrong) told.textContent = WRONG[answer.wrong] || `Not carried: ${answer.name} cannot be had now.`;
        else await show();
      });
      drop.addEventListener("click", async () => { await ask({ drop: rig }); await show(); });
      show();
    }
  }
})();
