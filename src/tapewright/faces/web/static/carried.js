/* A carried rig: its draws as curves, and what new groups make of them. No flight is known here, and
   what is told is provisional: the notebook's own calibration takes its place.
   Holds: decoding a pack; weighing groups; marks, bands, trust, correction and the next step.
   Never: pages, storage, sentences. The same file runs in a page, in a worker and in node.
   Laws and numbers are those of docs/physics.md (7.3), (7.11), (8.7), (8.9), (8.14), (8.30) to (8.36). */
const FREEDOMS = 4, CORE = 1.1416;
const CENTRE_VARIANCE = 2 / CORE ** 2, INFORMATION = ((FREEDOMS + 1) / (FREEDOMS + 3)) * CORE ** 2;
const HALF_NODES = [3.6684708465595826, 2.783290099781652, 2.0259480158257555, 1.3265570844949328, 0.6568095668820998];
const HALF_LOGS = [0.006505578930260825, -0.22000240382377712, -0.32579437383038545, -0.38388188896773756, -0.414061320740322];
const NODES = [...HALF_NODES.map((x) => -x), 0, ...[...HALF_NODES].reverse()];
const NODE_LOGS = [...HALF_LOGS, -0.4234876117856409, ...[...HALF_LOGS].reverse()];
const WIDER = 1.15, FLAT_SD = 8e-3, TABLED = 25;
const MOVED = 0.2, MOVED_SD2 = 9e-6; // windage between two groups of which nothing is told
const SET_BY_EYE_M = 0.04;
const KEPT_SHARE = 0.5, SHRINK = 0.9, MOST_STEPS = 60;
const FEWEST_PLAIN = 25, TOO_MANY_STEPS = 5; // beyond, bands are those of home
const ODD_CHANCE = 0.05, LEAST_LEFT = 0.1, SAFE = 0.99, REACHED = 0.9;
const NEAREST_TRUSTED_M = 9.144, FIRST_M = 9.144, NEAREST_M = 3, GROWTH = 1.5, CAREFUL = 1.25, NEARER = 0.5;
const DOUBT_IN_DISPERSIONS = 10, OFF_CHANCE = 0.05, LEAST_VARIANCE = 2.5e-9, IN_BAND = 1.645;
const LEAST_OFF_M = 1e-3, LEAST_PART = 1 / 16;
const CLOSE_M = 1e-6, SHORT_OF_M = 1e-3, ENOUGH_SHOTS = 2;
const FARTHEST = { yd: 125, m: 115 };

/* ---- chance: one stream of numbers for one pack, alike everywhere ---- */
const chance = (seed) => {
  let state = seed >>> 0, spare = null;
  const even = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return (((t ^ (t >>> 14)) >>> 0) + 0.5) / 4294967296;
  };
  const normal = () => {
    if (spare !== null) { const one = spare; spare = null; return one; }
    const far = Math.sqrt(-2 * Math.log(even())), turn = 2 * Math.PI * even();
    spare = far * Math.sin(turn);
    return far * Math.cos(turn);
  };
  return { normal };
};

/* ---- the pack ---- */
const wholes = (text) => {
  const bytes = Uint8Array.from(atob(text), (one) => one.charCodeAt(0));
  const view = new DataView(bytes.buffer);
  return Float64Array.from({ length: bytes.length / 2 }, (_, at) => view.getInt16(2 * at, true));
};

const opened = (pack) => {
  if (pack.kind !== "carried rig" || pack.schema !== 1) throw new Error("This is no carried rig of schema 1.");
  const { count, marks, gains, middle, step } = pack.draws, whole = wholes(pack.draws.base64);
  const columns = middle.map((mid, column) =>
    whole.slice(column * count, (column + 1) * count).map((one) => mid + step[column] * one));
  return { pack, columns, count, marks, spread: marks + gains, bases: new Map() };
};

const waves = (x, order) => {
  const found = new Float64Array(order);
  found[0] = 1;
  found[1] = x;
  for (let n = 2; n < order; n += 1) found[n] = 2 * x * found[n - 1] - found[n - 2];
  return found;
};
const summed = (terms, wave) => terms.reduce((sum, one, n) => sum + one * wave[n], 0);

const curvesAt = (rig, distance_m, pin) => {
  const { near_m, far_m, mark_m2, mark_parts_m2, gain, gain_parts, bend } = rig.pack.curves;
  const wave = waves((2 * distance_m - near_m - far_m) / (far_m - near_m), mark_m2[0].length);
  const at = (terms) => summed(terms[pin - 1], wave);
  return {
    mark: [mark_m2, ...mark_parts_m2].map((one) => at(one) / distance_m),
    gain: [gain, ...gain_parts].map(at),
    bend: at(bend) / distance_m,
  };
};
/* What the scores mean at a distance: marks, their slope, gains, and how the rise is bent. */
const basis = (rig, distance_m, pin) => {
  const key = `${pin} ${distance_m}`;
  if (!rig.bases.has(key)) {
    const [here, nearer, farther] = [0, -0.01, 0.01].map((by) => curvesAt(rig, distance_m + by, pin));
    rig.bases.set(key, { ...here, slope: here.mark.map((_, n) => (farther.mark[n] - nearer.mark[n]) / 0.02) });
  }
  return rig.bases.get(key);
};
const told = (terms, columns, from, draw) => {
  let sum = terms[0];
  for (let n = 1; n < terms.length; n += 1) sum += terms[n] * columns[from + n - 1][draw];
  return sum;
};
const within = (rig, distance_m) => distance_m >= rig.pack.curves.near_m - CLOSE_M && distance_m <= rig.pack.curves.far_m + CLOSE_M;

/* ---- the tape on the sight ---- */
const between = (x, xs, ys) => {
  let at = 0;
  while (at < xs.length - 2 && (xs[at + 1] - x) * Math.sign(xs.at(-1) - xs[0]) < 0) at += 1;
  return ys[at] + ((x - xs[at]) / (xs[at + 1] - xs[at])) * (ys[at + 1] - ys[at]);
};
/* What the pointer shows when a number of the tape is dialled [m]; null past its blank ends. */
const readingOf = (rig, dialled_m, pin = 1) => {
  const { tape } = rig.pack, own = tape.pins[pin - 1];
  if (!own) return null; // a tape may have fewer pins than the sight
  const { distance_m, reading_m } = own;
  const reading = between(dialled_m, distance_m, reading_m);
  const end = dialled_m < distance_m[0] ? reading_m[0] : dialled_m > distance_m.at(-1) ? reading_m.at(-1) : reading;
  return Math.abs(reading - end) <= tape.white_m + 1e-9 ? reading : null;
};
/* Which close number stands at a reading, of those before the turning distance [m]; null for none. */
const closeOf = (readings, distances, reading_m, white_m) => {
  const way = Math.sign(readings.at(-1) - readings[0]);
  if (way * (readings[0] - reading_m) > white_m || way * reading_m > way * readings.at(-1)) return null;
  return between(reading_m, readings, distances);
};
/* Which number of the tape stands at a reading [m], the close one where the target stands among the
   close ones, else that past the turning distance; null for none. */
