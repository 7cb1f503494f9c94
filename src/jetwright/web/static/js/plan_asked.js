// While a question is on its way, what stands there is dim and cannot be acted on; one that fails leaves nothing of itself.
document.addEventListener("alpine:init", () => {
  "use strict";

  const asks = (event) => event.target.closest("#what-if") || event.detail.target?.id === "answer";
  const same = (one) => one.value === one.defaultValue;

  // Enter in a field is a change and a submit: the second of the two has nothing to ask.
  const asked = (event) => {
    const { triggeringEvent, elt } = event.detail;
    if (elt.id !== "what-if" || triggeringEvent?.type !== "submit" || triggeringEvent.submitter?.name) return false;
    return same(elt.elements.target) && [...elt.querySelectorAll("option")].every((one) => one.selected === one.defaultSelected);
  };

  // What was pressed stays under the finger, however much longer or shorter the answer is above it.
  const top = (id) => document.getElementById(id)?.getBoundingClientRect().top;

  Alpine.data("asked", () => ({
    waiting: false,
    lost: "",
    pressed: "",
    was: 0,
    hears: {
      "x-on:htmx:config-request"(event) {
        if (asked(event)) event.preventDefault();
      },
      "x-on:htmx:before-send"(event) {
        if (!asks(event)) return;
        this.waiting = true;
        this.lost = "";
      },
      "x-on:htmx:before-swap"(event) {
        const one = document.activeElement;
        this.pressed = asks(event) && one?.closest("#what-if") ? one.id : "";
        this.was = top(this.pressed);
      },
      "x-on:htmx:after-settle"() {
        const now = top(this.pressed);
        if (this.pressed && now !== undefined) scrollBy({ top: now - this.was, behavior: "instant" });
        this.pressed = "";
      },
      "x-on:htmx:after-request"(event) {
        if (!asks(event)) return;
        this.waiting = false;
        const { status } = event.detail.xhr;
        if ((status >= 200 && status < 400) || status === 409 || status === 422) return;
        document.getElementById("what-if").reset();
        this.lost = document.getElementById("stay").dataset.lost;
      },
    },
  }));
});
