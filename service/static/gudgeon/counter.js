// The counter's page works without any of this. With it, a scan lands in the number field wherever the focus is, a
// second Enter while the first is being answered asks nothing, and the arrow keys walk from the number
// down the list of choices and up again.
"use strict";

(() => {
  const form = document.querySelector("[data-counter]");
  if (!form) return;
  const number = form.elements.namedItem("number");

  const typesElsewhere = (target) => target.closest("input, select, textarea, button, a, summary, [contenteditable]");

  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.isComposing) return;
    if (event.key.length !== 1 || event.key === " " || typesElsewhere(event.target)) return;
    // The key that is now down is typed into the field that has just taken the focus.
    number.focus();
  });

  // What is typed or scanned next takes the place of the number before.
  number.addEventListener("focus", () => number.select());
  if (document.activeElement === number) number.select();

  for (const sent of document.querySelectorAll("form[method='post']")) {
    sent.addEventListener("submit", (event) => {
      if (sent.dataset.sent) {
        event.preventDefault();
        return;
      }
      sent.dataset.sent = "yes";
      const pressed = event.submitter || sent.querySelector("button");
      // After the browser has read what is sent: a disabled button is not part of it.
      setTimeout(() => {
        pressed.setAttribute("aria-busy", "true");
        pressed.disabled = true;
      });
    });
  }

  // Back from the answer the page is as it was left, and has to take another question.
  window.addEventListener("pageshow", () => {
    for (const sent of document.querySelectorAll("form[data-sent]")) {
      delete sent.dataset.sent;
      for (const button of sent.querySelectorAll("button")) {
        button.disabled = false;
        button.removeAttribute("aria-busy");
      }
    }
  });

  // The focus stays in the number field: a scanner that sends Enter twice must not pick the first of several.
  const choices = [...form.querySelectorAll(".picks button")];
  document.addEventListener("keydown", (event) => {
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    const at = choices.indexOf(document.activeElement);
    if (!step || !choices.length || (at < 0 && document.activeElement !== number)) return;
    event.preventDefault();
    choices[(Math.max(at, step > 0 ? -1 : 0) + step + choices.length) % choices.length].focus();
  });
})();
