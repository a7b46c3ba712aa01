/* A picture is looked at: a sign that it is, a way to stop it, and the picture kept in this browser
   until it was looked at well: a refusal brings a new page, whose field would be empty. It is let
   go when the page is opened anew. */
"use strict";
(() => {
  const byId = (id) => document.getElementById(id);
  const form = byId("photo"), busy = byId("busy"), chosen = byId("chosen");
  if (!form || !busy || !chosen) return;
  const NAME = "tapewright-picture", STORE = "kept", KEY = location.pathname;
  const store = (way, act) => new Promise((done, fail) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE);
    asked.onerror = () => fail(asked.error);
    asked.onsuccess = () => {
      const step = asked.result.transaction(STORE, way);
      const got = act(step.objectStore(STORE));
      step.oncomplete = () => { asked.result.close(); done(got && got.result); };
      step.onerror = step.onabort = () => { asked.result.close(); fail(step.error); };
    };
  });
  const quietly = (promise) => promise.catch(() => undefined);  /* a browser that keeps nothing: as without this */
  const working = (is) => { busy.hidden = !is; byId("find").disabled = is; };
  const files = () => [byId("picture"), chosen].flatMap((one) => [...one.files]);

  const restore = async () => {
    const refused = byId("gone");
    const [visit] = performance.getEntriesByType("navigation");
    if (!refused && !(visit && visit.type === "back_forward")) {
      await quietly(store("readwrite", (kept) => kept.delete(KEY)));
      return;
    }
    const file = await quietly(store("readonly", (kept) => kept.get(KEY)));
    if (!file || files().length) return;
    const held = new DataTransfer();
    held.items.add(file);
    chosen.files = held.files;
    chosen.dispatchEvent(new Event("change", { bubbles: true }));
    if (refused) refused.textContent = "The picture is still here, too.";
  };
  form.addEventListener("submit", async (event) => {
    const [file] = files();
    if (!file || (event.submitter && event.submitter.formMethod === "get")) return;
    event.preventDefault();
    working(true);
    await quietly(store("readwrite", (kept) => kept.put(file, KEY)));
    if (!busy.hidden) form.submit();  /* unless it was stopped meanwhile */
  });
  byId("stop").addEventListener("click", () => {
    window.stop();
    working(false);
    byId("find").focus();
  });
  addEventListener("pageshow", () => working(false));  /* come back to */
  addEventListener("DOMContentLoaded", restore);
})();

/* Tapping the four corners of a rectangle in the picture that was chosen: once near a corner, then
   exactly in the enlarged picture. The fields below are the truth; they work without this file. */
(() => {
  const byId = (id) => document.getElementById(id);
  const board = byId("tapping"), shown = byId("shown");
  if (!board || !shown) return;
  const NAMES = ["Upper left", "Upper right", "Lower right", "Lower left"], CLOSER = 6;
  const SVG = "http://www.w3.org/2000/svg";
  const field = (corner) => byId(`corner-${corner + 1}`);
  let wide = 0, high = 0, corner = 0, isNear = false, address = "";

  const shape = (name, attributes) => {
    const one = document.createElementNS(SVG, name);
    Object.entries(attributes).forEach(([key, value]) => one.setAttribute(key, value));
    shown.append(one);
  };
  const places = () => NAMES.map((_, one) => field(one).value.split(",").map(Number))
    .filter((place) => place.length === 2 && place.every(Number.isFinite));
  const look = (box) => shown.setAttribute("viewBox", box.join(" "));
  const draw = () => {
    shown.querySelectorAll(".tap, .outline").forEach((one) => one.remove());
    const at = places(), size = Number(shown.getAttribute("viewBox").split(" ")[2]) / 40;
    if (at.length > 1) shape("polygon", { class: "outline", points: at.join(" ") });
    at.forEach(([x, y]) => shape("circle", { class: "tap", cx: x, cy: y, r: size }));
  };
  const ask = () => {
    const left = corner < NAMES.length;
    byId("which").textContent = left
      ? `${NAMES[corner]} corner: ${isNear ? "now tap it exactly." : "tap near it."}`
      : "All four corners are set. Look whether the outline lies on the rectangle.";
    draw();
  };
  const whole = () => { isNear = false; look([0, 0, wide, high]); ask(); };
  const restart = () => {
    NAMES.forEach((_, one) => { field(one).value = ""; });
    corner = 0;
    whole();
  };
  const show = (file) => {
    if (address) URL.revokeObjectURL(address);
    address = URL.createObjectURL(file);
    const image = new Image();
    image.onload = () => {
      [wide, high] = [image.naturalWidth, image.naturalHeight];
      shown.replaceChildren();
      shape("image", { href: address, width: wide, height: high });
      board.hidden = false;
      restart();
    };
    image.onerror = () => {
      board.hidden = false;
      byId("which").textContent = "This browser cannot show the picture. Choose it as JPEG, or write the corners below.";
    };
    image.src = address;
  };
  ["picture", "chosen"].forEach((id, index, both) => byId(id).addEventListener("change", (event) => {
    if (!event.target.files.length) return;
    byId(both[1 - index]).value = "";
    show(event.target.files[0]);
  }));
  byId("restart").addEventListener("click", () => { if (wide) restart(); });
  shown.addEventListener("click", (event) => {
    if (!wide || corner >= NAMES.length) return;
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(shown.getScreenCTM().inverse());
    if (!isNear) {
      isNear = true;
      look([at.x - wide / (2 * CLOSER), at.y - high / (2 * CLOSER), wide / CLOSER, high / CLOSER]);
      ask();
      return;
    }
    const inside = [Math.min(Math.max(at.x, 0), wide), Math.min(Math.max(at.y, 0), high)];
    field(corner).value = inside.map((one) => (one - 0.5).toFixed(1)).join(",");  /* middles of pixels are whole */
    corner += 1;
    whole();
  });
})();