const dialledOf = (rig, reading_m, pin = 1, at_m = Infinity) => {
  const { tape } = rig.pack, ticks = tape.pins[pin - 1];
  if (!ticks) return null;
  let first = ticks.reading_m.length - 1;
  const way = Math.sign(ticks.reading_m[first] - ticks.reading_m[first - 1]);
  while (first > 0 && way * (ticks.reading_m[first] - ticks.reading_m[first - 1]) > 0) first -= 1;
  if (first && at_m <= ticks.distance_m[first]) {
    const close_m = closeOf(ticks.reading_m.slice(0, first + 1), ticks.distance_m.slice(0, first + 1), reading_m, tape.white_m);
    if (close_m !== null) return close_m;
  }
  const readings = ticks.reading_m.slice(first), distances = ticks.distance_m.slice(first);
  const before = way * (readings[0] - reading_m), past = way * (reading_m - readings.at(-1));
  if ((before > 0 && first) || Math.max(before, past, 0) > tape.white_m + 1e-9) return null;
  return between(reading_m, readings, distances);
};

/* ---- groups ---- */
const doubtOf = (rig, distance_m) => rig.pack.distance_sd_m ?? Math.max(0.005 * distance_m, 0.25 * 0.9144);
const along = (group, side) => group.arrows
  .filter((one) => !one.bad && one[side] !== null && one[side] !== undefined)
  .map((one) => ({ angle: one[side] / group.distance_m, arrows: one.arrows ?? 1 }));
const arrowsOf = (group) => group.arrows.filter((one) => !one.bad).reduce((sum, one) => sum + (one.arrows ?? 1), 0);
const isPast = (group) => (group.missed ?? 0) >= Math.max(arrowsOf(group), 1);
const axis = (hits) => {
  const total = hits.reduce((sum, one) => sum + one.arrows, 0);
  return {
    singles: hits.filter((one) => one.arrows === 1).map((one) => one.angle),
    several: hits.filter((one) => one.arrows > 1),
    total,
    middle: total ? hits.reduce((sum, one) => sum + one.angle * one.arrows, 0) / total : 0,
    told: INFORMATION * hits.filter((one) => one.arrows === 1).length
      + hits.filter((one) => one.arrows > 1).reduce((sum, one) => sum + one.arrows, 0) / CENTRE_VARIANCE,
  };
};
/* Groups as they are weighed; those at one distance, or at one of home, share its error. */
const observed = (rig, groups) => {
  const key = (one) => one.distance_m.toFixed(6);
  const home = new Map(rig.pack.distances.map((one) => [key(one), one]));
  const seen = groups.filter((one) => within(rig, one.distance_m) && (along(one, "up_m").length || along(one, "right_m").length));
  const count = (one) => seen.filter((other) => key(other) === key(one)).length;
  const shared = [...new Set(seen.filter((one) => home.has(key(one)) || count(one) > 1).map(key))];
  return {
    errors: shared.map((one) => home.get(one) ?? Number(one)),
    seen: seen.map((one) => ({
      group: one,
      distance_m: one.distance_m,
      reading_m: one.reading_m,
      at: basis(rig, one.distance_m, one.pin ?? 1),
      error: shared.indexOf(key(one)),
      up: axis(along(one, "up_m")),
      right: axis(along(one, "right_m")),
    })),
  };
};

/* ---- what arrows tell of their centre, (7.3): log density, mean and variance ---- */
const centred = (hits, predicted, dispersion, shift, out) => {
  const { singles, several, told: information, middle } = hits;
  const precision0 = 1 / (shift * shift), wide2 = FREEDOMS * (dispersion / CORE) ** 2;
  const per = 1 / (CENTRE_VARIANCE * dispersion * dispersion);
  let precision = precision0 + information / (dispersion * dispersion);
  let centre = (precision0 * predicted + (precision - precision0) * middle) / precision;
  for (let turn = 0; turn < 2; turn += 1) {
    precision = precision0;
    let top = precision0 * predicted;
    for (const one of singles) {
      const pull = (FREEDOMS + 1) / (wide2 + (one - centre) ** 2);
      precision += pull;
      top += pull * one;
    }
    for (const one of several) {
      precision += one.arrows * per;
      top += one.arrows * per * one.angle;
    }
    centre = top / precision;
  }
  const reach = (WIDER * Math.SQRT2) / Math.sqrt(precision), steep2 = 1 / wide2;
  let constant = -singles.length * Math.log(dispersion);
  for (const one of several) constant += 0.5 * Math.log(one.arrows * per);
  let highest = -Infinity;
  for (let n = 0; n < 11; n += 1) {
    const at = centre + reach * NODES[n];
    let product = 1, away = 0.5 * precision0 * (at - predicted) ** 2;
    for (const one of singles) product *= 1 + (one - at) * (one - at) * steep2;
    for (const one of several) away += 0.5 * one.arrows * per * (one.angle - at) ** 2;
    out.terms[n] = NODE_LOGS[n] - away - 0.5 * (FREEDOMS + 1) * Math.log(product);
    if (out.terms[n] > highest) highest = out.terms[n];
  }
  let sum = 0, first = 0, second = 0;
  for (let n = 0; n < 11; n += 1) {
    const term = Math.exp(out.terms[n] - highest);
    sum += term;
    first += term * NODES[n];
    second += term * NODES[n] * NODES[n];
  }
  first /= sum;
  out.mean = centre + reach * first;
  out.variance = reach * reach * (second / sum - first * first);
  out.log = constant + highest + Math.log(sum * reach * Math.sqrt(precision0 / (2 * Math.PI)));
  return out;
};
const ends = (column) => {
  let low = Infinity, high = -Infinity;
  for (const one of column) { if (one < low) low = one; if (one > high) high = one; }
  return [low, high];
};
/* The arrows alone as a Gaussian of their centre, over dispersions, (7.11). */
const alone = (hits, logs) => {
  const [low, high] = ends(logs), out = { terms: new Float64Array(11) };
  const from = low - 0.5, step = (high - low + 1) / (TABLED - 1), flat = FLAT_SD ** 2;
  const rows = Array.from({ length: TABLED }, (_, n) => {
    centred(hits, hits.middle, Math.exp(from + n * step), FLAT_SD, out);
    const own = (flat * out.variance) / Math.max(flat - out.variance, 1e-3 * flat);
    const centre = hits.middle + ((out.mean - hits.middle) * own) / out.variance;
    const away2 = (centre - hits.middle) ** 2 / (own + flat);
    return [out.log + 0.5 * (Math.log(2 * Math.PI * (own + flat)) + away2), centre, Math.log(own)];
  });
  return (log) => {
    const place = Math.min(Math.max((log - from) / step, 0), TABLED - 1.000001), n = Math.floor(place), u = place - n;
    const [a, b] = [rows[n], rows[n + 1]];
    return { log: a[0] + u * (b[0] - a[0]), centre: a[1] + u * (b[1] - a[1]), variance: Math.exp(a[2] + u * (b[2] - a[2])) };
  };
};

