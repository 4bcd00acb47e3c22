// Keeps the page up to date while it is looked at: when the station says that something is new, the page is fetched
// again and the regions marked data-live are put in place of the old ones. Without this script a reload does the same.
"use strict";
(() => {
  const PAUSE_MS = 2000;
  let source = null;
  let fresh = true; // the page has just come: the first event tells nothing new
  let waiting = false;

  async function refresh() {
    waiting = false;
    const answer = await fetch(location.href).catch(() => null);
    if (answer?.redirected) return location.reload(); // to the login: whoever is let in no more sees nothing old
    if (!answer?.ok) return;
    const next = new DOMParser().parseFromString(await answer.text(), "text/html");
    for (const region of document.querySelectorAll("[data-live]")) {
      const other = next.querySelector(`[data-live="${region.dataset.live}"]`);
      if (other && !typedIn(region) && unmarked(other) !== unmarked(region)) replace(region, other);
    }
  }

  // A form in which somebody types, or has chosen something, stays as it is.
  function typedIn(region) {
    if (region.contains(document.activeElement?.closest("form"))) return true;
    return [...region.querySelectorAll("input, textarea, option")].some((one) =>
      one.type === "hidden" ? false
        : one.localName === "option" ? one.selected !== one.defaultSelected && one.parentElement.selectedIndex > 0
        : one.value !== one.defaultValue || one.checked !== one.defaultChecked);
  }

  // The marks of forms are new each time, which is no news.
  function unmarked(region) {
    const copy = region.cloneNode(true);
    copy.querySelectorAll("input[name=mark]").forEach((one) => one.remove());
    return copy.outerHTML;
  }

  // The keyboard's place and opened details survive the exchange.
  function replace(region, other) {
    const focused = region.contains(document.activeElement) ? document.activeElement : null;
    const links = [...region.querySelectorAll("a, summary, [tabindex]")];
    const at = links.indexOf(focused);
    const open = [...region.querySelectorAll("details")].map((one) => one.open);
    [...other.querySelectorAll("details")].forEach((one, n) => (one.open = open[n] ?? false));
    region.replaceWith(document.adoptNode(other));
    if (at >= 0) other.querySelectorAll("a, summary, [tabindex]")[at]?.focus({ preventScroll: true });
  }

  function listen() {
    source = new EventSource("/live");
    source.addEventListener("shelf", () => {
      if (fresh) fresh = false;
      else if (!waiting) {
        waiting = true;
        setTimeout(refresh, PAUSE_MS);
      }
    });
    source.addEventListener("error", () => source?.readyState === EventSource.CLOSED && refresh());
  }

  // A hidden page holds no stream: a browser allows only a few to one place.
  function watch() {
    if (document.hidden) {
      source?.close();
      source = null;
    } else if (!source) {
      if (!fresh) refresh();
      listen();
    }
  }

  if (document.querySelector("[data-live]")) {
    document.addEventListener("visibilitychange", watch);
    addEventListener("pagehide", () => source?.close());
    addEventListener("pageshow", (event) => event.persisted && ((source = null), watch()));
    watch();
  }
})();
