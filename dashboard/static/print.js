// Prints the sheet at a tap. Without this script there is no button: the browser's own menu prints.
"use strict";
(() => {
  const button = document.getElementById("print");
  if (!button) return;
  button.hidden = false;
  button.addEventListener("click", () => window.print());
})();