/* ---- a cloud of draws: columns of scores and spreads, then errors of distances, then the zero ---- */
const cloudOf = (rig, errors, hasZero) => {
  const seed = parseInt(rig.pack.fingerprint, 16) || 1, luck = chance(seed), { count } = rig;
  const columns = rig.columns.map((one) => Float64Array.from(one));
  for (const one of errors) {
    columns.push(Float64Array.from({ length: count }, (_, draw) => {
      if (typeof one === "number") return doubtOf(rig, one) * luck.normal();
      return told([one.mean_m, ...one.by_score_m], columns, 0, draw) + one.sd_m * luck.normal();
    }));
  }
  const zero = hasZero ? columns.push(new Float64Array(count)) - 1 : -1;
  return { rig, columns, count, luck, zero, errors: rig.spread + 3 };
};
const markOf = (cloud, at, draw) =>
  told(at.mark, cloud.columns, 0, draw) + (cloud.zero < 0 ? 0 : cloud.columns[cloud.zero][draw]);
const gainOf = (cloud, at, draw) => told(at.gain, cloud.columns, cloud.rig.marks, draw);
const errorOf = (cloud, one, draw) => (one.error < 0 ? 0 : cloud.columns[cloud.errors + one.error][draw]);
/* Where a draw puts a group, as an angle up of the aim, (8.31). */
const predicted = (cloud, one, draw) => {
  const error = errorOf(cloud, one, draw);
  const mark = markOf(cloud, one.at, draw) + (error ? error * told(one.at.slope, cloud.columns, 0, draw) : 0);
  const straight = gainOf(cloud, one.at, draw) * (one.reading_m - mark);
  return ((straight + one.at.bend * straight * straight) * (1 + error / one.distance_m)) / one.distance_m;
};
const meanOf = (cloud, of) => {
  let sum = 0;
  for (let draw = 0; draw < cloud.count; draw += 1) sum += of(draw);
  return sum / cloud.count;
};
const meanMark = (cloud, at) => meanOf(cloud, (draw) => markOf(cloud, at, draw));
const meanGain = (cloud, at) => meanOf(cloud, (draw) => gainOf(cloud, at, draw));
/* What errors of distance and dialling do to a group, as an angle, (7.4). */
const setUp = (cloud, one) => {
  const { rig } = cloud, gain = meanGain(cloud, one.at);
  const rise = gain * (one.reading_m - meanMark(cloud, one.at));
  const by_distance = rise / one.distance_m - gain * meanOf(cloud, (draw) => told(one.at.slope, cloud.columns, 0, draw));
  const error = one.error < 0 ? doubtOf(rig, one.distance_m) : 0;
  return Math.hypot(by_distance * error, gain * rig.pack.reading_sd_m) / one.distance_m;
};

/* Windage from group to group, (7.12), for one draw: log likelihood; the state after. */
const steered = (rig, rights, wobble2, state) => {
  const { mean, covariance } = rig.pack.windage;
  let [w, s] = mean, [[ww, ws], [, ss]] = covariance, total = 0;
  rights.forEach((one, place) => {
    const moved = place || rig.pack.groups ? MOVED : 0;
    if (!one) {
      if (moved) {
        const both = moved - moved * moved, off = -w;
        ww += moved * (MOVED_SD2 - ww) + both * off * off;
        ws -= moved * ws;
        w += moved * off;
      }
      return;
    }
    const per = 1 / one.distance_m, seen = (w0, ww0, ws0) => {
      const toW = ww0 + per * ws0, toS = ws0 + per * ss, sum = toW + per * toS + one.variance + wobble2;
      const away = one.centre - w0 - per * s, gain = toW / sum, other = toS / sum;
      return {
        log: -0.5 * (Math.log(2 * Math.PI * sum) + (away * away) / sum),
        w: w0 + gain * away, s: s + other * away, ww: ww0 - gain * toW, ws: ws0 - gain * toS, ss: ss - other * toS,
      };
    };
    const stays = seen(w, ww, ws);
    let after = stays, log = stays.log;
    if (moved) {
      const fresh = seen(0, MOVED_SD2, 0), a = stays.log + Math.log(1 - moved), b = fresh.log + Math.log(moved);
      log = Math.max(a, b) + Math.log1p(Math.exp(-Math.abs(a - b)));
      const share = Math.exp(b - log), both = share - share * share, off = fresh.w - stays.w, beside = fresh.s - stays.s;
      after = {
        w: stays.w + share * off, s: stays.s + share * beside,
        ww: stays.ww + share * (fresh.ww - stays.ww) + both * off * off,
        ws: stays.ws + share * (fresh.ws - stays.ws) + both * off * beside,
        ss: stays.ss + share * (fresh.ss - stays.ss) + both * beside * beside,
      };
    }
    ({ w, s, ww, ws, ss } = after);
    total += log + one.log;
  });
  if (state) Object.assign(state, { w, s, ww, ws, ss });
  return total;
};

