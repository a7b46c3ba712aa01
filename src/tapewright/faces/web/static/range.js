/* At the range: what a rig that goes along tells, and the groups it takes, without the notebook.
   Holds: the page's fields, drawings and sentences; groups kept in this browser, in the shape in which
   a notebook takes them over. Never: what groups mean (carried.js), words of its own.
   A store has all(), and add(group) and remove(id) or leaveOut(id, whether), each a promise. */
const MANY = 24, EVERY = 3, SVG = "http://www.w3.org/2000/svg";
const fill = (text, values = {}) => text.replace(/\{(\w+)\}/g, (_, key) => values[key] ?? "");
const { split, numberOf, lengthOf, unitIn, isFar, distancesOf } = globalThis.tapewrightNumbers;
const YARDS = { yd: 0.9144, m: 1 };
const MISSES = { imperial: "in", metric: "cm" };

/* Fields of a group, as forms have them, as what the script weighs; a word for what is wrong. Misses
   are in the units it was kept in, whatever the page shows by now. */
const groupFrom = (script, rig, fields, units = "") => {
  const { pack } = rig, pin = Number(fields.pin || 1), miss = MISSES[units] ?? pack.miss;
  if (fields.tape && fields.tape !== (pack.tape?.name ?? "-")) return { wrong: "other_rig" };
  const far = lengthOf(fields.distance, fields.distance_in || pack.unit);
  if (!far || !script.within(rig, far.metres)) return { wrong: "no_distance" };
  const isTape = pack.tape && fields.reading_in !== "mm";
  const shown = lengthOf(fields.reading, isTape ? pack.tape.unit : "mm");
  if (!shown || (isFar(shown.unit) && !pack.tape)) return { wrong: "no_reading" };
  const reading_m = isFar(shown.unit) ? script.readingOf(rig, shown.metres, pin) : shown.metres;
  if (reading_m === null) return { wrong: "off_tape" };
  const arrows = [];
  const rows = Object.keys(fields).map((name) => Number(name.match(/^(?:right|up)-(\d+)$/)?.[1] ?? 0));
  for (let row = 1; row <= Math.max(0, ...rows); row += 1) { // one that was left blank is no end
    const [right, up] = ["right", "up"].map((side) => fields[`${side}-${row}`] ?? "");
    if (!right.trim() && !up.trim()) continue;
    const [right_m, up_m] = [right, up].map((one) => (one.trim() ? lengthOf(one, miss)?.metres ?? null : null));
    if ((right.trim() && right_m === null) || (up.trim() && up_m === null)) return { wrong: "no_number" };
    arrows.push({ right_m, up_m, arrows: numberOf(fields[`arrows-${row}`]) || 1, bad: Boolean(fields[`bad-${row}`]) });
  }
  if (fields.here) arrows.push({ right_m: 0, up_m: 0, arrows: numberOf(fields.mark_arrows) || 3, bad: false });
  const missed = (fields.missed ?? "").trim() ? numberOf(fields.missed) : 0;
  if (missed === null) return { wrong: "no_number" };
  if (!arrows.length && !missed) return { wrong: "no_arrow" };
  const isSaid = (name) => (fields[name] ?? "").trim() !== "", isNone = (name) => split(fields[name])?.value === 0;
  const isElsewhere = ["slope", "crosswind"].some((name) => isSaid(name) && !isNone(name)) || ["temperature", "air"].some(isSaid);
  const isOther = isSaid("head") && fields.head.trim() !== (pack.point ?? "field"); // of the other point
  if (isElsewhere || isOther) return { wrong: "not_here" };
  const is_partly_told = ["windage", "windage_clicks", "windage_session", "distances"].some(isSaid);
  return { group: { distance_m: far.metres, reading_m, pin, arrows, missed, ...(is_partly_told && { is_partly_told }) } };
};

/* The same of a group that was kept. A change of one that the notebook has must not count twice, and
   what was shot with another sheet or another tape tells nothing of this one. */
