/* True size on a screen: a bank card held against it says how many points are a millimetre, which
   is kept for this screen. Without this file the preview has true proportions and no size.
   Source: ISO/IEC 7810 ID-1, a card of 85.60 mm by 53.98 mm (from memory). */
"use strict";
(() => {
  const CARD_MM = [53.98, 85.6]; // upright: a phone is seldom as wide as a card is long
  const FINEST = 0.25, USUAL = 96 / 25.4; // points of CSS, and of them a millimetre where nobody set it
  const byId = (id) => document.getElementById(id);
  const box = byId("true-size"), slide = byId("card-size"), card = byId("card");
  if (!box) return;
  // A screen is known by its size alone; browsers tell no more of it.
  const key = () => `tapewright-screen-${screen.width}x${screen.height}`;
  const recall = () => {
    try {
      const kept = JSON.parse(localStorage.getItem(key()));
      return kept && kept.dots > 1 && kept.dots < 100 ? kept : null;
    } catch { return null; }
  };
  const keep = (kept) => {
    try { localStorage.setItem(key(), JSON.stringify(kept)); } catch { /* a private window has none */ }
  };
  // Dots of the screen are kept, since enlarging a page changes how many of them are a point.
  const points = (kept) => kept.dots / devicePixelRatio;
  const frame = (high) => {
    card.style.height = `${high}px`;
    card.style.width = `${(high * CARD_MM[0]) / CARD_MM[1]}px`;
    slide.setAttribute("aria-valuetext", `${high} points high`);
  };
  const show = () => {
    const kept = recall(), pinched = window.visualViewport && Math.abs(visualViewport.scale - 1) > 0.001;
    const isTrue = kept !== null && kept.on;
    for (const picture of document.querySelectorAll("#preview img[data-high-mm]")) {
      const { wideMm, highMm } = picture.dataset, per = isTrue ? points(kept) : 0;
      picture.classList.toggle("true", isTrue);
      picture.style.width = isTrue ? `${wideMm * per}px` : "";
      picture.style.height = isTrue ? `${highMm * per}px` : "";
    }
    for (const told of document.querySelectorAll("#preview .size-told")) {
      told.dataset.other ??= told.textContent;
      told.textContent = !isTrue ? told.dataset.other : pinched ? box.dataset.pinched : box.dataset.true;
    }
    byId("true-on").checked = isTrue;
    byId("true-on").disabled = kept === null;
    byId("card-told").textContent = kept === null ? "" : box.dataset.kept;
  };
  const put = (high) => {
    const [low, most] = [Number(slide.min), Number(slide.max)];
    slide.value = Math.min(most, Math.max(low, high));
    frame(Number(slide.value));
  };
  box.addEventListener("toggle", () => {
    const kept = recall();
    put(CARD_MM[1] * (kept ? points(kept) : USUAL));
  });
  slide.addEventListener("input", () => frame(Number(slide.value)));
  for (const [id, way] of [["card-less", -1], ["card-more", 1]]) {
    byId(id).addEventListener("click", () => put(Number(slide.value) + way * FINEST));
  }
  byId("card-fits").addEventListener("click", () => {
    keep({ dots: (Number(slide.value) / CARD_MM[1]) * devicePixelRatio, on: true });
    show();
  });
  byId("true-on").addEventListener("change", (event) => {
    keep({ ...recall(), on: event.target.checked });
    show();
  });
  new MutationObserver(show).observe(box.parentElement, { childList: true }); // another preview
  addEventListener("resize", show); // another screen, or a page enlarged
  if (window.visualViewport) visualViewport.addEventListener("resize", show);
  box.hidden = false;
  show();
})();
