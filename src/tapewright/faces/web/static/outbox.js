/* Outbox: groups that the notebook has not got yet. Every group is written here, to disk, before it
   is sent; it is deleted only when an answer in JSON names it.
   Without this file, or without a database in the browser, the form posts as always. */
"use strict";
(() => {
  const byId = (id) => document.getElementById(id), SEND_MS = 30000, AGAIN_MS = 60000, AT_ONCE = 100;
  const LATER_MS = 3600000, DAY_MS = 24 * LATER_MS, MOST_FAILED = 3;
  const { isAlive, keptOf, metaOf } = window.tapewrightAlong;
  const SCHEMA = "tapewright.hand-over/1";

  /* The database. */
  let opened = null;
  const database = () => {
    opened = opened || new Promise((resolve, reject) => {
      const asked = indexedDB.open("tapewright", 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore("outbox", { keyPath: "id" });
      asked.onsuccess = () => {
        asked.result.onversionchange = () => { asked.result.close(); opened = null; };
        resolve(asked.result);
      };
      asked.onerror = () => { opened = null; reject(asked.error); };
      asked.onblocked = asked.onerror;
    });
    return opened;
  };
  const within = async (mode, step) => {
    const made = (await database()).transaction("outbox", mode, { durability: "strict" });
    const answer = step(made.objectStore("outbox"));
    return new Promise((resolve, reject) => {
      made.oncomplete = () => resolve(answer && "result" in answer ? answer.result : undefined);
      made.onerror = made.onabort = () => reject(made.error);
    });
  };
  const put = (record) => within("readwrite", (box) => box.put(record));
  let isRead = true;  /* else nobody knows what waits: no page may say that nothing does */
  const all = async () => {
    try {
      const found = (await within("readonly", (box) => box.getAll())).sort((a, b) => (a.kept_at < b.kept_at ? -1 : 1));
      isRead = true;
      return found;
    } catch { isRead = !("indexedDB" in window); return []; }
  };
  /* Only as it was sent: what was changed meanwhile stays. */
  const forget = (id, revision) => within("readwrite", (box) => {
    const asked = box.get(id);
    asked.onsuccess = () => { if (asked.result && asked.result.revision === revision) box.delete(id); };
  });

  /* A refusal stands at the group until it is taken: what the server said, how often, when it is asked
     again. What it would refuse each time (4xx) a day later; what may pass, in longer and longer steps. */
  const refuse = (groups, { status, why }) => within("readwrite", (box) => {
    for (const { id, revision } of groups) {
      const asked = box.get(id);
      asked.onsuccess = () => {
        const one = asked.result, times = 1 + ((one && one.refused && one.refused.times) || 0);
        const isEachTime = status >= 400 && status < 500 && ![404, 408, 429].includes(status);
        const again = Date.now() + (isEachTime ? DAY_MS : Math.min(AGAIN_MS * 2 ** (times - 1), LATER_MS));
        if (one && one.revision === revision) box.put({ ...one, refused: { status, why, times, again } });
      };
    }
  });
  const refusedWords = ({ status, why, times, again }) => {
    const said = { 404: "it does not know the rig", 413: "it is too large", 429: "it has too much to do" }[status] || why;
    const often = times > 1 ? `, ${times} times` : "", then = window.tapewrightAlong.when(new Date(again).toISOString());
    return `The notebook did not take it${often} (${status || "no answer that names it"}${said ? `: ${said}` : ""}). It is asked again after ${then}.`;
  };

  const newId = () => Array.from(crypto.getRandomValues(new Uint8Array(10)), (one) => one.toString(16).padStart(2, "0")).join("");
  const today = () => {
    const now = new Date(), two = (number) => String(number).padStart(2, "0");
    return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  };
  /* The phone's own session: one rig, day and version of its sheet. */
  const partOf = (rig, number, day) => {
    const key = `tapewright-part ${rig} ${number} ${day}`;
    let part = null;
    try { part = localStorage.getItem(key); } catch { /* then each group is a session */ }
    if (!/^[0-9a-f]{20}$/.test(part || "")) {
      part = newId();
      try { localStorage.setItem(key, part); } catch { /* the same */ }
    }
    return part;
  };
  /* Without half characters, which nothing could hand over. */
  const whole = (text) => new TextDecoder().decode(new TextEncoder().encode(text));
  const recordOf = (form, state) => {
    const { rig, rigName = "", rigNumber = "1", tape = "", units = "imperial" } = document.body.dataset;
    const fields = {}, hidden = {};
    for (const [name, text] of new FormData(form)) {
      if (typeof text !== "string" || name === "keep" || name === "add") continue;
      if (["entry", "session", "seen"].includes(name)) hidden[name] = text;
      else if (text.trim()) fields[name] = whole(text.slice(0, 4000));
    }
    const day = today();
    return {
      id: hidden.entry, rig, rig_name: whole(rigName.slice(0, 200)), rig_number: Number(rigNumber), tape, units,
      shot_on: day, kept_at: new Date().toISOString(), part: partOf(rig, rigNumber, day),
      session: hidden.session || "", seen: Number(hidden.seen || 0), fields, state, revision: newId(),
    };
  };
  /* What is handed over of a record: all but the phone's own notes. */
  const plain = ({ state, revision, told, refused, ...rest }) => rest;

  /* What people see. */
  const words = (one) => {
    const rows = new Set(Object.keys(one.fields).filter((name) => /^(right|up)-/.test(name)).map((name) => name.split("-")[1]));
    const arrows = rows.size ? `${rows.size} arrow${rows.size > 1 ? "s" : ""}` : one.fields.here ? "it hits here" : "no arrow";
    const { distance = "", reading = "", distance_in: unit = "" } = one.fields;
    const where = window.tapewrightNumbers.unitIn(distance) || !unit ? distance : `${distance} ${unit}`;
    return `${where || "no distance"}${reading ? ` at ${reading}` : ""}, ${arrows}`;
  };
  const count = async () => {
    const waiting = await all(), badge = byId("waiting");
    if (badge) {
      badge.hidden = !waiting.length;
      badge.textContent = `${waiting.length} waiting`;
      badge.setAttribute("aria-label", `${badge.textContent}: group${waiting.length > 1 ? "s" : ""} on this phone, not handed over`);
    }
    document.dispatchEvent(new CustomEvent("tapewright:outbox", { detail: waiting }));
    return waiting.length;
  };
  const say = (text, links = []) => {
    const box = byId("outbox-told");
    if (!box) return;
    box.replaceChildren(text);
    for (const [name, address] of links) {
      const link = document.createElement("a");
      link.href = address;
      link.textContent = name;
      box.append(" ", link);
    }
    box.hidden = !text;
  };

  /* What goes along does not know of what was handed over: it goes, before the outbox forgets, so that
     nothing that was shot (arrows past the butt above all) is forgotten by what is told out there. */
  const packOf = (rig) => `/api/rigs/${rig}/pack`;
  const outdate = async (rig) => {
    const cache = await keptOf(rig);
    if (cache) await cache.delete(packOf(rig));
  };

  /* Handing over: a session at a time, all of it or nothing; a very long one in pieces. */
  const WRONG = {
    401: "The notebook asks for the passcode before it takes what this phone kept.",
    404: "This notebook does not know the rig of some groups: they stay here. Hand them over to the notebook they were carried from, or as a file.",
  };
  const sendSession = async (groups) => {
    const [{ rig, part }] = groups;
    const answer = await fetch(`/api/rigs/${rig}/hand-over/${part}`, {
      method: "PUT", headers: { "Content-Type": "application/json" }, redirect: "error",
      body: JSON.stringify({ groups: groups.map(plain) }), signal: AbortSignal.timeout(SEND_MS),
    });
    const said = await answer.json().catch(() => null);
    if (![200, 201, 409].includes(answer.status)) {
      const { wrong = "", place = "" } = (said && said.faults && said.faults[0]) || {};
      return { status: answer.status, why: `${place} ${wrong}`.trim().slice(0, 200) };
    }
    const told = (said && said.groups) || [], states = new Map(told.map((one) => [one.id, one]));
    if (!groups.some((one) => states.has(one.id))) return { status: 0, why: "" };  /* not the notebook's own answer */
    await outdate(rig);
    for (const one of groups) if (states.has(one.id)) await forget(one.id, one.revision);
    return { status: answer.status, told };
  };
  const sendAll = async (isAsked) => {
    const isDue = (one) => isAsked || !one.refused || Date.now() >= one.refused.again;
    const waiting = (await all()).filter(isDue);
    if (!waiting.length) return count();
    if (!(await isAlive())) return count();
    const sessions = new Map();
    for (const one of waiting) {
      const key = `${one.rig} ${one.part}`, before = sessions.get(key) || [[]];
      if (before.at(-1).length === AT_ONCE) before.push([]);
      before.at(-1).push(one);
      sessions.set(key, before);
    }
    let kept = 0;
    const parked = new Map(), wrong = new Set(), sentRigs = [];
    const due = [...sessions.values()].flat();
    let failed = 0;
    while (due.length && failed < MOST_FAILED) {
      const groups = due.shift();
      let answer;
      try { answer = await sendSession(groups); } catch { break; }
      /* One group may be what is refused: then each goes by itself. */
      if ((answer.status === 413 || answer.status === 422 || answer.status >= 500) && groups.length > 1) {
        due.unshift(...groups.map((one) => [one]));
        continue;
      }
      failed = answer.status >= 500 ? failed + 1 : 0;
      if (answer.told) sentRigs.push(groups[0].rig);
      if (!answer.told) {
        wrong.add(answer.status);
        if (answer.status === 401) break;
        await refuse(groups, answer);
        continue;
      }
      const sent = new Set(groups.filter((one) => one.state === "sent").map((one) => one.id));
      for (const one of answer.told) {
        if (one.state === "parked") parked.set(groups[0].rig, (parked.get(groups[0].rig) || 0) + 1);
        else if (one.state === "kept" || !sent.has(one.id)) kept += 1;
      }
    }
    for (const one of new Set(sentRigs)) fetch(packOf(one)).catch(() => {});  /* the worker keeps it */
    await count();
    const lines = [], links = [];
    if (kept) lines.push(`${kept} group${kept > 1 ? "s" : ""} handed over.`);
    for (const [rig, many] of parked) {
      lines.push(`${many} wait${many > 1 ? "" : "s"} in the notebook for you to settle.`);
      links.push(["Settle", `/rigs/${rig}/parked`]);
    }
    for (const status of wrong) lines.push(WRONG[status] || `The notebook did not take some groups (${status || "no answer that names them"}). They stay here.`);
    if (wrong.has(401)) links.push(["Enter", "/enter"]);
    else if (wrong.size && location.pathname !== "/outbox") links.push(["Look at them", "/outbox"]);
    if (lines.length) say(lines.join(" "), links);
    document.dispatchEvent(new CustomEvent("tapewright:handed", { detail: { kept } }));
    return count();
  };
  const handOver = (isAsked = false) => (navigator.locks
    ? navigator.locks.request("tapewright-hand-over", { ifAvailable: true }, (lock) => (lock ? sendAll(isAsked) : count()))
    : sendAll(isAsked));

  /* Keep of the form of a group. */
  const afresh = (form) => {
    form.elements.entry.value = newId();
    for (const field of form.elements) {
      const cell = (field.name || "").split("-")[0];
      if (["right", "up", "arrows", "missed", "note", "name"].includes(cell)) field.value = "";
      if (["bad", "here"].includes(cell)) field.checked = false;
    }
    form.dispatchEvent(new Event("tapewright:filled"));
  };
  const kept = async (form, record) => {
    form.dispatchEvent(new CustomEvent("tapewright:kept", { bubbles: true, detail: plain(record) }));
    if (record.seen === 0) afresh(form);
    const waiting = await count();
    const rig = `/rigs/${record.rig}`, links = [["What this phone keeps", "/outbox"]];
    const meta = await metaOf(record.rig);
    if (meta && meta.pages.includes(`${rig}/carried`)) links.unshift(["What it says", `${rig}/carried`]);
    say(`Kept on this phone: ${words(record)}. No signal now; ${waiting} group${waiting > 1 ? "s are" : " is"} not handed over.`, links);
    byId("outbox-told").scrollIntoView({ block: "nearest" });
  };
  const keep = async (form, button) => {
    const record = recordOf(form, "sent");
    if (!record.seen) await put(record).catch(() => {});
    if (await isAlive()) {
      form.dataset.passed = "yes";
      if (form.requestSubmit) form.requestSubmit(button && button.isConnected ? button : undefined); else form.submit();
      return;
    }
    if (window.tapewright?.isDoubted?.(form, say)) return record.seen ? null : forget(record.id, record.revision).catch(() => {});
    const isSafe = await put({ ...record, state: "waiting" }).then(() => true, () => false);
    if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});
    if (isSafe) {
      await kept(form, record);
    } else {
      const isDraft = window.tapewright && window.tapewright.draft && byId("no-draft") && byId("no-draft").hidden;
      say(`No signal, and this browser has no room for groups that wait. It stands in the form${isDraft ? ", as a draft" : "; leave this page open"}: keep it again when there is a signal.`);
      byId("outbox-told").scrollIntoView({ block: "nearest" });
    }
  };
  document.addEventListener("submit", (event) => {
    const form = event.target, button = event.submitter;
    if (!form.matches("form[data-group-form]") || form.dataset.passed) return;
    if (button && (button.hasAttribute("formaction") || (button.name && button.name !== "keep"))) return;
    if (!document.body.dataset.rig || !form.elements.entry) return;
    event.preventDefault();
    if (form.dataset.busy) return;
    form.dataset.busy = "yes";
    keep(form, button).finally(() => { delete form.dataset.busy; });
  });
  window.addEventListener("pageshow", () => {
    document.querySelectorAll("form[data-passed]").forEach((form) => { delete form.dataset.passed; });
  });

  /* As the page opens: a form that comes from this phone is another group's each time (at once, before
     a draft comes back); a group whose form the notebook gave back with its faults is in somebody's
     hands; what waits is handed over. */
  const shown = document.querySelector("form[data-group-form]"), entry = shown && shown.elements.entry;
  const isCarried = Boolean(document.documentElement.dataset.carried);
  if (entry && isCarried && shown.elements.seen.value === "0") entry.value = newId();
  const begin = async () => {
    const waiting = await all();
    if (entry && !isCarried && shown.dataset.draft === "save") {
      const back = waiting.find((one) => one.id === entry.value && one.state === "sent");
      if (back) await forget(back.id, back.revision);
    }
    if (waiting.some((one) => one.state === "waiting")) await count();
    await handOver();
  };
  window.tapewrightOutbox = { all, isRead: () => isRead, put, forget, count, handOver, words, refusedWords, plain, newId, SCHEMA };
  if ("indexedDB" in window) begin();
  window.addEventListener("online", () => handOver());
  setInterval(() => { if (!document.hidden) handOver(); }, AGAIN_MS);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) handOver(); });
})();
