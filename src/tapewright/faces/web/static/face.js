/* The drawn target: a look at it (its middle and half its width, in the unit of the fields), its
   grid and rings, and a numbered dot for each arrow. What is tapped on it is tap.js. */
"use strict";
(() => {
  const board = document.getElementById("board");
  if (!board) return;
  const byId = (id) => document.getElementById(id);
  const face = byId("face"), unit = document.getElementById("group").dataset.unit;
  const scales = board.dataset.scales.split(" ").map((one) => {
    const [half, grid, step] = one.split(":").map(Number);
    return { half, grid, step, decimals: (String(step).split(".")[1] || "").length };
  });
  const nearest = scales[0].half, usual = scales[1].half, widest = scales[scales.length - 1].half;
  const view = { x: 0, y: 0, half: usual };
  const scale = () => scales.find((one) => one.half >= view.half - 1e-9) || scales[scales.length - 1];
  const numberOf = (text) => window.tapewrightNumbers.inUnit(text, unit);

  /* Places on the screen. */
  const perPx = () => (2 * view.half) / face.getBoundingClientRect().width;
  const placeOf = ({ x, y }) => {
    const box = face.getBoundingClientRect();
    return [view.x - view.half + (x - box.left) * perPx(), view.y + view.half - (y - box.top) * perPx()];
  };
  const within = (half) => Math.min(Math.max(half, nearest), widest);
  /* Looks so; never past what the widest look shows. */
  const look = (x, y, half) => {
    view.half = within(half);
    const room = widest - view.half;
    view.x = Math.min(Math.max(x, -room), room);
    view.y = Math.min(Math.max(y, -room), room);
  };
  /* Looks so that a place of the target lies under a place of the screen. */
  const lookUnder = ([right, up], { x, y }, half) => {
    const box = face.getBoundingClientRect(), across = (2 * within(half)) / box.width;
    look(right + within(half) - (x - box.left) * across, up - within(half) + (y - box.top) * across, half);
  };
  /* Looks at all arrows, the aim in the middle. */
  const lookAtAll = (arrows) => {
    const farthest = Math.max(...arrows.map((one) => Math.max(
      Math.abs(numberOf(one.right) || 0), Math.abs(numberOf(one.up) || 0))));
    const half = scales.map((one) => one.half).find((one) => one >= 1.05 * farthest) || widest;
    look(0, 0, Math.max(half, usual));
  };
  const nextHalf = (way) => {
    const halves = scales.map((one) => one.half);
    return way < 0 ? halves.filter((one) => one < view.half - 1e-9).pop() || nearest
      : halves.find((one) => one > view.half + 1e-9) || widest;
  };

  /* Drawing. */
  const SVG = "http://www.w3.org/2000/svg";
  const shape = (parent, name, attributes, text) => {
    const one = document.createElementNS(SVG, name);
    Object.entries(attributes).forEach(([key, value]) => one.setAttribute(key, value));
    if (text !== undefined) one.textContent = text;
    parent.append(one);
  };
  const atX = (right) => (100 * (right - view.x)) / view.half;
  const atY = (up) => (-100 * (up - view.y)) / view.half;
  const lines = (middle, by) => {
    const first = Math.ceil((middle - view.half) / by), last = Math.floor((middle + view.half) / by);
    return Array.from({ length: Math.max(last - first + 1, 0) }, (_, one) => (first + one) * by);
  };
  const told = (value) => String(Number(value.toFixed(2))).replace("-", "\u2212");
  const drawGrid = () => {
    const { grid } = scale(), sheet = byId("grid"), aim = { cx: atX(0), cy: atY(0) };
    sheet.replaceChildren();
    lines(view.x, grid).forEach((at) => shape(sheet, "line", {
      x1: atX(at), x2: atX(at), y1: -100, y2: 100, class: at ? "thin" : "axis" }));
    lines(view.y, grid).forEach((at) => shape(sheet, "line", {
      y1: atY(at), y2: atY(at), x1: -100, x2: 100, class: at ? "thin" : "axis" }));
    const farthest = Math.hypot(Math.abs(view.x) + view.half, Math.abs(view.y) + view.half);
    for (let at = 2 * grid; at < farthest; at += 2 * grid) {
      shape(sheet, "circle", { ...aim, r: (100 * at) / view.half, class: "ring" });
    }
    lines(view.x, 2 * grid).filter((at) => at && Math.abs(atX(at)) < 90).forEach((at) => shape(
      sheet, "text", { x: atX(at), y: 97, class: "scale", "text-anchor": "middle" }, told(at)));
    lines(view.y, 2 * grid).filter((at) => at && Math.abs(atY(at)) < 90).forEach((at) => shape(
      sheet, "text", { x: -98, y: atY(at) + 2.5, class: "scale" }, told(at)));
    shape(sheet, "circle", { ...aim, r: 2, class: "aim" });
  };
  /* Draws a dot; what it gives back draws its number. */
  const drawDot = (one, row, isChosen) => {
    const right = numberOf(one.right), up = numberOf(one.up);
    if (right === null && up === null) return () => {};
    const kind = `dot${one.bad ? " bad" : ""}${isChosen ? " chosen" : ""}`;
    const x = atX(right || 0), y = atY(up || 0);
    shape(byId("dots"), "circle", { cx: x, cy: y, r: isChosen ? 4.4 : 3.2, class: kind });
    return () => {
      const anchor = x > 88 ? "end" : "start";
      const beside = { x: x + (x > 88 ? -5.5 : 5.5), y: Math.max(y - 3, -92), "text-anchor": anchor };
      shape(byId("dots"), "text", { ...beside, class: "dot-number" }, row + 1);
    };
  };
  const draw = (arrows, chosen) => {
    drawGrid();
    if (byId("under")) {
      byId("under").setAttribute("transform", `scale(${100 / view.half}) translate(${-view.x} ${view.y})`);
    }
    byId("dots").replaceChildren();
    const numbers = arrows.map((one, row) => drawDot(one, row, row === chosen));
    numbers.forEach((number) => number());  /* numbers over all dots */
    byId("span").textContent = `${told(2 * view.half)} ${unit} across, square ${scale().grid} ${unit}`;
    byId("closer").disabled = view.half <= nearest;
    byId("wider").disabled = view.half >= widest;
  };
  window.tapewright = {
    ...window.tapewright,
    target: { face, view, scale, numberOf, perPx, placeOf, look, lookUnder, lookAtAll, nextHalf, draw },
  };
})();
