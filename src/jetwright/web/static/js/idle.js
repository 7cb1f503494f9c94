// Locks the page after some minutes in which nobody touched it; until then tells the server, once a minute, that somebody did.
(() => {
  const told = document.currentScript.dataset;
  const idle = 60000 * Number(told.minutes);
  let said = Date.now();
  const acted = () => {
    const now = Date.now();
    localStorage.setItem("acted", String(now)); // what is done in one tab counts in all
    if (now - said > 60000) {
      said = now;
      fetch(told.here).then((answer) => { if (answer.redirected) leave(); }, () => {});
    }
  };
  const leave = () => {
    const next = encodeURIComponent(location.pathname + location.search);
    location.assign(`${told.unlock}?next=${next}`);
  };
  const lock = () => {
    const token = JSON.parse(document.body.getAttribute("hx-headers"))["x-csrftoken"];
    fetch(told.lock, { method: "POST", headers: { "X-CSRFToken": token } }).finally(leave);
  };
  for (const kind of ["pointerdown", "keydown", "wheel", "touchmove"]) {
    addEventListener(kind, acted, { capture: true, passive: true });
  }
  localStorage.setItem("acted", String(said));
  setInterval(() => {
    if (Date.now() - Number(localStorage.getItem("acted")) > idle) lock();
  }, 5000);
})();
