/* Codes: a text as codes to scan, one after another, for whoever has no line. What they hold is told in
   faces/web/phone_sync/scanned_codes.py, which puts them together again. */
"use strict";
window.tapewrightCodes = (text, encoder) => {
  const byId = (id) => document.getElementById(id), SVG = "http://www.w3.org/2000/svg";
  const LETTERS = 160;  /* of a code: read from a phone's screen at arm's length */
  const crc32 = (bytes) => {
    let sum = 0xffffffff;
    for (const byte of bytes) {
      sum ^= byte;
      for (let bit = 0; bit < 8; bit += 1) sum = (sum >>> 1) ^ (sum & 1 ? 0xedb88320 : 0);
    }
    return ((sum ^ 0xffffffff) >>> 0).toString(16).padStart(8, "0");
  };
  const inLetters = (bytes) => btoa(Array.from(bytes, (one) => String.fromCharCode(one)).join(""))
    .replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
  const frames = async () => {
    const bytes = new TextEncoder().encode(await text());
    let packed = bytes, packing = "p";
    if ("CompressionStream" in window) {
      const stream = new Blob([bytes]).stream().pipeThrough(new CompressionStream("deflate-raw"));
      packed = new Uint8Array(await new Response(stream).arrayBuffer());
      packing = "d";
    }
    const letters = inLetters(packed), total = Math.ceil(letters.length / LETTERS), sum = crc32(bytes);
    return Array.from({ length: total }, (_, n) => (
      `TAPEWRIGHT:${n + 1}/${total}:${sum}:${packing}:${letters.slice(n * LETTERS, (n + 1) * LETTERS)}`));
  };
  let shown = [], at = 0, encode = null;
  const draw = () => {
    const { data, size } = encode(shown[at], { ecc: "M", border: 4 });
    const sheet = document.createElementNS(SVG, "svg"), path = document.createElementNS(SVG, "path");
    const ground = document.createElementNS(SVG, "rect");
    let cells = "";
    data.forEach((row, y) => row.forEach((dark, x) => { if (dark) cells += `M${x} ${y}h1v1h-1z`; }));
    sheet.setAttribute("viewBox", `0 0 ${size} ${size}`);
    sheet.setAttribute("role", "img");
    sheet.setAttribute("aria-label", `Code ${at + 1} of ${shown.length}`);
    sheet.setAttribute("shape-rendering", "crispEdges");
    ground.setAttribute("width", size);
    ground.setAttribute("height", size);
    ground.setAttribute("fill", "#fff");
    path.setAttribute("d", cells);
    path.setAttribute("fill", "#000");
    sheet.append(ground, path);
    byId("code").replaceChildren(sheet);
    byId("codes-title").textContent = `Code ${at + 1} of ${shown.length}`;
    byId("code-before").disabled = at === 0;
    byId("code-next").disabled = at === shown.length - 1;
  };
  byId("as-codes").addEventListener("click", async () => {
    encode ??= await encoder();
    shown = await frames();
    at = 0;
    byId("code-text").value = shown.join("\n");
    byId("codes").hidden = false;
    draw();
    byId("codes").scrollIntoView({ block: "start" });
  });
  byId("code-before").addEventListener("click", () => { at -= 1; draw(); });
  byId("code-next").addEventListener("click", () => { at += 1; draw(); });
};