const keptFrom = (script, rig, { id, fields, units, seen, rig_number, tape }) => {
  if (seen) return { wrong: "changed" };
  if (rig.pack.holds?.includes(id)) return { wrong: "held" }; // the answer to its hand-over was lost
  if (rig_number !== rig.pack.rig_number || tape !== (rig.pack.tape?.name ?? "")) return { wrong: "other_rig" };
  return groupFrom(script, rig, fields, units);
};

/* Groups in this browser's own memory. */
const browserStore = (key) => {
  const read = () => JSON.parse(localStorage.getItem(key) ?? "[]");
  const write = (groups) => localStorage.setItem(key, JSON.stringify(groups));
  return {
    all: async () => read(),
    add: async (one) => write([...read().filter((other) => other.id !== one.id), one]),
    remove: async (id) => write(read().filter((one) => one.id !== id)),
  };
};
/* Whether this browser keeps what it writes, over a reload: "yes", "no", or "reload" to know it. */
const keeps = (key) => {
  try {
    const before = JSON.parse(localStorage.getItem(key) ?? "null"), page = performance.timeOrigin;
    if (before && before.page !== page) return "yes";
    localStorage.setItem(key, JSON.stringify({ page }));
    return JSON.parse(localStorage.getItem(key))?.page === page ? "reload" : "no";
  } catch { return "no"; }
};
const newId = () => [...crypto.getRandomValues(new Uint8Array(10))].map((one) => one.toString(16).padStart(2, "0")).join("");

/* The fan and the tape as drawn beside what is tapped; "was" is the state they are compared with. */
const pictures = (script, rig, was) => {
  const { pack } = rig, { unit, unit_m, miss, miss_m } = pack, digits = miss === "in" ? 1 : 0;
  const [fan, strip] = ["range-fan", "range-strip"].map((id) => document.getElementById(id));
  const shape = (parent, name, attributes, text) => {
    const one = document.createElementNS(SVG, name);
    Object.entries(attributes).forEach(([key, value]) => one.setAttribute(key, value));
    if (text !== undefined) one.textContent = text;
    parent.append(one);
  };
  const last_m = Math.min(pack.curves.far_m, Math.ceil(Math.max(60 * unit_m, pack.wanted_m + 10 * unit_m, (pack.trusted_m[0] || 0) + 20 * unit_m) / (10 * unit_m)) * 10 * unit_m);
  const first_m = 10 * unit_m;
  const even = Array.from({ length: MANY }, (_, n) => first_m + ((last_m - first_m) * n) / (MANY - 1));
  const drawFan = (state, pin, trusted_m, every) => {
    const shown = script.marks(state, even, pin, null, every), isGrey = state.why.length > 0, [left, right, top, bottom] = [34, 346, 16, 174];
    const most_m = 3 * pack.tolerance_m, x = (d) => left + ((right - left) * (d - first_m)) / (last_m - first_m);
    const y = (up) => 0.5 * (top + bottom) - (Math.max(-1, Math.min(1, up / most_m)) * (bottom - top)) / 2;
    fan.replaceChildren();
    for (let step = 1; 10 * step * unit_m <= last_m + 1e-6; step += 1) {
      const at = x(10 * step * unit_m).toFixed(1);
      shape(fan, "line", { class: "grid", x1: at, x2: at, y1: top, y2: bottom });
      shape(fan, "text", { class: "middle", x: at, y: bottom + 14 }, 10 * step);
    }
    const upper = shown.map((one) => `${x(one.distance_m).toFixed(1)},${y(one.impact_high_m).toFixed(1)}`);
    const lower = [...shown].reverse().map((one) => `${x(one.distance_m).toFixed(1)},${y(one.impact_low_m).toFixed(1)}`);
    shape(fan, "polygon", { class: isGrey ? "band grey" : "band", points: [...upper, ...lower].join(" ") });
    shape(fan, "line", { class: "aim", x1: left, x2: right, y1: y(0), y2: y(0) });
    for (const side of [1, -1]) {
      const at = y(side * pack.tolerance_m);
      shape(fan, "line", { class: "tolerance", x1: left, x2: right, y1: at, y2: at });
      shape(fan, "text", { class: "end", x: left - 3, y: at + 4 }, `${side > 0 ? "+" : "\u2212"}${(pack.tolerance_m / miss_m).toFixed(digits)}`);
    }
    shape(fan, "text", { x: 2, y: 12 }, miss);
    shape(fan, "text", { class: "end", x: right, y: 198 }, unit);
    if (trusted_m) shape(fan, "line", { class: "trusted", x1: x(trusted_m), x2: x(trusted_m), y1: top, y2: bottom });
  };
  const tens = [];
  for (let step = 4; 5 * step * unit_m <= last_m + 1e-6; step += 1) tens.push(5 * step);
  const middles = (state, pin) => script.middles(state, tens.map((step) => step * unit_m), pin);
  const stood = [];
  const drawStrip = (state, pin, trusted_m) => {
    const now = middles(state, pin), before = was.is_zeroed ? (stood[pin] ??= middles(was, pin)) : now;
    const ends = [before[0].reading_m, before[before.length - 1].reading_m];
    const x = (reading) => 12 + (336 * (reading - ends[0])) / (ends[1] - ends[0]);
    strip.replaceChildren();
    shape(strip, "rect", { class: "paper", x: 1, y: 8, width: 358, height: 34 });
    now.forEach((one, n) => {
      const isTen = tens[n] % 10 === 0, at = x(one.reading_m).toFixed(2), then = x(before[n].reading_m).toFixed(2);
      if (was.is_zeroed) shape(strip, "line", { class: "was", x1: then, x2: then, y1: 0, y2: 8 });
      const kind = trusted_m && one.distance_m <= trusted_m + 1e-6 ? "tick" : "tick guess";
      shape(strip, "line", { class: kind, x1: at, x2: at, y1: 8, y2: isTen ? 24 : 17 });
      if (isTen) shape(strip, "text", { class: "middle", x: at, y: 37 }, tens[n]);
    });
  };
  return { last_m, draw: (state, pin, trusted_m, every = 1) => { drawFan(state, pin, trusted_m, every); drawStrip(state, pin, trusted_m); } };
};