/* ---- weighing ---- */
/* How likely each draw makes the groups, as a logarithm. */
const logsOf = (cloud, seen, placed, into) => {
  const { rig } = cloud, [upLog, rightLog, wobbleLog] = [0, 1, 2].map((n) => cloud.columns[rig.spread + n]);
  const doubts = seen.map((one) => setUp(cloud, one));
  const rightOf = seen.map((one) => (one.right.total ? alone(one.right, rightLog) : null));
  const first = placed ? alone(placed.up, upLog) : null;
  const out = { terms: new Float64Array(11) };
  const rights = (draw) => seen.map((one, n) => rightOf[n] && { ...rightOf[n](rightLog[draw]), distance_m: one.distance_m });
  for (let draw = 0; draw < cloud.count; draw += 1) {
    const dispersion = Math.exp(upLog[draw]), wobble = Math.exp(wobbleLog[draw]);
    let log = steered(rig, rights(draw), wobble * wobble);
    seen.forEach((one, n) => {
      if (!one.up.total) return;
      if (one === placed) log += first(upLog[draw]).log;
      else log += centred(one.up, predicted(cloud, one, draw), dispersion, Math.hypot(wobble, doubts[n]), out).log;
    });
    into[draw] = log;
  }
};
const powered = (logs, power, into) => {
  let top = -Infinity, sum = 0, squares = 0;
  for (const one of logs) if (one > top) top = one;
  for (let n = 0; n < logs.length; n += 1) {
    into[n] = Math.exp(power * (logs[n] - top));
    sum += into[n];
    squares += into[n] * into[n];
  }
  return (sum * sum) / squares; // draws of equal weight that these are worth
};
const resample = (cloud, weights) => {
  const total = weights.reduce((sum, one) => sum + one, 0), chosen = new Int32Array(cloud.count);
  let sum = weights[0], from = 0;
  for (let n = 0; n < cloud.count; n += 1) {
    const wanted = ((n + 0.5) / cloud.count) * total;
    while (sum < wanted && from < cloud.count - 1) sum += weights[(from += 1)];
    chosen[n] = from;
  }
  cloud.columns = cloud.columns.map((column) => Float64Array.from(chosen, (one) => column[one]));
};
const rootOf = (matrix) => {
  const size = matrix.length, root = matrix.map(() => new Float64Array(size));
  const floor = 1e-12 * matrix.reduce((sum, row, n) => sum + row[n], 0);
  for (let i = 0; i < size; i += 1) {
    for (let j = 0; j <= i; j += 1) {
      let sum = matrix[i][j] + (i === j ? floor : 0);
      for (let n = 0; n < j; n += 1) sum -= root[i][n] * root[j][n];
      root[i][j] = i === j ? Math.sqrt(Math.max(sum, 0)) : root[j][j] ? sum / root[j][j] : 0;
    }
  }
  return root;
};
/* Draws moved a little, so that none stands for many; mean and covariance stay, (8.35). */
const loosened = (cloud) => {
  const { columns, count, luck } = cloud, size = columns.length;
  const means = columns.map((one) => one.reduce((sum, x) => sum + x, 0) / count);
  const sds = columns.map((one, n) => Math.sqrt(one.reduce((sum, x) => sum + (x - means[n]) ** 2, 0) / count) || 1);
  const matrix = columns.map(() => new Float64Array(size));
  for (let i = 0; i < size; i += 1) for (let j = 0; j <= i; j += 1) {
    let sum = 0;
    for (let draw = 0; draw < count; draw += 1) sum += (columns[i][draw] - means[i]) * (columns[j][draw] - means[j]);
    matrix[i][j] = matrix[j][i] = sum / count / sds[i] / sds[j];
  }
  const root = rootOf(matrix), fresh = Math.sqrt(1 - SHRINK * SHRINK), step = new Float64Array(size);
  for (let draw = 0; draw < count; draw += 1) {
    for (let n = 0; n < size; n += 1) step[n] = luck.normal();
    for (let i = 0; i < size; i += 1) {
      let sum = 0;
      for (let j = 0; j <= i; j += 1) sum += root[i][j] * step[j];
      columns[i][draw] = means[i] + SHRINK * (columns[i][draw] - means[i]) + fresh * sds[i] * sum;
    }
  }
};
/* The first group of a bow never shot says where each draw's zero lies, (8.36). */
const place = (cloud, one) => {
  const { rig, luck, columns } = cloud, first = alone(one.up, columns[rig.spread]), doubt = setUp({ ...cloud, zero: -1 }, { ...one, reading_m: meanMark(cloud, one.at) });
  for (let draw = 0; draw < cloud.count; draw += 1) {
    const { centre, variance } = first(columns[rig.spread][draw]), wobble2 = Math.exp(2 * columns[rig.spread + 2][draw]);
    const error = errorOf(cloud, one, draw);
    const up_m = ((centre + Math.sqrt(variance + wobble2 + doubt * doubt) * luck.normal()) * one.distance_m) / (1 + error / one.distance_m);
    const straight = up_m - one.at.bend * up_m * up_m;
    const mark = markOf(cloud, one.at, draw) + (error ? error * told(one.at.slope, columns, 0, draw) : 0);
    columns[cloud.zero][draw] = one.reading_m - straight / gainOf(cloud, one.at, draw) - mark;
  }
};
const weighed = (rig, groups) => {
  const { seen, errors } = observed(rig, groups);
  const needsZero = !rig.pack.is_shot, cloud = cloudOf(rig, errors, needsZero);
  const placed = needsZero ? seen.find((one) => one.up.total) : null;
  const found = { cloud, seen, placed, steps: 0, plain: cloud.count };
  if (placed) place(cloud, placed);
  if (!seen.length) return found;
  const logs = new Float64Array(cloud.count), weights = new Float64Array(cloud.count);
  const enough = KEPT_SHARE * cloud.count;
  for (let power = 0; found.steps < MOST_STEPS;) {
    logsOf(cloud, seen, placed, logs);
    if (!found.steps) found.plain = powered(logs, 1, weights);
    found.steps += 1;
    if (powered(logs, 1 - power, weights) >= enough) break;
    let low = 0, high = 1 - power;
    for (let n = 0; n < 30; n += 1) {
      const middle = 0.5 * (low + high);
      if (powered(logs, middle, weights) >= enough) low = middle; else high = middle;
    }
    powered(logs, low, weights);
    power += low;
    resample(cloud, weights);
    loosened(cloud);
  }
  resample(cloud, weights);
  return found;
};

