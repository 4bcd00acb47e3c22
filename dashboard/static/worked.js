// Works out what a form comes to while somebody types: its part marked data-works-out names the address that answers.
// Without this script the form's own button does the same. Where the jar is too small, a larger one is chosen, unless
// somebody chose the jar.
"use strict";
(() => {
  const PAUSE_MS = 250;
  const shown = document.querySelector("[data-works-out]");
  const form = shown?.closest("form");
  let timer = 0;
  let asking = null;
  let chosen = shown?.querySelector("[data-fits]") !== null;

  function fits(answer) {
    const size = answer.querySelector("[data-fits]")?.dataset.fits;
    const chip = chosen || !size ? null : form.querySelector(`[name="size"][value="${size}"]`);
    if (!chip || chip.checked) return true;
    chip.checked = true;
    return false;
  }

  async function workOut() {
    const said = new URLSearchParams(new FormData(form));
    said.delete("mark");
    asking?.abort();
    asking = new AbortController();
    const answer = await fetch(`${shown.dataset.worksOut}?${said}`, { signal: asking.signal }).catch(() => null);
    if (!answer?.ok || answer.redirected) return; // whoever is let in no more is led to the login
    const next = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (fits(next)) shown.replaceChildren(...next.body.childNodes);
    else workOut();
  }

  form?.addEventListener("click", (event) => {
    if (event.target.name === "size") chosen = true; // a tap on the jar that was chosen already is no input
  });
  function unmark(field) {
    document.getElementById(`${field.name}-wrong`)?.remove();
    field.removeAttribute("aria-invalid");
    if (document.getElementById(`${field.name}-hint`)) field.setAttribute("aria-describedby", `${field.name}-hint`);
    else field.removeAttribute("aria-describedby");
  }

  form?.addEventListener("input", (event) => {
    if (event.target.getAttribute("aria-invalid")) unmark(event.target);
    if (["size", "other_size"].includes(event.target.name)) chosen = true;
    clearTimeout(timer);
    timer = setTimeout(workOut, PAUSE_MS);
  });
})();
