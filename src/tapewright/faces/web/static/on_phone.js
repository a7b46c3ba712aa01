/* On this phone: what it carries and has not handed over; ways to hand over without a line. */
"use strict";
(() => {
  const byId = (id) => document.getElementById(id);
  const { rigsKept, pageKept, metaOf, when, ago, hasWorker } = window.tapewrightAlong, { all, isRead, put, forget, count, handOver, words, refusedWords, plain, SCHEMA } = window.tapewrightOutbox;
  const line = (list, strong, rest, address) => {
    const item = document.createElement("li"), inside = document.createElement(address ? "a" : "div");
    if (address) inside.href = address;
    const name = document.createElement("strong"), more = document.createElement("span");
    name.textContent = strong;
    more.className = "soft";
    more.textContent = rest;
    inside.append(name, more);
    item.append(inside);
    list.append(item);
    return item;
  };
  const button = (text, act, kind = "") => {
    const made = document.createElement("button");
    Object.assign(made, { type: "button", textContent: text, className: kind });
    made.addEventListener("click", act);
    return made;
  };
  const save = (groups) => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([JSON.stringify({ schema: SCHEMA, groups: groups.map(plain) })], { type: "application/json" }));
    link.download = `tapewright-groups-${new Date().toISOString().slice(0, 19).replace(/[:T]/g, "-")}.json`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  };

  /* One that the notebook refuses: kept as a file it may leave this phone; taken off, it may come back. */
  const saved = new Set();
  const ways = (item, one) => {
    const why = document.createElement("p"), row = document.createElement("p"), key = `${one.id} ${one.revision}`;
    why.className = "mind";
    why.textContent = refusedWords(one.refused);
    row.className = "actions";
    row.append(button(saved.has(key) ? "Save it once more" : "Save it as a file", () => { save([one]); saved.add(key); all().then(show); }));
    if (saved.has(key)) {
      row.append(button("I have the file: take it off this phone", async () => {
        await forget(one.id, one.revision);
        await count();
        byId("groups-told").replaceChildren(`Taken off: ${words(one)}. `, button("Put it back", async () => { await put(one); await count(); }));
      }));
    }
    item.append(why, row);
  };

  /* In the place of a page that the notebook did not give: as the list of rigs, or for want of it. */
  if (location.pathname !== "/outbox") {
    const isList = ["/", "/rigs"].includes(location.pathname);
    byId(isList ? "no-signal" : "not-carried").hidden = false;
    byId("groups-part").before(byId("rigs-part"));
  }

  const show = (waiting) => {
    byId("groups").replaceChildren();
    const none = isRead() ? "Nothing waits here: all that you kept is in the notebook."
      : "What this phone keeps cannot be read now, so groups may wait here. Close the notebook's other pages and open this one again; until it says what waits, clear nothing of this browser.";
    byId("groups-told").textContent = waiting.length ? "" : none;
    byId("ways").hidden = !waiting.length;
    if (!waiting.length) byId("codes").hidden = true;
    for (const one of waiting) {
      const item = line(byId("groups"), words(one), `${one.rig_name}, kept ${when(one.kept_at)}`);
      if (one.refused) ways(item, one);
    }
  };
  document.addEventListener("tapewright:outbox", (event) => show(event.detail));
  all().then(show);

  const rigs = async () => {
    const metas = await Promise.all((await rigsKept()).map(async (rig) => {
      const meta = await metaOf(rig);
      if (!meta) return null;
      const page = await pageKept(rig, `/rigs/${rig}`);
      const text = page ? await page.text() : "", told = new DOMParser().parseFromString(text, "text/html").body.dataset.rigName;
      return { ...meta, name: told || "A rig" };
    }));
    const found = metas.filter(Boolean).sort((a, b) => a.name.localeCompare(b.name));
    byId("rigs-told").textContent = found.length ? ""
      : hasWorker ? "None. Open a rig while the notebook answers, and choose “Carry this rig”."
        : "None: this address is not encrypted, so the browser keeps no pages of it.";
    for (const one of found) line(byId("carried"), one.name, `carried ${ago(one.when)}, ${when(one.when)}`, `/rigs/${one.rig}`);
  };
  rigs();

  /* Without a line. */
  const text = async () => JSON.stringify({ schema: SCHEMA, groups: (await all()).map(plain) });
  byId("now").addEventListener("click", async () => {
    byId("groups-told").textContent = "Handing over…";
    const before = (await all()).length, left = await handOver(true);
    if (before && left === before) byId("groups-told").textContent = "The notebook does not answer, or did not take them. They stay here.";
  });
  byId("as-file").addEventListener("click", async () => {
    save(await all());
    byId("groups-told").textContent = "Saved. Take the file in with “Take in from a phone” on the computer. The groups stay here, too, until this phone reaches the notebook.";
  });

  window.tapewrightCodes(text, async () => (await import(byId("codes").dataset.encoder)).encode);
})();
