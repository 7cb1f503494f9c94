// Fields that belong to one choice alone stand there with that choice; one in which something stands, or is wrong, stays.
for (const lot of document.querySelectorAll("[data-asks]")) {
  const asks = document.getElementsByName(lot.dataset.asks)[0];
  const fields = [...lot.querySelectorAll("input")];
  const show = () => {
    const said = fields.some((one) => one.value !== "" || one.hasAttribute("aria-invalid"));
    lot.hidden = asks.value !== lot.dataset.is && !said;
  };
  asks.addEventListener("change", show);
  show();
}
