/* Numbers as people type them, for what a page must read by itself: the notebook's own rules
   (words/quantity_parser.py, words/unit_spellings.py). Decimal comma or point, a true minus sign, fractions, thin
   spaces between thousands, any spelling of a unit of length. What it cannot read is null, never 0.
   A plain script for plain scripts and modules alike: globalThis.tapewrightNumbers. */
"use strict";
(() => {
  const MOST = 2000, NEAREST_M = 1, FARTHEST_M = 200;  // of a list of distances
  const METRES = { mm: 1e-3, cm: 1e-2, m: 1, km: 1e3, in: 0.0254, ft: 0.3048, yd: 0.9144 };
  const SPELLED = {
    mm: ["millimetre", "millimetres", "millimeter", "millimeters"], cm: ["centimetre", "centimetres", "centimeter", "centimeters"],
    m: ["metre", "metres", "meter", "meters"], km: [], in: ["inch", "inches", "ins", "in.", "\"", "\u2033", "\u201d", "''"],
    ft: ["foot", "feet", "ft.", "'", "\u2032", "\u2019"], yd: ["yard", "yards", "yds", "yd."],
  };
  const NAMES = new Map(Object.entries(SPELLED).flatMap(([unit, all]) => [unit, ...all].map((one) => [one, unit])));
  const EIGHTHS = { "\u00bd": "1/2", "\u00bc": "1/4", "\u00be": "3/4", "\u215b": "1/8", "\u215c": "3/8", "\u215d": "5/8", "\u215e": "7/8" };
  const tidy = (text) => String(text ?? "")
    .replace(/[\u00a0\u2007\u2009\u200a\u202f\t]/g, " ").replace(/[\u2212\u2013]/g, "-")
    .replace(/[\u00bc-\u00be\u215b-\u215e]/g, (one) => ` ${EIGHTHS[one]}`).trim();
  const FRACTION = /^([-+]?)(?:(\d+)[ -])?(\d+)\/(\d+)(?![\d.,/])/;
  const NUMBER = /^[-+]?(?:\d{1,3}(?: \d{3})+(?:[.,]\d+)?|\d+(?:[.,]\d*)?|[.,]\d+)(?:e[-+]?\d{1,4})?(?![\d.,/])/i;
  /* A number and what stands behind it; null where none stands. */
  const split = (text) => {
    const plain = tidy(text), part = FRACTION.exec(plain), whole = part ? null : NUMBER.exec(plain);
    if (!part && !whole) return null;
    const [, sign, units, top, bottom] = part ?? [];
    const value = part ? Number(`${sign}1`) * (Number(units ?? 0) + Number(top) / Number(bottom))
      : Number(whole[0].replaceAll(" ", "").replace(",", "."));
    return Number.isFinite(value) ? { value, unit: plain.slice((part ?? whole)[0].length).trim() } : null;
  };
  /* A plain number; null where a unit stands behind it, or anything else. */
  const numberOf = (text) => {
    const found = split(text);
    return found && !found.unit ? found.value : null;
  };
  const unitCalled = (name) => {
    const tight = tidy(name).replaceAll(" ", "");
    return NAMES.get(tight) ?? NAMES.get(tight.toLowerCase()) ?? null;
  };
  /* A length with the unit it was typed in, or that is usual where none was. */
  const lengthOf = (text, usual) => {
    const found = split(text), unit = found && (found.unit ? unitCalled(found.unit) : usual);
    return unit ? { metres: found.value * METRES[unit], unit } : null;
  };
  /* The same as a number of the usual unit. */
  const inUnit = (text, usual) => {
    const found = split(text);
    if (found && !found.unit) return found.value;
    const length = lengthOf(text, usual);
    return length && length.metres / METRES[usual];
  };
  /* What stands at the end of a text as a unit; empty for none. */
  const unitIn = (text) => /[^\d.,\s]+\.?\s*$/.exec(tidy(text))?.[0].trim() ?? "";
  const isFar = (unit) => METRES[unit] >= METRES.ft;  // a distance, and no length on a sight
  /* Distances as "18,30 m" or "10:60:5 yd", in metres, from near to far; null where they cannot be read. */
  const distancesOf = (text, usual) => {
    const by = text.includes(":") ? ":" : text.includes(";") ? ";" : ",", parts = text.split(by);
    const last = split(parts.at(-1))?.unit, unit = last ? unitCalled(last) : usual;
    const found = parts.map((one) => (unit ? lengthOf(one, unit)?.metres : null) ?? null);
    if (found.some((one) => one === null)) return null;
    const [from, to, step] = found, isSpan = by === ":";
    if (isSpan && !(found.length === 3 && step > 0 && to >= from)) return null;
    const count = isSpan ? Math.min(Math.floor((to - from) / step + 1e-9), MOST) + 1 : found.length;
    const all = isSpan ? Array.from({ length: count }, (_, n) => from + n * step) : found;
    // "20,5" is no list: a decimal comma, told by the order.
    const isRising = all.every((one, n) => n === 0 || one > all[n - 1]);
    return count <= MOST && isRising && all[0] >= NEAREST_M && all.at(-1) <= FARTHEST_M ? all : null;
  };
  globalThis.tapewrightNumbers = { split, numberOf, lengthOf, inUnit, unitIn, isFar, distancesOf };
})();
