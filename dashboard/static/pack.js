// Works out the mix while somebody types. Without this script the button "Work it out" does the same.
"use strict";
(() => {
  const PAUSE_MS = 250;
  const shown = document.getElementById("mix");
  const form = shown?.closest("form");
  let timer = 0;
  let asking = null;

  async function workOut() {
    const said = new URLSearchParams(new FormData(form));
    said.delete("mark");
    asking?.abort();
    asking = new AbortController();
    const answer = await fetch(`/jars/mix?${said}`, { signal: asking.signal }).catch(() => null);
    if (!answer?.ok) return;
    const next = new DOMParser().parseFromString(await answer.text(), "text/html");
    shown.replaceChildren(...next.body.childNodes);
  }

  form?.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(workOut, PAUSE_MS);
  });
})();
