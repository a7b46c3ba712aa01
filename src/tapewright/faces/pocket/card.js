"use strict";
// The pocket card. Its marks are sums over the table that stands in the page as JSON; there is no
// second flight here. Holds: table to reading; controls. Never: physics, sentences.
(() => {
  const card = JSON.parse(document.getElementById("numbers").textContent);
  const { domain, scale, words } = card;
  const [ORDER, SLOPES, WARMTHS] = card.shape;
  const YARD_M = 0.9144;
  const UNITS = {
    yd: { distance: "yd", metres: YARD_M, temperature: "°F", toC: (f) => (f - 32) / 1.8, fromC: (c) => 1.8 * c + 32 },
    m: { distance: "m", metres: 1, temperature: "°C", toC: (c) => c, fromC: (c) => c },
  };

  // ---- table to reading -------------------------------------------------------------------
  const place = (x, low, high) => Math.max(-1, Math.min(1, (2 * x - low - high) / (high - low)));
  const waves = (x, count) => {
    const found = [1, x];
    for (let n = 2; n < count; n += 1) found.push(2 * x * found[n - 1] - found[n - 2]);
    return found;
  };
  // Coefficients over distance alone, for one slope and one temperature.
  const line = (slope_deg, temperature_c) => {
    const up = waves(place(slope_deg, -domain.steepest_deg, domain.steepest_deg), SLOPES);
    const warm = waves(place(temperature_c, domain.coldest_c, domain.hottest_c), WARMTHS);
    const sums = [];
    let at = 0;
    for (let i = 0; i < ORDER; i += 1) {
      let sum = 0;
      for (let j = 0; j < SLOPES; j += 1)
        for (let k = 0; k < WARMTHS; k += 1, at += 1) sum += card.heights[at] * up[j] * warm[k];
      sums.push(sum * card.grain_m);
    }
    return sums;
  };
  const height = (sums, distance_m) => {
    const x = place(distance_m, domain.near_m, domain.far_m);
    let one = 0, two = 0;
    for (let i = ORDER - 1; i > 0; i -= 1) [one, two] = [sums[i] + 2 * x * one - two, one];
    return sums[0] + x * one - two;
  };
  const tangent = (sums, distance_m) => height(sums, distance_m) / distance_m;
  const reading = (tan, pin) => {
    const below_mm = card.pins[pin].below_mm;
    const travel = scale.per_tangent_mm / scale.radius_mm;
    if (scale.arm_mm === null) return scale.zero_mm + scale.per_tangent_mm * tan - travel * below_mm;
    const level = (scale.level_mm - scale.zero_mm) / travel + below_mm;
    const sine = (tan * (scale.radius_mm - scale.arm_mm) - level) / (scale.arm_mm * Math.hypot(1, tan));
    return scale.level_mm + travel * scale.arm_mm * (Math.atan(tan) + Math.asin(sine));
  };
  // What the tape on the sight shows at a reading, the close number for a close target; null for none.
  const shown = (mm, pin, at_m) => {
    if (!card.tape || !Number.isFinite(mm)) return null;
    const dialled_m = carried.dialledOf({ pack: card }, 1e-3 * mm, pin + 1, at_m);
    return dialled_m === null ? null : dialled_m / UNITS[card.tape.unit].metres;
  };
  const between = (good, bad, isGood) => {
    for (let n = 0; n < 40; n += 1) {
      const middle = (good + bad) / 2;
      if (isGood(middle)) good = middle; else bad = middle;
    }
    return good;
  };
  const home = line(0, card.home_c);
  // Distance whose mark on the level tape is the same; null before its least, Infinity past its end.
  const dial = (tan) => {
    if (tan < tangent(home, card.turning_m)) return null;
    if (tan > tangent(home, domain.far_m)) return Infinity;
    return between(card.turning_m, domain.far_m, (d) => tangent(home, d) <= tan);
  };
  // How far the target may really be, nearer and farther, until the miss passes the tolerance.
  const hold = (sums, distance_m) => {
    const tan = tangent(sums, distance_m);
    const good = (d) => Math.abs(d * tan - height(sums, d)) <= card.tolerance_m;
    const walk = (end, step) => {
      let last = distance_m;
      for (let d = distance_m + step; (end - d) * step > 0; d += step) {
        if (!good(d)) return between(last, d, good);
        last = d;
      }
      return good(end) ? end : between(last, end, good);
    };
    return [walk(domain.near_m, -0.25), walk(domain.far_m, 0.25)];
  };
  const among = (list, x) => {
    let i = 0;
    while (i < list.length - 2 && list[i + 1] < x) i += 1;
    return [i, Math.max(0, Math.min(1, (x - list[i]) / (list[i + 1] - list[i])))];
  };
  // Ends of the band relative to the reading [mm]; straight lines in distance × offset.
  const band = (distance_m, slope_deg, pin) => {
    const { distance_m: ds, slope_deg: ss } = card.band;
    const [i, u] = among(ds, distance_m), [j, v] = among(ss, slope_deg);
    return ["low", "high"].map((end) => {
      const at = card.pins[pin][end];
      const end_mm = (r, n) => (at[r][n] === null ? NaN : 0.01 * at[r][n]); // null: past an arm's end
      const row = (r) => (1 - u) * end_mm(r, i) * ds[i] + u * end_mm(r, i + 1) * ds[i + 1];
      return ((1 - v) * row(j) + v * row(j + 1)) / distance_m;
    });
  };
  const shot = (distance_m, slope_deg, temperature_c, pin) => {
    const sums = line(slope_deg, temperature_c);
    const tan = tangent(sums, distance_m), mm = reading(tan, pin);
    return {
      reading_mm: mm, shown: shown(mm, pin, distance_m), dial_m: dial(tan), hold_m: hold(sums, distance_m),
      band_mm: band(distance_m, slope_deg, pin).map((end) => mm + end),
    };
  };
  window.pocketCard = { card, shot };

  // ---- what is shown ------------------------------------------------------------------------
  const by = (id) => document.getElementById(id);
  const KEY = `tapewright-pocket-${card.fingerprint}`;
  const state = {
    unit: card.unit, theme: null, pin: 0,
    distance_m: card.unit === "yd" ? 30 * YARD_M : 30, slope_deg: 0, temperature_c: card.home_c,
  };
  const LIMITS = {
    distance: () => [domain.near_m, domain.far_m].map((d) => d / UNITS[state.unit].metres),
    slope: () => [-domain.steepest_deg, domain.steepest_deg],
    temperature: () => [domain.coldest_c, domain.hottest_c].map(UNITS[state.unit].fromC),
  };
  const VALUES = {
    distance: {
      get: () => state.distance_m / UNITS[state.unit].metres,
      set: (x) => { state.distance_m = x * UNITS[state.unit].metres; },
    },
    slope: { get: () => state.slope_deg, set: (x) => { state.slope_deg = x; } },
    temperature: {
      get: () => UNITS[state.unit].fromC(state.temperature_c),
      set: (x) => { state.temperature_c = UNITS[state.unit].toC(x); },
    },
  };
  const wrong = new Set();
  const ends = (name) => {
    const [low, high] = LIMITS[name]();
    return [Math.ceil(low - 1e-6), Math.floor(high + 1e-6)];
  };
  const plain = (x) => String(Math.round(x * 10) / 10 + 0).replace("-", "−");
  const far = (d_m, places = 1) => (d_m / UNITS[state.unit].metres).toFixed(places);
  const fill = (text, put = {}) => text.replace(/\{(\w+)\}/g, (_, name) => put[name]);
  const signed = (x) => x.toFixed(1).replace("-", "−");

  const remember = () => {
    try { localStorage.setItem(KEY, JSON.stringify(state)); } catch { /* a private window has none */ }
  };
  const recall = () => {
    let kept = null;
    try { kept = JSON.parse(localStorage.getItem(KEY)); } catch { return; }
    if (kept === null || typeof kept !== "object") return;
    const inside = (x, low, high) => typeof x === "number" && x >= low && x <= high;
    if (kept.unit in UNITS) state.unit = kept.unit;
    if (kept.theme === "sun" || kept.theme === "dark") state.theme = kept.theme;
    if (Number.isInteger(kept.pin) && inside(kept.pin, 0, card.pins.length - 1)) state.pin = kept.pin;
    if (inside(kept.distance_m, domain.near_m, domain.far_m)) state.distance_m = kept.distance_m;
    if (inside(kept.slope_deg, -domain.steepest_deg, domain.steepest_deg)) state.slope_deg = kept.slope_deg;
    if (inside(kept.temperature_c, domain.coldest_c, domain.hottest_c)) state.temperature_c = kept.temperature_c;
  };

  const cautions = (found) => {
    const list = [], pin = card.pins[state.pin], run = card.limits.direction * found.reading_mm;
    const put = { d: far(pin.trusted_m, 0), turn: far(card.turning_m, 0), unit: UNITS[state.unit].distance };
    const { far_mm, near_mm, direction } = card.limits;
    if (Number.isNaN(found.reading_mm)) list.push(["stop", words.arm]);
    if (far_mm !== null && run > direction * far_mm) list.push(["stop", words.far]);
    if (near_mm !== null && run < direction * near_mm) list.push(["stop", words.near]);
    if (card.least_c !== null && state.temperature_c < card.least_c - 1e-6) list.push(["stop", words.too_cold]);
    if (list.length) return list; // nothing else matters then
    const unshot = state.unit === "yd" ? words.unshot_yd : words.unshot_m;
    if (unshot) list.push(["mind", unshot]);
    if (!pin.trusted_m) list.push(["mind", words.untrusted]);
    else if (state.distance_m > pin.trusted_m + 1e-6) list.push(["mind", fill(words.trusted, put)]);
    if (state.distance_m < card.turning_m) list.push(["mind", fill(words.turning, put)]);
    if (card.shot_c.every((c) => Math.abs(state.temperature_c - c) >= card.far_k)) list.push(["mind", words.far_air]);
    if (Math.abs(state.slope_deg) >= card.steep_deg) list.push(["mind", words.steep]);
    else if (state.slope_deg > 0) list.push(["mind", words.uphill]);
    return list;
  };
  const dialled = (d_m, places = 1) => {
    if (d_m === null) return words.none;
    const unit = UNITS[state.unit].distance;
    return d_m === Infinity ? fill(words.past, { d: far(domain.far_m, 0), unit }) : `${far(d_m, places)} ${unit}`;
  };
  const element = (name, attributes, text) => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    if (text !== undefined) made.textContent = text;
    return made;
  };
  // A stretch of the scale about the reading, with the band: to compare with the pointer.
  const drawRuler = (mm, [low, high]) => {
    const ruler = by("ruler"), shapes = [], wide = 340, per = 34;
    const x = (at) => wide / 2 + (at - mm) * per;
    if (Number.isFinite(mm)) {
      const left = Math.max(0, x(low)), right = Math.min(wide, x(high)), width = Math.max(2, right - left);
      if (Number.isFinite(width)) shapes.push(element("rect", { class: "band", x: left, y: 12, width, height: 20 }));
      for (let at = Math.ceil(mm - 4.9); at <= mm + 4.9; at += 1) {
        const long = at % 5 === 0;
        shapes.push(element("line", { class: long ? "tick long" : "tick", x1: x(at), x2: x(at), y1: long ? 12 : 20, y2: 32 }));
        shapes.push(element("text", { x: x(at), y: 45 }, String(at).replace("-", "−")));
      }
      shapes.push(element("path", { class: "pointer", d: `M${wide / 2} 22 l-8 -18 h16 z` }));
    }
    ruler.replaceChildren(...shapes);
  };
  // A mark past the trusted distance is a guess: grey, in no more digits than whole or tenths of its band.
  const isGuess = () => state.distance_m > card.pins[state.pin].trusted_m + 1e-6;
  const steps = ([low, high]) => (high - low >= 1 || !Number.isFinite(high - low) ? 0 : 1);
  let speaking = 0;
  const show = () => {
    const units = UNITS[state.unit], bad = wrong.size > 0;
    const found = shot(state.distance_m, state.slope_deg, state.temperature_c, state.pin);
    const has = !bad && Number.isFinite(found.reading_mm);
    const isShown = has && found.shown !== null;
    const guess = has && isGuess(), digits = guess ? steps(found.band_mm) : 2;
    const inMm = has ? found.reading_mm.toFixed(digits).replace("-", "−") : "—";
    const said = isShown ? found.shown.toFixed(guess ? 0 : 1) : inMm;
    const small = document.createElement("small");
    const tail = guess ? 0 : isShown ? 2 : 1;  // digits that are told smaller
    small.textContent = has && tail ? said.slice(-tail) : "";
    by("reading").replaceChildren(has && tail ? said.slice(0, -tail) : said, small);
    document.querySelector(".answer").classList.toggle("guess", guess);
    by("reading-caption").textContent = guess ? words.guess : isShown ? words.shows : words.reading;
    by("reading-unit").textContent = isShown ? card.tape.unit : "mm";
    by("dial-caption").textContent = isShown ? words.in_mm : words.dial;
    by("reading").value = has ? String(found.reading_mm) : "";
    const list = bad ? [] : cautions(found), stopped = list.some(([kind]) => kind === "stop");
    by("reading").classList.toggle("forbidden", stopped);
    const dialWords = isShown ? `${inMm} mm` : card.tape ? words.off_tape : dialled(found.dial_m, guess ? 0 : 1);
    by("dial").textContent = has && !stopped ? dialWords : "—";
    by("dial").value = has && !stopped && Number.isFinite(found.dial_m) && found.dial_m !== null ? String(found.dial_m) : "";
    by("band").textContent = has && found.band_mm.every(Number.isFinite) ? `${found.band_mm.map(signed).join(" to ")} mm` : "—";
    const [near, end] = found.hold_m;
    const low = near <= domain.near_m ? words.bow : far(near);
    const high = end >= domain.far_m ? `${far(domain.far_m, 0)}+` : far(end);
    by("hold").textContent = has ? `${low} to ${high} ${units.distance}` : "—";
    by("cautions").replaceChildren(...list.map(([kind, text]) => {
      const item = document.createElement("li");
      item.className = kind;
      item.textContent = text;
      return item;
    }));
    drawRuler(has ? found.reading_mm : NaN, found.band_mm);
    clearTimeout(speaking);
    speaking = setTimeout(() => {
      by("spoken").textContent = has
        ? [...(stopped ? [] : [fill(guess ? (isShown ? words.spoken_guess_tape : words.spoken_guess) : isShown ? words.spoken_tape : words.spoken, { mm: found.reading_mm.toFixed(guess ? digits : 1), shown: said, dial: dialled(found.dial_m, guess ? 0 : 1) })]), ...list.map(([, text]) => text)].join(" ")
        : "";
    }, 500);
  };
  const showControls = (except) => {
    const units = UNITS[state.unit];
    for (const name of Object.keys(VALUES)) {
      const [low, high] = ends(name), slide = by(`${name}-slide`), x = VALUES[name].get();
      slide.min = low; slide.max = high; slide.value = x;
      slide.setAttribute("aria-valuetext", plain(x));
      if (by(name) !== except) {
        by(name).value = plain(x);
        by(name).removeAttribute("aria-invalid");
        by(`${name}-wrong`).textContent = "";
        wrong.delete(name);
      }
    }
    for (const unit of document.querySelectorAll(".unit[data-unit]")) unit.textContent = units[unit.dataset.unit];
    for (const choice of document.querySelectorAll("input[name=pin]")) choice.checked = Number(choice.value) === state.pin;
    for (const list of document.querySelectorAll("[data-list]")) list.hidden = list.dataset.list !== state.unit;
    by("units").textContent = state.unit === "yd" ? "yd °F" : "m °C";
    by("units").setAttribute("aria-label", fill(words.units, { unit: by("units").textContent }));
    const dark = state.theme === null ? matchMedia("(prefers-color-scheme: dark)").matches : state.theme === "dark";
    if (state.theme === null) delete document.documentElement.dataset.theme;
    else document.documentElement.dataset.theme = state.theme;
    by("theme").textContent = dark ? words.sun : words.dark;
    by("band-caption").textContent = words.band;
    by("hold-caption").textContent = state.unit === "yd" ? words.hold_yd : words.hold_m;
  };
  const changed = (except) => { showControls(except); show(); remember(); };
  const put = (name, x) => {
    const [low, high] = LIMITS[name]();
    VALUES[name].set(Math.max(low, Math.min(high, x)));
    changed();
  };
  const stepped = (name, by_) => {
    const x = VALUES[name].get(), [low, high] = ends(name);
    // From 30.4 one step up is 31, one down is 30.
    const next = by_ > 0 ? Math.floor(x + 1e-6) + by_ : Math.ceil(x - 1e-6) + by_;
    put(name, Math.max(low, Math.min(high, next)));
  };
  const typed = (name) => {
    const field = by(name), x = tapewrightNumbers.numberOf(field.value) ?? NaN;
    const [low, high] = LIMITS[name]();
    if (x >= low - 1e-6 && x <= high + 1e-6) {
      wrong.delete(name);
      field.removeAttribute("aria-invalid");
      by(`${name}-wrong`).textContent = "";
      VALUES[name].set(Math.max(low, Math.min(high, x)));
    } else {
      wrong.add(name);
      field.setAttribute("aria-invalid", "true");
      const [from, to] = ends(name);
      by(`${name}-wrong`).textContent = fill(words.between, { from: plain(from), to: plain(to) });
    }
    changed(field);
  };

  // ---- what is touched ------------------------------------------------------------------------
  const wire = (control) => {
    const name = control.dataset.name, field = by(name);
    for (const button of control.querySelectorAll(".step")) {
      const way = Number(button.dataset.by);
      let again = 0, held = false;
      const stop = () => clearTimeout(again);
      button.addEventListener("pointerdown", () => {
        held = false;
        const repeat = () => { held = true; stepped(name, way); again = setTimeout(repeat, 90); };
        again = setTimeout(repeat, 450);
      });
      for (const end of ["pointerup", "pointerleave", "pointercancel"]) button.addEventListener(end, stop);
      button.addEventListener("click", () => { if (!held) stepped(name, way); held = false; });
    }
    field.addEventListener("input", () => typed(name));
    field.addEventListener("focus", () => field.select());
    field.addEventListener("blur", () => changed());
    field.addEventListener("keydown", (event) => {
      const way = { ArrowUp: 1, ArrowDown: -1, PageUp: 10, PageDown: -10 }[event.key];
      if (way) { event.preventDefault(); stepped(name, way); }
    });
    by(`${name}-slide`).addEventListener("input", (event) => put(name, Number(event.target.value)));
  };
  const addPins = () => {
    card.pins.forEach((_, pin) => {
      const label = document.createElement("label"), choice = document.createElement("input"), name = document.createElement("span");
      Object.assign(choice, { type: "radio", name: "pin", value: String(pin) });
      name.textContent = String(pin + 1);
      choice.addEventListener("change", () => { state.pin = pin; changed(); });
      label.append(choice, name);
      by("pins").append(label);
    });
    by("pins").hidden = card.pins.length < 2;
  };
  recall();
  addPins();
  document.querySelectorAll(".control").forEach(wire);
  by("shot").addEventListener("submit", (event) => event.preventDefault());
  by("home").addEventListener("click", () => {
    Object.assign(state, { slope_deg: 0, temperature_c: card.home_c });
    changed();
  });
  by("units").addEventListener("click", () => {
    state.unit = state.unit === "yd" ? "m" : "yd";
    changed();
  });
  by("theme").addEventListener("click", () => {
    const dark = state.theme === null ? matchMedia("(prefers-color-scheme: dark)").matches : state.theme === "dark";
    state.theme = dark ? "sun" : "dark";
    changed();
  });
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => showControls());
  by("live").hidden = false;
  by("switches").hidden = false;
  changed();
})();
