/* Tapping arrows on a drawn target. The number fields below are the truth: every tap writes them,
   and what is typed in them is drawn. Without this file the fields work by themselves. */
"use strict";
(() => {
  const form = document.getElementById("group");
  const board = document.getElementById("board");
  if (!form || !board) return;
  const byId = (id) => document.getElementById(id);
  const face = byId("face"), rows = byId("rows"), unit = form.dataset.unit;
  const scales = board.dataset.scales.split(" ").map((one) => {
    const [half, grid, step] = one.split(":").map(Number);
    return { half, grid, step, decimals: (String(step).split(".")[1] || "").length };
  });
  const MOST = 100, MOST_UNDO = 100, NEAR_PX = 12, STILL_PX = 10;
  const blank = () => ({ right: "", up: "", arrows: "", bad: false });
  let scale = 1, chosen = -1, past = [];

  /* Rows of fields. */
  const field = (row, cell) => rows.children[row].querySelector(`[name^="${cell}-"]`);
  const read = () => [...rows.children].map((_, row) => ({
    right: field(row, "right").value.trim(), up: field(row, "up").value.trim(),
    arrows: field(row, "arrows").value.trim(), bad: field(row, "bad").checked,
  }));
  const isBlank = (one) => !one.right && !one.up && !one.bad;
  const numberOf = (text) => {
    const value = Number(text.replace(",", ".").replace("\u2212", "-"));
    return text && Number.isFinite(value) ? value : null;
  };
  const addRow = () => {
    const row = rows.lastElementChild.cloneNode(true), number = rows.children.length + 1;
    row.setAttribute("aria-label", `Arrow ${number}`);
    row.querySelector(".number").textContent = number;
    row.querySelectorAll(".fault").forEach((one) => one.remove());
    row.querySelectorAll("input").forEach((one) => {
      const cell = one.name.split("-")[0];
      one.name = `${cell}-${number}`;
      if (one.id) one.id = one.name;
      one.removeAttribute("aria-invalid");
      one.removeAttribute("aria-describedby");
      one.setAttribute("aria-label", one.getAttribute("aria-label").replace(/\d+/, number));
      if (one.type === "checkbox") one.checked = false; else one.value = "";
    });
    rows.append(row);
  };
  const write = (arrows) => {
    while (rows.children.length < arrows.length) addRow();
    [...rows.children].forEach((_, row) => {
      const one = arrows[row] || blank();
      field(row, "right").value = one.right;
      field(row, "up").value = one.up;
      field(row, "arrows").value = one.arrows;
      field(row, "bad").checked = one.bad;
    });
  };
  const change = (arrows, next) => {
    past.push({ arrows: read(), chosen });
    past = past.slice(-MOST_UNDO);
    write(arrows);
    chosen = next;
    draw();
  };

  /* Words. */
  const plain = (value) => String(Number(value.toFixed(scales[scale].decimals)));
  const side = (text, plus, minus) => {
    const value = numberOf(text);
    if (value === null) return "";
    return `${Math.abs(value)} ${unit} ${value < 0 ? minus : plus}`;
  };
  const words = (row) => {
    const one = read()[row];
    const where = [side(one.right, "right", "left"), side(one.up, "high", "low")].filter(Boolean);
    return `Arrow ${row + 1}: ${where.join(", ") || "not measured"}${one.bad ? ", called bad" : ""}.`;
  };
  const tell = (text) => { byId("told").textContent = text; };

  /* Drawing. */
  const SVG = "http://www.w3.org/2000/svg";
  const shape = (parent, name, attributes, text) => {
    const one = document.createElementNS(SVG, name);
    Object.entries(attributes).forEach(([key, value]) => one.setAttribute(key, value));
    if (text !== undefined) one.textContent = text;
    parent.append(one);
  };
  const onFace = (value) => (100 * value) / scales[scale].half;
  const drawGrid = () => {
    const { half, grid } = scales[scale], sheet = byId("grid");
    sheet.replaceChildren();
    for (let at = grid; at < half + grid / 2; at += grid) {
      const there = onFace(at);
      [there, -there].forEach((place) => {
        shape(sheet, "line", { x1: place, x2: place, y1: -100, y2: 100, class: "thin" });
        shape(sheet, "line", { y1: place, y2: place, x1: -100, x2: 100, class: "thin" });
      });
    }
    for (let at = 2 * grid; at < half; at += 2 * grid) {
      shape(sheet, "circle", { cx: 0, cy: 0, r: onFace(at), class: "ring" });
      shape(sheet, "text", { x: onFace(at), y: 97, class: "scale", "text-anchor": "middle" }, at);
      shape(sheet, "text", { x: -98, y: 2.5 - onFace(at), class: "scale" }, at);
    }
    shape(sheet, "line", { x1: 0, x2: 0, y1: -100, y2: 100, class: "axis" });
    shape(sheet, "line", { y1: 0, y2: 0, x1: -100, x2: 100, class: "axis" });
    shape(sheet, "circle", { cx: 0, cy: 0, r: 2, class: "aim" });
  };
  /* Draws a dot; what it gives back draws its number. */
  const drawDot = (one, row) => {
    const right = numberOf(one.right), up = numberOf(one.up);
    if (right === null && up === null) return () => {};
    const kind = `dot${one.bad ? " bad" : ""}${row === chosen ? " chosen" : ""}`;
    const x = onFace(right || 0), y = -onFace(up || 0);
    shape(byId("dots"), "circle", { cx: x, cy: y, r: row === chosen ? 4.4 : 3.2, class: kind });
    return () => {
      const anchor = x > 88 ? "end" : "start";
      const beside = { x: x + (x > 88 ? -5.5 : 5.5), y: Math.max(y - 3, -92), "text-anchor": anchor };
      shape(byId("dots"), "text", { ...beside, class: "beside" }, row + 1);
    };
  };
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
      button.addEventListener("click", () => choose(row));
      list.append(button);
      if (focused && row === chosen) button.focus();
    });
    if (focused && !list.contains(document.activeElement) && list.firstElementChild) {
      list.firstElementChild.focus();
    }
  };
  const draw = () => {
    const arrows = read(), { half, step } = scales[scale];
    if (chosen >= arrows.length || (chosen >= 0 && isBlank(arrows[chosen]))) chosen = -1;
    drawGrid();
    if (byId("under")) byId("under").setAttribute("transform", `scale(${100 / half})`);
    byId("dots").replaceChildren();
    arrows.map(drawDot).forEach((number) => number());  /* numbers over all dots */
    drawList(arrows);
    byId("span").textContent = `${2 * half} ${unit} across, square ${scales[scale].grid} ${unit}`;
    byId("closer").disabled = scale === 0;
    byId("wider").disabled = scale === scales.length - 1;
    byId("undo").disabled = !past.length;
    byId("delete").disabled = byId("called").disabled = chosen < 0;
    byId("called").setAttribute("aria-pressed", String(chosen >= 0 && arrows[chosen].bad));
    board.querySelectorAll("[data-way]").forEach((button) => {
      button.disabled = chosen < 0;
      button.setAttribute("aria-label", `${button.dataset.way} by ${step} ${unit}`);
    });
  };

  /* What can be done. */
  const choose = (row) => { chosen = row; draw(); tell(words(row)); };
  const zoom = (by) => {
    scale = Math.min(Math.max(scale + by, 0), scales.length - 1);
    draw();
    tell(byId("span").textContent);
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
    const arrows = read(), { step } = scales[scale], one = { ...arrows[chosen] };
    const [cell, sign] = { left: ["right", -1], right: ["right", 1], up: ["up", 1], down: ["up", -1] }[way];
    one[cell] = plain((numberOf(one[cell]) || 0) + sign * step);
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
  const undo = () => {
    const before = past.pop();
    if (!before) return;
    write(before.arrows);
    chosen = before.chosen;
    draw();
    tell(chosen >= 0 ? `Undone. ${words(chosen)}` : "Undone.");
  };

  /* Fingers: one taps, two pinch. */
  const fingers = new Map();
  let began = null, pinch = 0;
  const apart = () => {
    const [one, other] = [...fingers.values()];
    return Math.hypot(one.x - other.x, one.y - other.y);
  };
  face.addEventListener("pointerdown", (event) => {
    fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    began = fingers.size === 1 ? { x: event.clientX, y: event.clientY } : null;
    pinch = fingers.size === 2 ? apart() : 0;
  });
  face.addEventListener("pointermove", (event) => {
    if (!fingers.has(event.pointerId)) return;
    fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
    if (fingers.size !== 2 || !pinch) return;
    const ratio = apart() / pinch;
    if (ratio > 1.4 || ratio < 0.7) { zoom(ratio > 1 ? -1 : 1); pinch = apart(); }
  });
  const lift = (event) => { fingers.delete(event.pointerId); pinch = 0; };
  window.addEventListener("pointercancel", (event) => { lift(event); began = null; });
  window.addEventListener("pointerup", lift);
  face.addEventListener("pointerup", (event) => {
    if (!began || event.button > 0) return;
    const moved = Math.hypot(event.clientX - began.x, event.clientY - began.y);
    began = null;
    if (moved > STILL_PX) return;
    const box = face.getBoundingClientRect(), { half, step } = scales[scale];
    const perPx = (2 * half) / box.width;
    const right = (event.clientX - box.left) * perPx - half;
    const up = half - (event.clientY - box.top) * perPx;
    const away = read().map((one) => {
      const there = [numberOf(one.right), numberOf(one.up)];
      return there.includes(null) ? Infinity : Math.hypot(there[0] - right, there[1] - up) / perPx;
    });
    const nearest = away.indexOf(Math.min(...away));
    if (away[nearest] <= NEAR_PX && nearest !== chosen) choose(nearest);
    else add(Math.round(right / step) * step, Math.round(up / step) * step);
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
  const farthest = Math.max(...read().map((one) => Math.max(
    Math.abs(numberOf(one.right) || 0), Math.abs(numberOf(one.up) || 0))));
  while (scale < scales.length - 1 && scales[scale].half < 1.05 * farthest) scale += 1;
  board.hidden = false;
  draw();
})();