/* ---- does each group fit, (8.9) ---- */
const robustCentre = (hits, dispersion) => {
  const sorted = [...hits.singles].sort((a, b) => a - b), half = sorted.length >> 1;
  let centre = sorted.length ? (sorted.length % 2 ? sorted[half] : 0.5 * (sorted[half - 1] + sorted[half])) : 0;
  const scale2 = (dispersion / CORE) ** 2, per = 1 / (CENTRE_VARIANCE * dispersion * dispersion);
  for (let turn = 0; turn < 8; turn += 1) {
    let top = 0, sum = 0;
    for (const one of hits.singles) {
      const pull = (FREEDOMS + 1) / (FREEDOMS + (one - centre) ** 2 / scale2) / scale2;
      top += pull * one;
      sum += pull;
    }
    for (const one of hits.several) { top += one.arrows * per * one.angle; sum += one.arrows * per; }
    centre = top / Math.max(sum, 1e-300);
  }
  return centre;
};
const moments = (cloud, of) => {
  const mean = meanOf(cloud, of);
  return { mean, variance: meanOf(cloud, (draw) => (of(draw) - mean) ** 2) };
};
const spreadsOf = (cloud) => [0, 1, 2].map((n) => Math.exp(meanOf(cloud, (draw) => cloud.columns[cloud.rig.spread + n][draw])));
/* How far a sound group may lie up of where it belongs, squared: wobble, what was set, its arrows. */
const ownOf = (cloud, one, spread) => spread[2] ** 2 + setUp(cloud, one) ** 2 + spread[0] ** 2 / one.up.told;
/* What is known of windage and sideways offset after so many groups. */
const sideOf = ({ cloud, seen }, groups) => {
  const spread = spreadsOf(cloud), state = {};
  const rights = seen.slice(0, groups).map((one) => one.right.total && {
    centre: robustCentre(one.right, spread[1]), variance: spread[1] ** 2 / one.right.told, log: 0, distance_m: one.distance_m,
  });
  steered(cloud.rig, rights, spread[2] ** 2, state);
  return state;
};
const checked = (found) => {
  const { cloud, seen, placed } = found, { rig } = cloud, spread = spreadsOf(cloud);
  const least = ODD_CHANCE / (rig.pack.groups + seen.length);
  return seen.map((one, n) => {
    const surprises = [];
    let miss_m = null;
    if (one.up.total) {
      const at = moments(cloud, (draw) => predicted(cloud, one, draw));
      const own2 = ownOf(cloud, one, spread);
      const away = robustCentre(one.up, spread[0]) - at.mean;
      miss_m = away * one.distance_m;
      if (one !== placed) surprises.push(away ** 2 / Math.max(own2 - at.variance, LEAST_LEFT * own2));
    }
    if (one.right.total) {
      const before = sideOf(found, n), per = 1 / one.distance_m, own2 = spread[2] ** 2 + spread[1] ** 2 / one.right.told;
      const centre = robustCentre(one.right, spread[1]);
      const kept = (centre - before.w - per * before.s) ** 2 / (before.ww + 2 * per * before.ws + per * per * before.ss + own2);
      surprises.push(Math.min(kept, centre ** 2 / (MOVED_SD2 + own2)));
    }
    const far2 = surprises.reduce((sum, x) => sum + x, 0);
    const odds = surprises.length === 2 ? Math.exp(-0.5 * far2) : surprises.length ? beyond(far2, 1, 1e9) : 1;
    return { group: one.group, miss_m, chance: odds, is_odd: odds < least };
  });
};

/* ---- the ladder, (8.22), (8.23) ---- */
const farthestOf = (ladder) => {
  if (!ladder.hit_m) return Math.max(Math.min(FIRST_M, ladder.before_m || FIRST_M) * NEARER ** ladder.misses, NEAREST_M);
  if (ladder.misses) return ladder.hit_m;
  return ladder.missed_m ? CAREFUL * ladder.hit_m : Math.max(GROWTH * ladder.hit_m, ladder.before_m);
};
const carriesOf = (ladder) => {
  if (!ladder.hit_m) return 0;
  if (!ladder.missed_m) return ladder.broadheads ? ladder.hit_m : Math.max(GROWTH * ladder.hit_m, ladder.before_m);
  return ladder.hit_m < ladder.missed_m ? ladder.hit_m : ladder.missed_m - SHORT_OF_M;
};
const missedAt = (ladder, distance_m) => {
  const missed_m = Math.min(ladder.missed_m || distance_m, distance_m), misses = ladder.misses + 1;
  if (distance_m > ladder.hit_m + CLOSE_M) return { ...ladder, missed_m, misses };
  return { ...ladder, hit_m: 0, before_m: Math.max(ladder.hit_m, ladder.before_m), missed_m, misses };
};
const climbed = (ladder, groups, checks) => {
  let now = { ...ladder };
  for (const group of groups) {
    const check = checks.find((one) => one.group === group), { distance_m } = group;
    if (isPast(group)) now = missedAt(now, distance_m);
    else if (!check) continue;
    else if (check.is_odd) now = { ...now, hit_m: 0, before_m: Math.max(now.hit_m, now.before_m) };
    else {
      now.fitting_m = Math.max(now.fitting_m, distance_m);
      if (group.arrows.some((one) => !one.bad && ((one.arrows ?? 1) === 1 || one.right_m || one.up_m))) {
        const missed_m = distance_m >= now.missed_m - CLOSE_M ? 0 : now.missed_m;
        now = { ...now, hit_m: Math.max(now.hit_m, distance_m), missed_m, misses: 0 };
      }
    }
  }
  return now;
};

/* All groups of a session, weighed. What comes out is plain data and a cloud of equal draws. */
const update = (rig, groups) => {
  const found = weighed(rig, groups), { cloud, seen, placed, plain, steps } = found, { pack } = rig;
  const checks = checked(found);
  const hasNews = seen.length > 0, why = pack.is_settled ? [] : ["slip"];
  if (hasNews && (steps >= TOO_MANY_STEPS || plain < FEWEST_PLAIN)) why.push("far from home");
  if (checks.some((one) => one.is_odd)) why.push("odd group");
  if (!pack.is_shot && pack.sight.has_arm && hasNews) why.push("arm");
  return {
    rig, cloud, groups, seen, checks, steps, plain, why,
    is_sharp: !why.length,
    is_zeroed: pack.is_shot || Boolean(placed),
    side: sideOf(found, seen.length),
    ladder: climbed(pack.ladder, groups, checks),
  };
};

/* ---- telling ---- */
const share = (sorted, part) => {
  const at = part * (sorted.length - 1), here = Math.min(Math.floor(at), sorted.length - 2);
  return sorted[here] + (at - here) * (sorted[here + 1] - sorted[here]);
};
const columnOf = (cloud, distance_m, pin, every = 1) => {
  const at = basis(cloud.rig, distance_m, pin), column = new Float64Array(Math.floor(cloud.count / every));
  for (let n = 0; n < column.length; n += 1) column[n] = markOf(cloud, at, n * every);
  return column;
};
/* Marks of a pin with their bands, in reading and as impact at the target, (8.6); for the eye every
   other draw will do. */
