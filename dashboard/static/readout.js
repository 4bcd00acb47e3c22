// Reads a chart step by step: a slider below each moves a line along the curve and says the values there, by keyboard,
// thumb or mouse. The words come from the station's pages, once somebody asks. Without this script the table has them.
"use strict";
(() => {
  const shown = document.getElementById("shown");
  if (!shown) return;
  let known = null;
  let asked = 0;

  // What is shown up to now grows by the minute.
  function steps() {
    if (!known || (!("past" in shown.dataset) && Date.now() - asked > 60000)) {
      asked = Date.now();
      known = fetch(shown.dataset.steps).then((answer) => (answer.ok ? answer.json() : {})).catch(() => ({}));
    }
    return known;
  }

  function equip(drawn) {
    const name = drawn.closest("section").querySelector("h2").textContent;
    const line = document.createElement("span");
    line.className = "here";
    line.hidden = true;
    const slider = Object.assign(document.createElement("input"), { type: "range", min: 0, max: 1000, value: 1000 });
    slider.setAttribute("aria-label", `${name}, step by step`);
    slider.setAttribute("aria-valuetext", "Move along the curve to hear its values");
    const words = document.createElement("p");
    words.className = "values";
    words.textContent = "Move along the curve to read its values.";
    drawn.append(line);
    drawn.after(slider, words);

    async function list() {
      const found = (await steps())[drawn.dataset.chart] ?? [];
      if (Number(slider.max) !== found.length - 1 && found.length) {
        const last = slider.value === slider.max;
        slider.max = found.length - 1;
        if (last) slider.value = slider.max;
      }
      return found;
    }

    async function say() {
      const found = await list();
      const step = found[Math.min(Number(slider.value), found.length - 1)];
      if (!step) return;
      line.hidden = false;
      line.style.left = `${step[0] * 100}%`;
      words.textContent = step[1];
      words.classList.add("told");
      slider.setAttribute("aria-valuetext", step[1]);
    }

    async function point(event) {
      const box = drawn.querySelector("svg").getBoundingClientRect();
      const x = (event.clientX - box.left) / box.width;
      const found = await list();
      const far = (n) => Math.abs(found[n][0] - x);
      let best = 0;
      for (let n = 1; n < found.length; n += 1) if (far(n) < far(best)) best = n;
      slider.value = best;
      say();
    }

    slider.addEventListener("focus", list);
    slider.addEventListener("pointerdown", list);
    slider.addEventListener("input", say);
    drawn.addEventListener("pointermove", point);
    drawn.addEventListener("pointerdown", point);
  }

  document.querySelectorAll("[data-chart]").forEach(equip);
})();
