// Counts the minutes of seeds that soak. Without this script the page says the times in words.
"use strict";
(() => {
  const SECOND_MS = 1000;
  const opened = Date.now();
  const at = (soak, name) => Date.parse(soak.dataset[name]);
  const state = (soak, now) => (now < at(soak, "ready") ? 0 : now <= at(soak, "latest") ? 1 : 2);

  // The clock is the station's, not the phone's.
  function count(soak) {
    const began = at(soak, "now");
    const now = began + Date.now() - opened;
    const next = ["ready", "latest"][state(soak, now)];
    if (state(soak, now) !== state(soak, began)) location.reload(); // the page has the words for it
    if (!next) return;
    const seconds = Math.max(Math.round((at(soak, next) - now) / SECOND_MS), 0);
    const parts = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, seconds % 60];
    soak.querySelector(".left").textContent = `${parts.map((part) => String(part).padStart(2, "0")).join(":")} left`;
  }

  const soaks = [...document.querySelectorAll(".soak")];
  if (soaks.length) setInterval(() => soaks.forEach(count), SECOND_MS);
})();