const marks = (state, distances_m, pin = 1, drawn = null, every = 1) => distances_m.map((distance_m) => {
  const { cloud, rig } = state, column = columnOf(cloud, distance_m, pin, every), tail = 0.5 * (1 - rig.pack.probability);
  const sorted = column.slice().sort();
  const [low_m, reading_m, high_m] = [tail, 0.5, 1 - tail].map((part) => share(sorted, part));
  const gain = meanGain(cloud, basis(rig, distance_m, pin));
  const hits = [low_m, high_m].map((end) => (reading_m - end) * gain);
  if (drawn) drawn.push(column);
  return { distance_m, reading_m, low_m, high_m, gain, impact_low_m: Math.min(...hits), impact_high_m: Math.max(...hits) };
});
/* The same without bands, by means: for a drawing that moves. */
const middles = (state, distances_m, pin = 1) => distances_m.map((distance_m) => {
  const at = basis(state.rig, distance_m, pin);
  return { distance_m, reading_m: meanMark(state.cloud, at) };
});
const allows = (rig, reading_m) => {
  const { direction, far_reading_m, near_reading_m } = rig.pack.sight, run = direction * reading_m;
  if (far_reading_m !== null && run > direction * far_reading_m + 1e-9) return false;
  return near_reading_m === null || run >= direction * near_reading_m - 1e-9;
};
const trustGrid = (rig) => {
  const { unit, unit_m } = rig.pack, grid = [];
  for (let step = 9; step <= FARTHEST[unit]; step += 1) {
    const distance_m = step * unit_m;
    if (distance_m >= NEAREST_TRUSTED_M - 1e-9 && within(rig, distance_m)) grid.push(distance_m);
  }
  return grid;
};
/* How far the bands alone would carry a pin, (8.7): services/trust.py has the same rule. */
const carried = (state, pin = 1, grid = trustGrid(state.rig)) => {
  const { rig, cloud } = state, { tolerance_m, probability } = rig.pack, ever = new Uint8Array(cloud.count);
  let trusted_m = 0;
  for (const distance_m of grid) {
    const drawn = [], [one] = marks(state, [distance_m], pin, drawn);
    if (!allows(rig, one.reading_m)) continue;
    const gain = Math.abs(one.gain);
    if (Math.max(one.reading_m - one.low_m, one.high_m - one.reading_m) * gain > tolerance_m) break;
    let off = 0;
    for (let draw = 0; draw < cloud.count; draw += 1) {
      if (Math.abs(drawn[0][draw] - one.reading_m) * gain > tolerance_m) ever[draw] = 1;
      off += ever[draw];
    }
    if (off / cloud.count > 1 - probability) break;
    trusted_m = distance_m;
  }
  return rig.pack.most_m ? Math.min(trusted_m, rig.pack.most_m[pin - 1]) : trusted_m;
};
/* Trusted distance of a pin [m]; null without a fitting group, or where home must tell. */
const trusted = (state, pin = 1, grid = trustGrid(state.rig)) => {
  const { ladder, rig } = state;
  if (!state.groups.length && state.is_sharp) return rig.pack.trusted_m[pin - 1] || null; // as home told it
  if (!ladder.fitting_m || !state.is_sharp || !state.is_zeroed) return null;
  const most_m = Math.min(carried(state, pin, grid), carriesOf({ ...ladder, hit_m: ladder.fitting_m })) + CLOSE_M;
  return Math.max(0, ...grid.filter((one) => one <= most_m)) || null;
};

/* ---- the next step, (8.14), (8.22) ---- */
const phi = (x) => {
  const t = 1 / (1 + 0.3275911 * (Math.abs(x) / Math.SQRT2));
  const rest = t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))));
  const tail = 0.5 * rest * Math.exp(-0.5 * x * x);
  return x > 0 ? 1 - tail : tail;
};
const inside = (half, off, sd) => phi((half - off) / sd) - phi((-half - off) / sd);
/* Chance that an arrow shot with the likeliest mark lands on a butt aimed at in its middle. */
const onButt = (state, distance_m, reading_m, butt, right_rad = 0) => {
  const { cloud, rig } = state, at = basis(rig, distance_m, 1);
  const one = { at, distance_m, reading_m, error: -1 }, doubt = setUp(cloud, one), { count } = cloud;
  const { side } = state, per = 1 / distance_m;
  const side2 = side.ww + 2 * per * side.ws + per * per * side.ss, middle = side.w + per * side.s - right_rad;
  let sum = 0;
  for (let draw = 0; draw < count; draw += 1) {
    const [up, right, wobble] = [0, 1, 2].map((n) => Math.exp(cloud.columns[rig.spread + n][draw]));
    const even = ((((draw * 1543) % count) * 2 + 1) / count - 1) * SET_BY_EYE_M;
    const off = predicted(cloud, one, draw) + (state.is_zeroed ? 0 : even / rig.pack.sight.radius_m);
    sum += inside(0.5 * butt.height_m * per, off, Math.hypot(up, wobble, doubt))
      * inside(0.5 * butt.width_m * per, middle, Math.sqrt(right * right + wobble * wobble + side2));
  }
  return sum / count;
};
const places = (rig, wanted_m) => {
  const { unit_m } = rig.pack, found = [NEAREST_M];
  for (let step = 1; step * unit_m < wanted_m - CLOSE_M; step += step < 30 ? 1 : 5) if (step * unit_m > NEAREST_M) found.push(step * unit_m);
  return [...found, wanted_m].filter((one) => within(rig, one));
};
const isReached = (state, column) => column.filter((one) => allows(state.rig, one)).length >= REACHED * column.length;
/* How far off its likeliest mark the last group that fits was dialled [m]; 0 within a millimetre. */
const dialledOff = (state) => {
  const last = [...state.checks].reverse().find((one) => !one.is_odd)?.group;
  if (!last) return state.rig.pack.ladder.off_m ?? 0;
  const off_m = last.reading_m - share(columnOf(state.cloud, last.distance_m, last.pin ?? 1).sort(), 0.5);
  return Math.abs(off_m) > LEAST_OFF_M ? off_m : 0;
};
/* The one next group, or why there is none: "asks", "misses", "home", "trusted", "butt", "place".
   here_m: where groups may be shot, none for anywhere; nearer one may walk where a rung is missing. */
