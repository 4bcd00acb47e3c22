// Works out what a form comes to while somebody types: its part marked data-works-out names the address that answers.
// Without this script the form's own button does the same.
"use strict";
(() => {
  const PAUSE_MS = 250;
  const shown = document.querySelector("[data-works-out]");
  const form = shown?.closest("form");
  let timer = 0;
  let asking = null;

  async function workOut() {
    const said = new URLSearchParams(new FormData(form));
    said.delete("mark");
    asking?.abort();
    asking = new AbortController();
    const answer = await fetch(`${shown.dataset.worksOut}?${said}`, { signal: asking.signal }).catch(() => null);
    if (!answer?.ok) return;
    const next = new DOMParser().parseFromString(await answer.text(), "text/html");
    shown.replaceChildren(...next.body.childNodes);
  }

  form?.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(workOut, PAUSE_MS);
  });
})();
