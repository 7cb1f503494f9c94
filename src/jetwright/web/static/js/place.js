// Where an answer takes away what had the focus, the stop that now stands in its place has it: nobody begins at the top again.
(() => {
  "use strict";

  const STOPS = "main a[href], main button:not([disabled]), main select, main summary";
  const stops = () => [...document.querySelectorAll(STOPS)].filter((one) => one.getClientRects().length > 0 && one.tabIndex >= 0);
  let place = -1;

  document.addEventListener("htmx:beforeSwap", () => {
    const now = document.activeElement;
    if (now && now !== document.body) {
      place = stops().filter((one) => one.compareDocumentPosition(now) & Node.DOCUMENT_POSITION_FOLLOWING).length;
    }
  });
  document.addEventListener("htmx:afterSettle", () => {
    if (place >= 0 && document.activeElement === document.body) {
      const found = stops();
      found[Math.min(place, found.length - 1)]?.focus();
    }
    place = -1;
  });
})();