const next = (state, butt, wanted_m = state.rig.pack.wanted_m, trusted_m = trusted(state), here_m = null) => {
  const { ladder, rig, groups } = state;
  if (rig.pack.asks.length && !ladder.hit_m && !ladder.before_m) return { kind: "asks" };
  if (!rig.pack.is_settled || state.checks.some((one) => one.is_odd)) return { kind: "home" };
  if (ladder.misses >= 3) return { kind: "misses" };
  if (trusted_m !== null && trusted_m >= wanted_m - CLOSE_M) return { kind: "trusted" };
  // While a group of home may be wrong, no farther than arrows have hit since.
  const farthest_m = rig.pack.most_m && ladder.hit_m ? Math.min(farthestOf(ladder), ladder.hit_m) : farthestOf(ladder), last = state.seen.at(-1);
  const moved = last && last.right.total ? correction(state, last.group).right.shift_m / last.distance_m : 0;
  const anywhere = places(rig, wanted_m), climbs = (distance_m) => distance_m > ladder.hit_m + CLOSE_M;
  const own = here_m ? [...here_m].sort((a, b) => a - b).filter((one) => one <= wanted_m + CLOSE_M && within(rig, one)) : anywhere;
  const walks = here_m ? anywhere.filter((one) => one < Math.max(0, ...here_m) && !own.some((other) => Math.abs(other - one) < CLOSE_M)) : [];
  const openWith = (short_m, there = own) => {
    const open = [];
    for (const distance_m of [...there].reverse()) {
      if (distance_m > farthest_m + CLOSE_M) continue;
      const drawn = [], [mark] = marks(state, [distance_m], 1, drawn), reading_m = mark.reading_m + short_m;
      if (!isReached(state, drawn[0]) || !allows(rig, reading_m)) continue;
      // Whether the windage was turned rightly is seen as far out as arrows have hit, (8.25).
      const turned = distance_m > ladder.hit_m + CLOSE_M ? 0 : -moved;
      const safe = onButt(state, distance_m, reading_m, butt, turned);
      if (safe < SAFE) continue;
      const shots = groups.filter((one) => Math.abs(one.distance_m - distance_m) < 0.05 * distance_m).length;
      open.push({ kind: "shoot", distance_m, mark: { ...mark, reading_m }, chance: safe, shots });
      if (!shots || ladder.misses) break;
    }
    return open;
  };
  // After arrows past the butt part of the correction is dialled, not the whole again, (8.24).
  const off_m = ladder.misses ? dialledOff(state) : 0;
  let open = [], isWalk = false;
  if (off_m) {
    for (let part = 0.5 ** ladder.misses; !open.length && part >= LEAST_PART; part *= 0.5) {
      open = openWith((1 - part) * off_m);
      isWalk = !open.length;
      if (isWalk) open = openWith((1 - part) * off_m, walks);
    }
  }
  const isPart = open.length > 0;
  if (!isPart) open = openWith(0);
  isWalk = isPart && isWalk;
  // Where the places at hand bring nobody farther, one walks nearer than they stand; else it is told.
  const isSpent = !open.length || (!ladder.misses && open.every((one) => one.shots > 0 && !climbs(one.distance_m)));
  const walked = here_m && isSpent ? openWith(0, walks).filter((one) => !open.length || climbs(one.distance_m)) : [];
  if (here_m && isSpent && !walked.length && open.every((one) => one.shots >= ENOUGH_SHOTS)) {
    return { kind: anywhere.some((one) => climbs(one) && one <= farthest_m + CLOSE_M) ? "place" : "butt", distance_m: farthest_m };
  }
  if (walked.length) { open = walked; isWalk = true; }
  if (!open.length) return { kind: "butt", distance_m: farthest_m };
  const fewest = Math.min(...open.map((one) => one.shots)), chosen = open.find((one) => one.shots === fewest);
  return { ...chosen, is_walk: isWalk, is_part: isPart, is_first: !ladder.hit_m, arrows: ladder.hit_m ? 3 : 1 };
};

