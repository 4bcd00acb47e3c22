// Slides through the moments of a replay. They come once, drawn by the pages themselves; without this script a button
// shows the chosen one.
"use strict";
(() => {
  const play = document.querySelector("[data-frames]");
  const slider = document.getElementById("moment");
  if (!play || !slider) return;
  const frame = document.getElementById("frame");
  const when = document.getElementById("when");
  const drawn = document.getElementById("film");
  const here = Object.assign(document.createElement("span"), { className: "here" });
  play.querySelector(".unscripted").hidden = true;
  let film = null;

  function load() {
    film ??= fetch(play.dataset.frames).then((answer) => answer.json()).catch(() => null);
    return film;
  }

  async function show() {
    const found = await load();
    const number = Number(slider.value);
    if (!found || !found.frames[number]) return;
    const part = new DOMParser().parseFromString(found.frames[number], "text/html");
    frame.replaceChildren(...part.body.childNodes);
    when.textContent = found.when[number];
    slider.setAttribute("aria-valuetext", found.when[number]);
    if (!drawn || !found.x) return;
    here.style.left = `${found.x[number] * 100}%`;
    drawn.append(here);
  }

  slider.addEventListener("input", show);
  show();
})();
