/* Tapping arrows on a drawn target. The number fields below are the truth: every tap writes them,
   and what is typed in them is drawn. Without this file the fields work by themselves.

   A tap always adds an arrow. An arrow is chosen by its number; the one chosen is moved by a finger
   that begins on it, by the four keys, or by its fields. Two fingers pinch and push the target.
   Whatever moves an arrow ends in the event "tapewright:changed" on the form; who fills the fields
   by script sends "tapewright:filled", and the target follows. */
"use strict";
(() => {
  const form = document.getElementById("group");
  const board = document.getElementById("board");
  if (!form || !board) return;
  const byId = (id) => document.getElementById(id);
  const { target } = window.tapewright, { face, view, scale, numberOf, perPx, placeOf } = target;
  const rows = byId("rows"), unit = form.dataset.unit;
  const MOST = 100, MOST_UNDO = 100, GRIP_PX = 30, STILL_PX = 10;
  const blank = () => ({ right: "", up: "", arrows: "", arrow: "", bad: false });
  let chosen = -1, past = [];

  /* Rows of fields. */
  const field = (row, cell) => rows.children[row].querySelector(`[name^="${cell}-"]`);
  const read = () => [...rows.children].map((_, row) => ({
    right: field(row, "right").value.trim(), up: field(row, "up").value.trim(),
    arrows: field(row, "arrows").value.trim(), bad: field(row, "bad").checked,
    arrow: field(row, "arrow").value.trim(),
  }));
  const isBlank = (one) => !one.right && !one.up && !one.bad;
  const addRow = () => {
    const row = rows.lastElementChild.cloneNode(true), number = rows.children.length + 1;
    row.setAttribute("aria-label", `Arrow ${number}`);
    row.querySelector(".number").textContent = number;
    row.querySelectorAll(".fault").forEach((one) => one.remove());
    row.querySelectorAll("[aria-label]").forEach((one) => {
      one.setAttribute("aria-label", one.getAttribute("aria-label").replace(/\d+/, number));
    });
    row.querySelectorAll("input").forEach((one) => {
      const cell = one.name.split("-")[0];
      one.name = `${cell}-${number}`;
      if (one.id) one.id = one.name;
      one.removeAttribute("aria-invalid");
      one.removeAttribute("aria-describedby");
      if (one.type === "checkbox") one.checked = false; else one.value = "";
    });
    rows.append(row);
  };
  const grow = (count) => { while (rows.children.length < Math.min(count, MOST)) addRow(); };
  const write = (arrows) => {
    grow(arrows.length);
    [...rows.children].forEach((_, row) => {
      const one = arrows[row] || blank();
      field(row, "right").value = one.right;
      field(row, "up").value = one.up;
      field(row, "arrows").value = one.arrows;
      field(row, "arrow").value = one.arrow;
      field(row, "bad").checked = one.bad;
    });
  };
  const tellAll = () => form.dispatchEvent(new Event("tapewright:changed"));
  const remember = () => { past = [...past, { arrows: read(), chosen }].slice(-MOST_UNDO); };
  const change = (arrows, next) => {
    remember();
    write(arrows);
    chosen = next;
    draw();
    tellAll();
  };

  /* Words. */
  const plain = (value) => String(Number(value.toFixed(scale().decimals)));
  const side = (value, plus, minus) => (
    value === null ? "" : `${Math.abs(value)} ${unit} ${value < 0 ? minus : plus}`);
  const where = (right, up) => (
    [side(right, "right", "left"), side(up, "high", "low")].filter(Boolean).join(", "));
  const words = (row) => {
    const one = read()[row], there = where(numberOf(one.right), numberOf(one.up));
    return `Arrow ${row + 1}: ${there || "not measured"}${one.bad ? ", called bad" : ""}.`;
  };
  const tell = (text) => { byId("told").textContent = text; };
  const many = (one) => Math.max(numberOf(one.arrows) || 1, 1);
  /* How many arrows, and where the centre of those that count lies. */
  const centre = (arrows, cell) => {
    const seen = arrows.filter((one) => !one.bad && numberOf(one[cell]) !== null);
    const all = seen.reduce((sum, one) => sum + many(one), 0);
    const total = seen.reduce((sum, one) => sum + many(one) * numberOf(one[cell]), 0);
    return all ? Number((total / all).toFixed(1)) : null;
  };
  const count = (arrows) => {
    const all = arrows.filter((one) => !isBlank(one)), bad = all.filter((one) => one.bad).length;
    const good = all.filter((one) => !one.bad).reduce((sum, one) => sum + many(one), 0);
    const counted = `${good} arrow${good === 1 ? "" : "s"}${bad ? `, ${bad} called bad` : ""}`;
    byId("count").textContent = all.length ? counted : "No arrow yet";
    if (!all.length && byId("told").textContent.startsWith("Arrow ")) tell("Tap where the arrows landed.");
    const ends = [centre(all, "right"), centre(all, "up")], there = where(...ends.map((one) => one || null));
    const isSeen = ends.some((one) => one !== null);
    byId("centre").textContent = isSeen ? `centre ${there || "on the aim"}` : "one tap, one arrow";
  };

  /* Drawing. */
  const drawList = (arrows) => {
    const list = byId("list"), focused = list.contains(document.activeElement);
    list.replaceChildren();
    arrows.forEach((one, row) => {
      if (isBlank(one)) return;
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = row + 1;
      button.setAttribute("aria-label", words(row));
      button.setAttribute("aria-pressed", String(row === chosen));
      button.addEventListener("click", () => choose(row === chosen ? -1 : row));
      list.append(button);
      if (focused && row === chosen) button.focus();
    });
    if (focused && !list.contains(document.activeElement) && list.firstElementChild) {
      list.firstElementChild.focus();
    }
  };
  const draw = () => {
    const arrows = read();
    if (chosen >= arrows.length || (chosen >= 0 && isBlank(arrows[chosen]))) chosen = -1;
    target.draw(arrows, chosen);
    drawList(arrows);
    count(arrows);
    board.querySelectorAll("[data-way]").forEach((button) => {
      button.disabled = chosen < 0;
      button.setAttribute("aria-label", `${button.dataset.way} by ${scale().step} ${unit}`);
    });
    byId("undo").disabled = !past.length;
    byId("delete").disabled = byId("called").disabled = chosen < 0;
    byId("called").setAttribute("aria-pressed", String(chosen >= 0 && arrows[chosen].bad));
  };

  /* What can be done. */
  const choose = (row) => { chosen = row; draw(); tell(row < 0 ? "No arrow is chosen." : words(row)); };
  const zoom = (way) => {
    const one = chosen < 0 ? null : read()[chosen], half = target.nextHalf(way);
    const at = one ? [numberOf(one.right) || 0, numberOf(one.up) || 0] : [view.x, view.y];
    const isOut = Math.max(Math.abs(at[0] - view.x), Math.abs(at[1] - view.y)) > 0.9 * half;
    if (isOut) target.look(...at, half); else target.look(view.x, view.y, half);
    draw();
    tell(`${byId("span").textContent}.`);
  };
  const add = (right, up) => {
    const arrows = read();
    let row = arrows.findIndex(isBlank);
    if (row < 0) row = arrows.length;
    if (row >= MOST) { tell(`No more than ${MOST} arrows.`); return; }
    arrows[row] = { ...blank(), right: plain(right), up: plain(up) };
    byId("here").checked = false;
    change(arrows, row);
    tell(words(row));
  };
  const nudge = (way) => {
    if (chosen < 0) return;
    const arrows = read(), { step } = scale(), one = { ...arrows[chosen] };
    const [cell, by] = { left: ["right", -1], right: ["right", 1], up: ["up", 1], down: ["up", -1] }[way];
    one[cell] = plain((numberOf(one[cell]) || 0) + by * step);
    arrows[chosen] = one;
    change(arrows, chosen);
    tell(words(chosen));
  };
  const remove = () => {
    if (chosen < 0) return;
    const gone = chosen, arrows = read();
    arrows.splice(gone, 1);
    change(arrows, -1);
    tell(`Arrow ${gone + 1} is deleted; those behind it are counted anew.`);
  };
  const call = () => {
    if (chosen < 0) return;
    const arrows = read();
    arrows[chosen] = { ...arrows[chosen], bad: !arrows[chosen].bad };
    change(arrows, chosen);
    tell(words(chosen));
  };
  const back = () => {
    const before = past.pop();
    if (!before) return false;
    write(before.arrows);
    chosen = before.chosen;
    draw();
    tellAll();
    return true;
  };
  const undo = () => { if (back()) tell(chosen >= 0 ? `Undone. ${words(chosen)}` : "Undone."); };

  /* Fingers: one taps, or moves the chosen arrow if it begins on it; two pinch. */
  const fingers = new Map();
  let began = null, pinch = null;
  const isOnChosen = (at) => {
    if (chosen < 0) return false;
    const one = read()[chosen], there = [numberOf(one.right), numberOf(one.up)];
    if (there.every((value) => value === null)) return false;
    const [right, up] = placeOf(at);
    return Math.hypot((there[0] || 0) - right, (there[1] || 0) - up) <= GRIP_PX * perPx();
  };
  const spread = () => {
    const [one, other] = [...fingers.values()];
    return { apart: Math.max(Math.hypot(one.x - other.x, one.y - other.y), 1),
      mid: { x: (one.x + other.x) / 2, y: (one.y + other.y) / 2 } };
  };
  const drag = (at) => {
    const arrows = read(), { step } = scale(), round = (value) => plain(Math.round(value / step) * step);
    const [right, up] = began.from;
    arrows[chosen] = { ...arrows[chosen], right: round(right + (at.x - began.x) * perPx()),
      up: round(up - (at.y - began.y) * perPx()) };
    write(arrows);
    target.draw(arrows, chosen);
    count(arrows);
    tellAll();
  };
  /* The page must not scroll away under a finger that moves an arrow, or under two. */
  face.addEventListener("touchstart", (event) => {
    const one = event.touches[0];
    if (event.touches.length > 1 || isOnChosen({ x: one.clientX, y: one.clientY })) event.preventDefault();
  }, { passive: false });
  face.addEventListener("pointerdown", (event) => {
    const at = { x: event.clientX, y: event.clientY };
    fingers.set(event.pointerId, at);
    if (began && began.isDragged) back();
    began = fingers.size === 1 ? { ...at, isDragged: false, isHeld: isOnChosen(at) } : null;
    if (began && began.isHeld) {
      const one = read()[chosen];
      began.from = [numberOf(one.right) || 0, numberOf(one.up) || 0];
    }
    pinch = null;
    if (fingers.size === 2) {
      const { apart, mid } = spread();
      pinch = { apart, at: placeOf(mid), half: view.half };
    }
    if (face.setPointerCapture) face.setPointerCapture(event.pointerId);
  });
  face.addEventListener("pointermove", (event) => {
    if (!fingers.has(event.pointerId)) return;
    const at = { x: event.clientX, y: event.clientY };
    fingers.set(event.pointerId, at);
    if (fingers.size === 2 && pinch) {
      const { apart, mid } = spread();
      target.lookUnder(pinch.at, mid, (pinch.half * pinch.apart) / apart);
      draw();
      return;
    }
    if (!began || !began.isHeld) return;
    if (!began.isDragged && Math.hypot(at.x - began.x, at.y - began.y) > STILL_PX) {
      began.isDragged = true;
      remember();
    }
    if (began.isDragged) drag(at);
  });
  const lift = (event) => { fingers.delete(event.pointerId); pinch = null; };
  window.addEventListener("pointercancel", (event) => {
    if (began && began.isDragged) back();
    began = null;
    lift(event);
  });
  window.addEventListener("pointerup", lift);
  face.addEventListener("pointerup", (event) => {
    const was = began;
    began = null;
    if (!was || event.button > 0) return;
    if (was.isDragged) { draw(); tell(words(chosen)); return; }
    if (Math.hypot(event.clientX - was.x, event.clientY - was.y) > STILL_PX) return;
    const { step } = scale(), [right, up] = placeOf({ x: event.clientX, y: event.clientY });
    add(Math.round(right / step) * step, Math.round(up / step) * step);
  });

  /* Buttons and keys. */
  byId("closer").addEventListener("click", () => zoom(-1));
  byId("wider").addEventListener("click", () => zoom(1));
  byId("delete").addEventListener("click", remove);
  byId("called").addEventListener("click", call);
  byId("undo").addEventListener("click", undo);
  board.querySelectorAll("[data-way]").forEach((button) => {
    button.addEventListener("click", () => nudge(button.dataset.way));
  });
  byId("list").addEventListener("keydown", (event) => {
    const way = { ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down" }[event.key];
    if (way) { event.preventDefault(); nudge(way); }
    if (event.key === "Delete" || event.key === "Backspace") { event.preventDefault(); remove(); }
  });
  byId("add").addEventListener("click", (event) => {
    event.preventDefault();
    if (rows.children.length < MOST) { addRow(); field(rows.children.length - 1, "right").focus(); }
  });
  rows.addEventListener("input", draw);
  form.addEventListener("tapewright:filled", () => { past = []; target.lookAtAll(read()); draw(); tellAll(); });
  form.addEventListener("tapewright:kept", () => { past = []; chosen = -1; draw(); });  /* the next one's form */
  window.tapewright = { ...window.tapewright, growRows: grow };
  board.hidden = byId("undo").hidden = false;
  target.lookAtAll(read());
  draw();
})();
