/* Drafts: a group that is not kept yet is written into this browser at every change, and comes back
   after Back, a reload, a lost signal or an empty battery. It goes only when the notebook has
   answered that the group is kept, when the outbox has it, or when its owner throws it away.

   Whoever takes the group another way dispatches "tapewright:kept" on the form, its id in the detail, or
   calls window.tapewright.draft.clear(id), once it is safe there. [data-drafts] on any page of a rig lists
   the drafts that wait. */
"use strict";
(() => {
  const KEY = "tapewright-draft/";
  const byId = (id) => document.getElementById(id);
  const rig = (location.pathname.match(/^\/rigs\/([0-9a-f]+)/) || ["", ""])[1];
  const form = byId("group");
  const isForm = form !== null && form.matches("[data-group-form]");

  /* What this browser keeps. */
  const storage = (() => {
    try {
      localStorage.setItem(`${KEY}try`, "1");
      localStorage.removeItem(`${KEY}try`);
      return localStorage;
    } catch { return null; }  /* a private window may keep nothing */
  })();
  const drafts = () => {
    const found = [];
    for (let at = 0; storage && at < storage.length; at += 1) {
      const key = storage.key(at);
      if (key.startsWith(`${KEY}${rig}/`)) {
        try { found.push({ key, ...JSON.parse(storage.getItem(key)) }); } catch { /* not ours */ }
      }
    }
    const isWhole = (one) => one.fields && typeof one.fields === "object" && Number.isFinite(one.savedAt);
    return found.filter(isWhole).sort((one, other) => other.savedAt - one.savedAt);
  };
  const forget = (key) => { if (storage) storage.removeItem(key); };

  /* Words. */
  const when = (savedAt) => {
    const day = new Date(savedAt), isToday = day.toDateString() === new Date().toDateString();
    const time = day.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
    return isToday ? time : `${day.toLocaleDateString("sv")}, ${time}`;
  };
  const arrowsOf = (fields) => {
    const rows = Object.keys(fields).filter((name) => /^(right|up)-\d+$/.test(name) && fields[name].trim());
    return new Set(rows.map((name) => name.split("-")[1])).size;
  };
  const holdsArrows = (fields) => Boolean(
    arrowsOf(fields) || fields.here || (fields.missed || "").replace("0", "").trim());
  const words = ({ fields, savedAt }) => {
    const count = arrowsOf(fields), far = (fields.distance || "").trim();
    const unit = window.tapewrightNumbers.unitIn(far) ? "" : ` ${fields.distance_in || ""}`;
    return [`${count || "no"} arrow${count === 1 ? "" : "s"}`, far && `at ${far}${unit}`.trim(), `from ${when(savedAt)}`]
      .filter(Boolean).join(" ");
  };

  /* A group that the notebook answered to have kept: its name comes back in a cookie. */
  const told = (document.cookie.match(/(?:^|; )kept=([0-9a-f]{20})\.(\d+)/) || []).slice(1);
  drafts().forEach(({ key, fields, isSent }) => {
    if (isSent && fields.entry === told[0] && fields.seen === told[1]) forget(key);
  });
  if (told.length) document.cookie = `kept=; Max-Age=0; Path=/rigs/${rig}; SameSite=Strict`;
  /* One that was sent and whose answer was lost: the outbox has it, or the notebook is asked. */
  const isSafe = async ({ entry }) => {
    const box = window.tapewrightOutbox ? await window.tapewrightOutbox.all() : [];
    if (box.some((one) => one.id === entry)) return true;
    try {
      return (await fetch(`/rigs/${rig}/groups/${entry}`, { method: "HEAD", redirect: "error" })).ok;
    } catch { return false; }
  };
  const settle = async () => {
    for (const { key, fields } of drafts().filter((one) => one.isSent && one.fields.seen === "0")) {
      if (await isSafe(fields)) forget(key);
    }
  };

  /* Lists of those that wait. */
  const list = () => document.querySelectorAll("[data-drafts]").forEach((place) => {
    drafts().filter(({ fields }) => holdsArrows(fields)).forEach((draft) => {
      const line = document.createElement("li"), text = document.createElement("span");
      const link = document.createElement("a"), button = document.createElement("button");
      text.textContent = `Not kept yet: ${words(draft)}.`;
      const { session = "", entry, seen } = draft.fields;
      const query = new URLSearchParams({ ...(session && { session }), draft: entry });
      link.href = seen === "0" ? `/rigs/${rig}/groups/new?${query}` : `/rigs/${rig}/groups/${entry}`;
      link.className = "button main";
      link.textContent = "Go on";
      button.type = "button";
      button.textContent = "Throw it away";
      button.addEventListener("click", () => {
        forget(draft.key);
        line.remove();
        place.hidden = !place.childElementCount;
      });
      line.append(text, link, button);
      place.append(line);
    });
    place.hidden = !place.childElementCount;
  });
  if (!isForm) { settle().then(list); return; }

  /* The form of this page. */
  const inputs = () => [...form.elements].filter((one) => one.name && one.type !== "submit");
  const snapshot = () => {
    const fields = {};
    inputs().forEach((one) => {
      if (one.type === "radio" && !one.checked) return;
      fields[one.name] = one.type === "checkbox" ? (one.checked ? "yes" : "") : one.value;
    });
    return fields;
  };
  const fill = (fields) => {
    const rows = Object.keys(fields).map((name) => Number((name.match(/^right-(\d+)$/) || [0, 0])[1]));
    if (window.tapewright.growRows) window.tapewright.growRows(Math.max(0, ...rows));
    inputs().forEach((one) => {
      const text = typeof fields[one.name] === "string" ? fields[one.name] : "";
      if (one.type === "checkbox") one.checked = Boolean(text);
      else if (one.type === "radio") one.checked = one.value === text || (one.checked && !text);
      else one.value = text;
    });
    const isSeveral = Object.keys(fields).some((name) => name.startsWith("arrows-") && !["", "1"].includes(fields[name]));
    if (isSeveral && byId("several")) byId("several").checked = true;
    const isNumbered = Object.keys(fields).some((name) => name.startsWith("arrow-") && fields[name]);
    if (isNumbered && byId("numbered")) byId("numbered").checked = true;
    form.querySelectorAll("details").forEach((one) => {
      one.open = one.open || [...one.querySelectorAll("[name]")].some((inner) => inner.value.trim());
    });
    form.dispatchEvent(new Event("tapewright:filled"));
  };
  const blank = snapshot();
  const isAsMade = (fields) => Object.keys({ ...blank, ...fields })
    .every((name) => ["entry", "session"].includes(name) || (fields[name] || "") === (blank[name] || ""));
  /* A photograph or a refusal brought what stands in this page: that is no blank form. */
  const isBrought = form.dataset.draft === "save";
  const isBlank = (fields) => (isBrought ? !holdsArrows(fields) : isAsMade(fields));
  const keyNow = () => `${KEY}${rig}/${form.elements.entry.value}`;
  const note = byId("draft");
  let cleared = "", last = "";  /* what is safe elsewhere already; where this form was written last */
  const save = (isSent = false) => {
    const fields = snapshot();
    if (JSON.stringify(fields) === cleared) return;
    if (last && last !== keyNow()) forget(last);  /* it is another group's form now */
    last = keyNow();
    if (isBlank(fields) || (cleared && !holdsArrows(fields))) { forget(keyNow()); return; }
    try {
      storage.setItem(keyNow(), JSON.stringify({ fields, isSent, savedAt: Date.now() }));
    } catch {  /* no room, or no storage at all */
      byId("no-draft").hidden = false;
    }
  };
  const clear = (id = "") => {
    cleared = JSON.stringify(snapshot());
    [last, keyNow(), `${KEY}${rig}/${id}`].forEach(forget);
    note.hidden = true;
  };
  window.tapewright = { ...window.tapewright, draft: { clear } };
  form.addEventListener("tapewright:kept", ({ detail }) => clear(detail ? detail.id : ""));

  /* What waits for this page comes back: that of the address, else the newest with arrows in it. */
  const asked = new URLSearchParams(location.search).get("draft");
  const belongs = ({ fields }) => (blank.seen === "0"
    ? fields.seen === "0" && (fields.entry === asked || fields.session === blank.session)
    : fields.entry === blank.entry);
  const restore = () => {
    const waits = drafts().filter(belongs).filter(({ fields }) => !isBlank(fields));
    const back = waits.find(({ fields }) => fields.entry === asked)
      || waits.find(({ fields }) => holdsArrows(fields) || fields.seen !== "0");
    if (!back || !isAsMade(snapshot())) return;
    fill(back.fields);
    const button = note.querySelector("button"), line = note.querySelector("p");
    line.textContent = `Not kept yet, and back as you left it: ${words(back)}.`;
    let thrown = null;
    button.addEventListener("click", () => {
      const now = thrown ? null : snapshot();
      if (now) forget(keyNow());
      fill(thrown || blank);
      save();
      thrown = now;
      line.textContent = now ? "Thrown away." : "Back again.";
      button.textContent = now ? "Take it back" : "Throw it away";
    });
    note.hidden = false;
    if (form.closest("details")) form.closest("details").open = true;
  };
  if (isBrought) save();  /* newer than any draft */
  else if (form.dataset.draft === "restore") settle().then(restore);
  ["input", "change", "tapewright:changed"].forEach((name) => form.addEventListener(name, () => save()));
  let wasSent = false;
  document.addEventListener("visibilitychange", () => { if (document.hidden) save(wasSent); });
  window.addEventListener("pageshow", () => { wasSent = false; });
  /* On the window, behind the outbox, which sends the form on once the notebook answers. */
  window.addEventListener("submit", ({ target, submitter, defaultPrevented }) => {
    const isKept = !submitter || submitter.name === "keep";
    if (target !== form || defaultPrevented || !isKept) return;
    wasSent = true;
    save(true);
  });
})();