/* ---- the correction, (6.6), (6.12), (6.14) ---- */
const logGamma = (x) => {
  const terms = [76.18009172947146, -86.50532032941677, 24.01409824083091, -1.231739572450155, 1.208650973866179e-3, -5.395239384953e-6];
  const sum = terms.reduce((total, one, n) => total + one / (x + 1 + n), 1.000000000190015);
  return (x + 0.5) * Math.log(x + 5.5) - x - 5.5 + Math.log((2.5066282746310005 * sum) / x);
};
/* Chance that an F ratio of one or two axes over a variance of some freedoms is at least so large. */
const beyond = (ratio, axes, freedoms) => {
  if (axes === 2) return (1 + (2 * ratio) / freedoms) ** (-0.5 * freedoms);
  const a = 0.5 * freedoms, b = 0.5, x = freedoms / (freedoms + ratio);
  const continued = (p, q, y) => {
    let c = 1, d = 1 / Math.max(1 - ((p + q) * y) / (p + 1), 1e-300), found = d;
    for (let m = 1; m < 400; m += 1) {
      for (const top of [(m * (q - m) * y) / ((p + 2 * m - 1) * (p + 2 * m)), (-(p + m) * (p + q + m) * y) / ((p + 2 * m) * (p + 2 * m + 1))]) {
        d = 1 / (1 + top * d);
        c = 1 + top / c;
        found *= c * d;
      }
      if (Math.abs(c * d - 1) < 1e-14) break;
    }
    return found;
  };
  if (x <= 0 || x >= 1) return x <= 0 ? 0 : 1;
  const front = Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log1p(-x));
  return x < (a + 1) / (a + b + 2) ? (front * continued(a, b, x)) / a : 1 - (front * continued(b, a, 1 - x)) / b;
};
const scatterOf = (state) => {
  const known = state.rig.pack.scatter;
  let sum = known.is_of_arrows ? known.variance_rad2 * known.freedoms : 0, freedoms = known.is_of_arrows ? known.freedoms : 0;
  for (const { up, right } of state.seen) for (const { singles } of [up, right]) {
    if (singles.length < 2) continue;
    const mean = singles.reduce((total, one) => total + one, 0) / singles.length;
    sum += singles.reduce((total, one) => total + (one - mean) ** 2, 0);
    freedoms += singles.length - 1;
  }
  if (freedoms < 2) return known;
  return { variance_rad2: Math.max(sum / freedoms, LEAST_VARIANCE), freedoms, wobble_rad: known.wobble_rad };
};
const wholeClicks = (shift_m, click_m) => {
  const clicks = Math.abs(shift_m) / click_m, nearest = clicks > 0.5 + 1e-9 ? Math.floor(clicks + 0.5) : 0;
  return nearest ? Math.sign(shift_m) * nearest : 0;
};
const moveOf = (miss_m, believed, odds, click_m) => {
  const left = (reason, clicks) => ({ miss_m, share: believed, shift_m: 0, clicks, reason });
  if (miss_m === null) return left("not measured", null);
  if (odds > OFF_CHANCE) return left("within chance", click_m === null ? null : 0);
  const shift_m = -believed * miss_m;
  if (click_m === null) return { miss_m, share: believed, shift_m, clicks: null, reason: "off the aim" };
  const clicks = wholeClicks(shift_m, click_m);
  return clicks ? { miss_m, share: believed, shift_m: clicks * click_m, clicks, reason: "off the aim" } : left("under half a click", 0);
};
/* What to turn after a group; shifts of the impact, right and up positive. */
const correction = (state, group) => {
  const { rig, cloud } = state, { sight } = rig.pack, { distance_m, reading_m } = group;
  const known = scatterOf(state), sides = ["right_m", "up_m"].map((side) => axis(along(group, side)));
  const variance_m2 = known.variance_rad2 * distance_m ** 2, wobble2_m2 = (known.wobble_rad * distance_m) ** 2;
  const misses = sides.map((one) => (one.total ? one.middle * distance_m : null));
  const ratios = sides.map((one, n) => (one.total ? misses[n] ** 2 / (variance_m2 / one.total + wobble2_m2) : null));
  const seen = ratios.filter((one) => one !== null), axes = seen.length;
  const both = axes ? beyond(seen.reduce((sum, one) => sum + one, 0) / axes, axes, known.freedoms) : 1;
  const odds = ratios.map((one) => (one === null ? 1 : Math.max(both, beyond(one, 1, known.freedoms))));
  const arrows = arrowsOf(group), effective = arrows / (1 + (arrows * known.wobble_rad ** 2) / known.variance_rad2);
  const doubt2 = DOUBT_IN_DISPERSIONS ** 2 * (known.variance_rad2 + known.wobble_rad ** 2);
  const believed = effective / (effective + known.variance_rad2 / doubt2);
  const at = basis(rig, distance_m, group.pin ?? 1), gain = meanGain(cloud, at);
  const mark = meanMark(cloud, at);
  const rise = (reading) => { const w = gain * (reading - mark); return w + at.bend * w * w; };
  const readingFor = (shift_m) => {
    const up_m = rise(reading_m) + shift_m, root = 1 + 4 * at.bend * up_m;
    return mark + (2 * up_m) / (1 + Math.sqrt(Math.max(root, 0))) / gain;
  };
  const upClick = () => {
    if (sight.up_click_m === null || misses[1] === null) return null;
    const shift_m = -believed * misses[1], way_m = readingFor(shift_m) - reading_m;
    return sight.up_click_m * Math.abs(Math.abs(way_m) < sight.up_click_m ? gain : shift_m / way_m);
  };
  const per = -sight.radius_m / distance_m, rightClick = sight.right_click_m === null ? null : sight.right_click_m / Math.abs(per);
  const [right, up] = [moveOf(misses[0], believed, odds[0], rightClick), moveOf(misses[1], believed, odds[1], upClick())];
  const clicks = up.clicks === null ? null : sight.direction * up.clicks;
  const new_m = clicks !== null ? reading_m + clicks * sight.up_click_m : up.shift_m ? readingFor(up.shift_m) : reading_m;
  const lies_m = arrows ? distance_m * Math.sqrt(known.variance_rad2 / effective) : 0;
  const gains = moments(cloud, (draw) => gainOf(cloud, at, draw));
  return {
    right, up, reading_m: new_m, by_reading_m: new_m - reading_m, reading_clicks: clicks,
    pin_up: -Math.sign(up.shift_m) + 0, pin_right_m: right.shift_m * per + 0, right_clicks: right.clicks === null ? null : -right.clicks + 0,
    half_m: clicks === null ? IN_BAND * Math.hypot(((new_m - reading_m) * Math.sqrt(gains.variance)) / gain, lies_m / gain) : 0,
    right_half_m: right.clicks === null ? IN_BAND * Math.abs(per) * lies_m : 0,
    is_past_limit: !allows(rig, new_m),
  };
};

/* ---- while a finger drags: from a state without the group, quickly, for the eye alone ---- */
const dragged = (state, group) => {
  const { rig } = state, { seen: [one] } = observed({ ...rig, pack: { ...rig.pack, distances: [] } }, [group]);
  if (!one || !one.up.total) return state;
  const cloud = { ...state.cloud, columns: [...state.cloud.columns], luck: chance(1) };
  if (!state.is_zeroed) {
    cloud.zero = cloud.zero < 0 ? cloud.columns.push(new Float64Array(cloud.count)) - 1 : cloud.zero;
    cloud.columns[cloud.zero] = new Float64Array(cloud.count);
    place(cloud, one);
    return { ...state, cloud, is_zeroed: true, seen: [...state.seen, one] };
  }
  const spread = spreadsOf(cloud), centre = robustCentre(one.up, spread[0]), own2 = ownOf(cloud, one, spread);
  const said = Float64Array.from({ length: cloud.count }, (_, draw) => predicted(cloud, one, draw)), mean = said.reduce((a, b) => a + b, 0) / cloud.count;
  let variance = 0;
  for (const x of said) variance += (x - mean) ** 2 / cloud.count;
  const root = Math.sqrt(own2), away = Float64Array.from(said, (x) => (centre - x + root * cloud.luck.normal()) / (variance + own2));
  cloud.columns = cloud.columns.map((column, n) => {
    if (n >= rig.spread && n < rig.spread + 3) return column; // spreads wait for the finger
    let both = 0;
    for (let draw = 0; draw < cloud.count; draw += 1) both += (column[draw] * (said[draw] - mean)) / cloud.count;
    return column.map((x, draw) => x + both * away[draw]);
  });
  return { ...state, cloud, seen: [...state.seen, one] };
};

/* ---- in a worker: what comes back is plain data, made whole again by revived() ---- */
const stripped = ({ cloud, checks, groups, steps, plain, why, is_sharp, is_zeroed, side, ladder }) => ({
  groups, steps, plain, why, is_sharp, is_zeroed, side, ladder,
  checks: checks.map(({ group, ...rest }) => ({ ...rest, at: groups.indexOf(group) })),
  cloud: { columns: cloud.columns, zero: cloud.zero },
});
const revived = (rig, state) => {
  const { seen } = observed(rig, state.groups), checks = state.checks.map(({ at, ...rest }) => ({ ...rest, group: state.groups[at] }));
  return { ...state, rig, seen, checks, cloud: { rig, count: rig.count, luck: chance(1), errors: rig.spread + 3, ...state.cloud } };
};
if (typeof DedicatedWorkerGlobalScope !== "undefined" && globalThis instanceof DedicatedWorkerGlobalScope) {
  let rig = null;
  globalThis.onmessage = ({ data: { id, pack, groups } }) => {
    if (pack) rig = opened(pack);
    globalThis.postMessage({ id, state: stripped(update(rig, groups)) });
  };
}

export { opened, update, revived, dragged, marks, middles, trusted, next, correction, readingOf, dialledOf, allows, within, isPast };
