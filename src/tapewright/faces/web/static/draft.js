/* Drafts: a group that is not kept yet is written into this browser at every change, and comes back
   after Back, a reload, a lost signal or an empty battery. It goes only when the notebook has
   answered that the group is kept, or when its owner throws it away.

   For whoever takes the group another way (an outbox): once it is safe there, call
   window.tapewright.draft.clear(), or dispatch the event "tapewright:kept" on the form; either
   forgets the draft of this page. window.tapewright.draft.fields() is what the form would send.
   A listener of the form's "submit" that takes the group calls preventDefault(): this file listens
   behind it, on the document, and then leaves the form alone. [data-drafts] on any page of a rig
   lists the drafts that wait. */
"use strict";
(() => {
  const KEY = "tapewright-draft/", PATIENCE_MS = 6000;
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
    return isToday ? time : `${day.toLocaleDateString()}, ${time}`;
  };
  const arrowsOf = (fields) => {
    const rows = Object.keys(fields).filter((name) => /^(right|up)-\d+$/.test(name) && fields[name].trim());
    return new Set(rows.map((name) => name.split("-")[1])).size;
  };
  const holdsArrows = (fields) => Boolean(
    arrowsOf(fields) || fields.here || (fields.missed || "").replace("0", "").trim());
  const words = ({ fields, savedAt }) => {
    const count = arrowsOf(fields), far = (fields.distance || "").trim();
    const unit = /[a-z]/i.test(far) ? "" : ` ${fields.distance_in || ""}`;
    return [`${count || "no"} arrow${count === 1 ? "" : "s"}`, far && `at ${far}${unit}`.trim(), `from ${when(savedAt)}`]
      .filter(Boolean).join(" ");
  };

  /* A group that the notebook answered to have kept; its name comes back in a cookie. */
  const told = (document.cookie.match(/(?:^|; )kept=([0-9a-f]{20})\.(\d+)/) || []).slice(1);
  const isShown = (entry) => document.querySelector(`[data-kept="${entry}"]`) !== null;
  drafts().forEach(({ key, fields, isSent }) => {
    const isAnswered = fields.entry === told[0] && fields.seen === told[1];
    const isThere = fields.seen === "0" && isShown(fields.entry);  /* its answer was lost */
    if (isSent && (isAnswered || isThere)) forget(key);
  });
  if (told.length) document.cookie = `kept=; Max-Age=0; Path=/rigs/${rig}; SameSite=Strict`;

  /* Lists of those that wait. */
  document.querySelectorAll("[data-drafts]").forEach((list) => {
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
        list.hidden = !list.childElementCount;
      });
      line.append(text, link, button);
      list.append(line);
    });
    list.hidden = !list.childElementCount;
  });
  if (!isForm) return;

  /* The form of this page. */
  const snapshot = () => {
    const fields = {};
    [...form.elements].forEach((one) => {
      if (!one.name || one.type === "submit" || one.type === "button" || one.tagName === "FIELDSET") return;
      if (one.type === "radio" && !one.checked) return;
      fields[one.name] = one.type === "checkbox" ? (one.checked ? "yes" : "") : one.value;
    });
    return fields;
  };
  const fill = (fields) => {
    const rows = Object.keys(fields).map((name) => Number((name.match(/^right-(\d+)$/) || [0, 0])[1]));
    if (window.tapewright.growRows) window.tapewright.growRows(Math.max(0, ...rows));
    [...form.elements].forEach((one) => {
      if (!one.name || one.type === "submit" || one.tagName === "FIELDSET") return;
      const text = typeof fields[one.name] === "string" ? fields[one.name] : "";
      if (one.type === "checkbox") one.checked = Boolean(text);
      else if (one.type === "radio") one.checked = one.value === text || (one.checked && !text);
      else one.value = text;
    });
    const isSeveral = Object.keys(fields).some((name) => name.startsWith("arrows-") && !["", "1"].includes(fields[name]));
    if (isSeveral && byId("several")) byId("several").checked = true;
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
  const note = byId("draft"), problem = byId("not-sent");
  let cleared = "";  /* what somebody else has safe already */
  const save = (isSent = false) => {
    const fields = snapshot();
    if (JSON.stringify(fields) === cleared) return;
    if (isBlank(fields)) { forget(keyNow()); return; }
    try {
      if (storage) storage.setItem(keyNow(), JSON.stringify({ fields, isSent, savedAt: Date.now() }));
      if (!storage) throw new Error("nothing is kept");
    } catch {
      byId("no-draft").hidden = false;
    }
  };
  const clear = () => { cleared = JSON.stringify(snapshot()); forget(keyNow()); };
  window.tapewright = { ...window.tapewright, draft: { clear, fields: snapshot } };
  form.addEventListener("tapewright:kept", ({ detail }) => {
    /* Its form stands for another group by now. */
    if (detail && detail.id && detail.id !== form.elements.entry.value) forget(`${KEY}${rig}/${detail.id}`);
    else clear();
  });

  /* What waits for this page comes back: that of the address, else the newest with arrows in it. */
  const asked = new URLSearchParams(location.search).get("draft");
  const belongs = ({ fields }) => (blank.seen === "0"
    ? fields.seen === "0" && (fields.entry === asked || fields.session === blank.session)
    : fields.entry === blank.entry);
  const waits = drafts().filter(belongs).filter(({ fields }) => !isBlank(fields));
  const back = waits.find(({ fields }) => fields.entry === asked)
    || waits.find(({ fields }) => holdsArrows(fields) || fields.seen !== "0");
  if (form.dataset.draft === "restore" && back) {
    fill(back.fields);
    const button = note.querySelector("button"), told_ = note.querySelector("p");
    told_.textContent = `Not kept yet, and back as you left it: ${words(back)}.`;
    let thrown = null;
    button.addEventListener("click", () => {
      if (thrown) {
        fill(thrown);
        save();
      } else {
        const now = snapshot();
        forget(keyNow());
        fill(blank);
        thrown = now;
        told_.textContent = "Thrown away.";
        button.textContent = "Take it back";
        return;
      }
      thrown = null;
      told_.textContent = "Back again.";
      button.textContent = "Throw it away";
    });
    note.hidden = false;
    if (form.closest("details")) form.closest("details").open = true;
  } else if (isBrought) {
    save();  /* newer than any draft */
  }
  ["input", "change", "tapewright:changed"].forEach((name) => form.addEventListener(name, () => save()));
  document.addEventListener("visibilitychange", () => { if (document.hidden) save(wasSent); });

  /* Keep: only a notebook that answers is sent to, so that no error page takes the arrows' place. */
  let isAsking = false, wasSent = false;
  window.addEventListener("pageshow", () => { isAsking = wasSent = false; });
  const answers = async () => {
    try {
      const patience = new AbortController();
      setTimeout(() => patience.abort(), PATIENCE_MS);
      const answer = await fetch("/health", { cache: "no-store", signal: patience.signal });
      return answer.ok;
    } catch { return false; }
  };
  document.addEventListener("submit", async (event) => {
    const by = event.submitter;
    if (event.target !== form || event.defaultPrevented) return;
    if (by && (by.hasAttribute("formaction") || by.name === "add")) return;
    event.preventDefault();
    if (isAsking) return;
    isAsking = true;
    problem.hidden = true;
    if (await answers()) {
      wasSent = true;
      save(true);
      form.submit();
      return;
    }
    isAsking = false;
    problem.hidden = false;
  });
})();
