// A button beside each password and PIN that shows what was typed, and hides it again.
for (const button of document.querySelectorAll("button[data-shows]")) {
  const input = document.getElementById(button.dataset.shows);
  button.hidden = false;
  button.addEventListener("click", () => {
    const hidden = input.type === "password";
    input.type = hidden ? "text" : "password";
    button.setAttribute("aria-pressed", String(hidden));
  });
  input.form.addEventListener("submit", () => { input.type = "password"; });
}