const atTheRange = async (script, { pack, words, store, weigh, form = null, storeTold = "", encode = null }) => {
  const by = (id) => document.getElementById(id), rig = script.opened(pack);
  const { unit, unit_m, miss, miss_m } = pack, own = form ? null : by("group"), fields = form ?? own;
  const digits = miss === "in" ? 1 : 0;
  const say = (key, values) => fill(words[key], values);
  const set = (id, text) => { if (by(id)) by(id).textContent = text; };
  const show = (id, isShown) => { if (by(id)) by(id).hidden = !isShown; };
  const place = (distance_m) => `${Math.round((distance_m / unit_m) * 10) / 10} ${unit}`;
  const missOf = (m) => `${(Math.abs(m) / miss_m).toFixed(digits)} ${miss}`;
  /* In steps of 1, 2 or 5, a third of what is not known at most, as the notebook tells it. */
  const mm = (m, half_m = 0) => {
    const third_mm = Math.max(1e3 * half_m / 3, 0.01), ten = 10 ** Math.floor(Math.log10(third_mm) + 1e-9);
    const step_mm = (third_mm >= 5 * ten ? 5 : third_mm >= 2 * ten ? 2 : 1) * ten;
    const places = Math.max(0, -Math.floor(Math.log10(step_mm) + 1e-9));
    return (Math.round(1e3 * m / step_mm) * step_mm).toFixed(places).replace(/^-(0\.?0*)$/, "$1");
  };
  const dialOf = (reading_m, at_m, pin = 1, half_m = 0) => {
    const shown = pack.tape && script.dialledOf(rig, reading_m, pin, at_m);
    return pack.tape && shown !== null ? `${(shown / YARDS[pack.tape.unit]).toFixed(1)} ${pack.tape.unit}` : `${mm(reading_m, half_m)} mm`;
  };
  const counted = (count, one, many) => (count === 1 ? words[one] : say(many, { count }));
  const made = new Date(pack.made_at).toLocaleDateString("sv");
  const home = script.update(rig, []);
  const everyPin = pack.trusted_m.map((_, n) => n + 1), trustIn = (told) => everyPin.map((one) => script.trusted(told, one));
  let kept = [], state = home, pin = 1, frame = 0, trusted = trustIn(home);
  const { last_m, draw } = pictures(script, rig, home);

  const cell = (row, text, kind) => {
    const one = document.createElement(kind ?? "td");
    one.textContent = text;
    row.append(one);
  };
  const drawMarks = (told, trusted_m) => {
    const table = by("range-marks"), pins = everyPin, steps = [];
    if (!table) return;
    by("range-heads").replaceChildren();
    [unit, ...pins.map((one) => (pins.length > 1 ? `pin ${one}` : pack.tape ? `dial ${pack.tape.unit}` : "mm")), `± ${miss}`].forEach((head) => cell(by("range-heads"), head, "th"));
    for (let step = 10; step * unit_m <= last_m + 1e-6; step += step < 30 ? 5 : 10) steps.push(step);
    const columns = pins.map((one) => script.marks(told, steps.map((step) => step * unit_m), one));
    table.replaceChildren();
    steps.forEach((step, n) => {
      const row = document.createElement("tr"), one = columns[0][n];
      const isGuess = (far_m) => !far_m || step * unit_m > far_m + 1e-6;
      row.className = trusted_m.every(isGuess) ? "faint" : "";
      cell(row, step, "th");
      columns.forEach((marks, at) => {
        const { reading_m, low_m, high_m } = marks[n], text = told.is_zeroed ? dialOf(reading_m, step * unit_m, at + 1, 0.5 * (high_m - low_m)) : "—";
        cell(row, script.allows(rig, reading_m) ? text.replace(pack.tape ? ` ${pack.tape.unit}` : " mm", "") : "✕");
        if (isGuess(trusted_m[at])) row.lastChild.className = "faint";
      });
      cell(row, `±${((0.5 * (one.impact_high_m - one.impact_low_m)) / miss_m).toFixed(digits || 1)}`);
      table.append(row);
    });
  };

  /* ---- sentences ---- */
  /* One side or two, each with its unit or in that of the page; null where it cannot be read. */
  const butt = () => {
    const sides = by("range-butt").value.split(/[x×*]/i).map((one) => lengthOf(one, miss)?.metres ?? null);
    if (sides.length > 2 || !sides.every((one) => one > 0)) return null;
    return { width_m: sides[0], height_m: sides.at(-1) };
  };
  /* Distances at hand in metres; null for any, undefined where they cannot be read. */
  const places = () => {
    const text = by("range-places")?.value.trim() ?? "";
    return text ? distancesOf(text, unit) ?? undefined : null;
  };
  const sideWords = (right_m, up_m) => [
    up_m === null ? "" : say(up_m < 0 ? "low" : "high", { miss: missOf(up_m) }),
    right_m === null ? "" : say(right_m < 0 ? "left" : "right", { miss: missOf(right_m) }),
  ].filter(Boolean).join(words.and);
  const clickWords = (clicks) => (clicks === null ? "" : Math.abs(clicks) === 1 ? words.one_click : say("clicks", { count: Math.abs(clicks) }));
  const turnWords = (told, group) => {
    if (script.isPast(group)) return [words.past];
    const move = script.correction(told, group), where = sideWords(move.right.miss_m, move.up.miss_m);
    if (!where) return [words.wait]; // every arrow was called bad
    const lines = [say("hit", { where })];
    if (!move.up.shift_m && !move.right.shift_m) return [...lines, words.wait];
    if (move.up.shift_m) lines.push(say("turn", { way: words[move.pin_up > 0 ? "up" : "down"], mark: dialOf(move.reading_m, group.distance_m, group.pin, move.half_m), was: dialOf(group.reading_m, group.distance_m, group.pin), clicks: clickWords(move.reading_clicks) }));
    else lines.push(say("leave", { axis: words.elevation }));
    if (move.right.shift_m) lines.push(say("turn_side", { way: words[move.pin_right_m > 0 ? "to_right" : "to_left"], by: mm(Math.abs(move.pin_right_m), move.right_half_m), clicks: clickWords(move.right_clicks) }));
    if (move.is_past_limit) lines.push(words.past_limit);
    return lines;
  };
  const tellNext = () => {
    if (!by("range-next")) return;
    const stops = butt(), isBlind = kept.some((other) => !other.group && other.wrong !== "held" && !other.handed.is_left_out);
    const here_m = places();
    const one = isBlind ? { kind: "uncounted" } : !stops ? { kind: "no_butt" } : here_m === undefined ? { kind: "no_places" }
      : script.next(state, stops, pack.wanted_m, trusted[0], here_m), isShot = one.kind === "shoot", link = by("range-shoot");
    set("range-safe", isShot && !one.is_first ? words.safe : "");
    if (link) link.hidden = !isShot || Boolean(own);
    if (!isShot) {
      set("range-next", say(`next_${one.kind}`, { wanted: place(pack.wanted_m), distance: one.distance_m ? place(one.distance_m) : "", unit }));
      return;
    }
    const { mark, distance_m, arrows, chance } = one, half_m = 0.5 * (mark.high_m - mark.low_m), dialled = dialOf(mark.reading_m, distance_m, 1, half_m);
    const dial = state.is_zeroed ? say(one.is_part ? "next_part" : "next_dial", { mark: dialled }) : words.next_by_eye;
    const told = say(one.is_first ? "next_first" : "next", { distance: place(distance_m), arrows, dial, chance: `${Math.min(Math.floor(100 * chance), 99)} %` });
    set("range-next", `${told}${everyPin.length > 1 ? words.next_pin : ""}${one.is_walk ? words.next_walk : ""}`);
    if (link) {
      const asked = new URLSearchParams({ distance: place(distance_m), ...(state.is_zeroed && { reading: dialled }), pin: "1" });
      link.setAttribute("href", `/rigs/${pack.rig_id}/groups/new?${asked}`);
    }
  };
  const paragraphs = (id, lines) => by(id).replaceChildren(...lines.map((text) => {
    const one = document.createElement("p");
    one.textContent = text;
    return one;
  }));
  const tellTurn = (told, group) => {
    show("range-turn", Boolean(group));
    if (group) paragraphs("range-turned", turnWords(told, group));
  };
  const tell = () => {
    const why = state.why.map((one) => words[one]), count = counting().length;
    trusted = trustIn(state);
    const trustWords = (far_m) => (far_m ? place(far_m) : words.untrusted);
    const ofPins = new Set(trusted).size > 1 ? trusted.map((far_m, n) => say("of_pin", { pin: n + 1, far: trustWords(far_m) })).join(", ")
      : everyPin.length > 1 && trusted[0] ? say("every_pin", { far: trustWords(trusted[0]) }) : trustWords(trusted[0]);
    set("range-far", why.length ? words.grey : ofPins);
    by("range").classList.toggle("grey", why.length > 0);
    set("range-standing", say(count ? "provisional" : "carried", { made, groups: counted(count, "group", "groups") }));
    show("range-why", why.length);
    paragraphs("range-why", why);
    tellNext();
    draw(state, pin, trusted[pin - 1]);
    drawMarks(state, trusted);
    tellTurn(state, counting().at(-1)?.group);
  };
  const counting = () => kept.filter((one) => one.group && !one.handed.is_left_out);
  const lineOf = ({ handed, group, wrong }) => {
    if (!group) return say({ not_here: "not_counted", changed: "not_twice", held: "held", other_rig: "not_same" }[wrong] ?? "not_read", { distance: handed.fields.distance ?? "" });
    const seen = group.arrows.filter((one) => !one.bad).reduce((sum, one) => sum + one.arrows, 0);
    const arrows = [counted(seen, "arrow", "arrows"), ...(group.missed ? [say("missed", { count: group.missed })] : [])].join(", ");
    return say("line", { distance: place(group.distance_m), mark: dialOf(group.reading_m, group.distance_m, group.pin), arrows }) + (handed.is_of_proof ? words.of_proof : handed.is_left_out ? words.left_out : group.is_partly_told ? words.partly : "");
  };
  const list = () => {
    by("range-kept")?.replaceChildren(...kept.map((one) => {
      const row = document.createElement("li"), text = document.createElement("span"), button = document.createElement("button"), isLeft = Boolean(one.handed.is_left_out);
      text.textContent = lineOf(one);
      Object.assign(button, { type: "button", className: "quiet", textContent: store.remove ? words.take_out : isLeft ? words.count_in : words.leave_out });
      button.addEventListener("click", async () => {
        await (store.remove ? store.remove(one.handed.id) : store.leaveOut(one.handed.id, !isLeft));
        await renew();
      });
      row.append(text, ...(one.group && !one.handed.is_of_proof ? [button] : []));
      return row;
    }));
    show("range-give", kept.length);
    if (by("range-text")) by("range-text").value = kept.length ? given() : "";
  };
  /* All groups from here, weighed anew: what was told before does not matter. */
  const renew = async () => {
    const all = store ? await store.all() : [];
    kept = all.map((handed) => ({ handed, ...keptFrom(script, rig, handed) }));
    const groups = counting().map((one) => one.group);
    if (!groups.length) state = home;
    else state = weigh ? await weigh(groups) : script.update(rig, groups);
    list();
    tell();
  };

  /* ---- what is touched ---- */
  const said = () => {
    const found = Object.fromEntries(new FormData(fields));
    const withUnit = (text, name) => (unitIn(text) || !text.trim() ? text : `${text.trim()} ${name}`);
    return own ? { ...found, distance: withUnit(found.distance, unit), reading: withUnit(found.reading, pack.tape ? pack.tape.unit : "mm") } : found;
  };
  const live = () => {
    frame = 0;
    const { group } = groupFrom(script, rig, said());
    if (!group || script.isPast(group)) { draw(state, pin, trusted[pin - 1]); drawMarks(state, trusted); return; }
    const moved = script.dragged(state, group);
    draw(moved, pin, trusted[pin - 1], EVERY);
    drawMarks(moved, trusted);
    if (form && document.documentElement.dataset.carried) tellTurn(moved, group);
  };
  const touched = () => { if (!frame) frame = requestAnimationFrame(live); };
  const keep = async (event) => {
    event.preventDefault();
    const filled = said(), { group, wrong } = groupFrom(script, rig, filled);
    set("range-wrong", wrong ? say(wrong, { unit, near: place(pack.curves.near_m), far: place(pack.curves.far_m) }) : "");
    if (!group) return;
    const now = new Date(), day = new Date(now - 6e4 * now.getTimezoneOffset()).toISOString().slice(0, 10);
    const part = kept.find((one) => one.handed.shot_on === day)?.handed.part ?? newId();
    await store.add({
      id: newId(), rig: pack.rig_id, rig_name: pack.rig, rig_number: pack.rig_number, tape: pack.tape?.name ?? "",
      units: unit === "yd" ? "imperial" : "metric", shot_on: day, kept_at: now.toISOString(), part, session: "", seen: 0, fields: filled,
    });
    for (const one of own.querySelectorAll("input")) if (one.type === "checkbox") one.checked = false; else one.value = "";
    by("rows").dispatchEvent(new Event("input", { bubbles: true }));
    await renew();
    set("range-told", words.kept);
    by("range-turn").scrollIntoView({ block: "start" });
  };
  /* What goes back: to a notebook in its own shape, else a file of shots. */
  const given = () => (pack.rig_id
    ? JSON.stringify({ schema: "tapewright.hand-over/1", groups: kept.map((one) => one.handed) })
    : shotsOf(kept.flatMap((one) => one.group ?? [])));
  const saveFile = () => {
    const [kind, name] = pack.rig_id ? ["application/json", "groups.json"] : ["text/csv", "shots.csv"];
    const link = document.createElement("a");
    link.setAttribute("href", `data:${kind};charset=utf-8,${encodeURIComponent(given())}`);
    link.download = `${pack.rig}-${name}`;
    link.click();
  };
  /* A file of shots, for a rig that no notebook keeps: on a tape what it showed, else mm. */
  const shotsOf = (groups) => {
    const head = ["group", `distance_${unit}`, ...(pack.tape ? [`dialled_${pack.tape.unit}`] : []), "reading_mm", "pin", `right_${miss}`, `up_${miss}`, "arrows", "note"];
    const dialled = ({ reading_m, distance_m, pin: of }) => { // past the tape's numbers a reading, and no number
      if (!pack.tape) return [1e3 * reading_m];
      const shown = script.dialledOf(rig, reading_m, of, distance_m);
      return shown === null ? ["", 1e3 * reading_m] : [shown / YARDS[pack.tape.unit], ""];
    };
    const plain = (value) => (typeof value === "number" ? +value.toFixed(6) : value ?? "");
    const away = (m) => (m === null ? "" : m / miss_m);
    const rows = groups.flatMap((group, n) => [
      ...group.arrows.map((one) => [away(one.right_m), away(one.up_m), one.arrows, one.bad ? "bad" : ""]),
      ...Array.from({ length: group.missed }, () => ["", "", 1, "missed"]),
    ].map((row) => [`range${n + 1}`, group.distance_m / unit_m, ...dialled(group), group.pin, ...row].map(plain).join(",")));
    return [head.join(","), ...rows, ""].join("\n");
  };

  show("range", true);
  show("range-store", storeTold);
  if (storeTold) by("range-store").querySelector("span").textContent = words[storeTold];
  show("range-again", storeTold === "reload");
  by("range-again")?.addEventListener("click", () => location.reload());
  set("range-band", words.band);
  /* What is so at a range stays so: it is written down here, and comes back. */
  const hereKey = `tapewright-here-${pack.rig_id || pack.fingerprint}`;
  const here = (() => { try { return JSON.parse(localStorage.getItem(hereKey)) ?? {}; } catch { return {}; } })();
  if (by("range-butt")) by("range-butt").value = here[`butt_${miss}`] ?? (miss === "in" ? "36x36" : "90x90");
  if (by("range-places")) by("range-places").value = here[`places_${unit}`] ?? "";
  ["range-butt", "range-places"].forEach((id) => by(id)?.addEventListener("input", () => {
    Object.assign(here, { [`butt_${miss}`]: by("range-butt").value, [`places_${unit}`]: by("range-places").value });
    try { localStorage.setItem(hereKey, JSON.stringify(here)); } catch { /* then it is written again next time */ }
    tellNext();
  }));
  by("range-pin")?.addEventListener("input", () => { pin = Number(by("range-pin").value); tell(); });
  by("range-file")?.addEventListener("click", saveFile);
  show("as-codes", pack.rig_id && encode);  // a file of shots is no notebook's to scan
  if (own && pack.rig_id && encode) window.tapewrightCodes(async () => given(), async () => encode);
  if (own) {
    own.hidden = !store;
    own.addEventListener("submit", keep);
  }
  ["input", "change", "tapewright:changed"].forEach((name) => fields?.addEventListener(name, touched));
  await renew();
  if (form) live();
  return { renew, state: () => state, rig };
};

export { atTheRange, browserStore, groupFrom, keptFrom, keeps };
