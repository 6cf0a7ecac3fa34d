// Shows how an answer is read while one types. The page works without it: "Check reading" does the same.
"use strict";

const PAUSE = 600; // milliseconds without a key before the answer is sent to be read
const token = document.querySelector('input[name="token"]').value;

for (const input of document.querySelectorAll("[data-reading]")) {
  const region = document.getElementById(`${input.id}-reading`);
  let timer = 0;
  let asked = null;

  const say = (nodes) => {
    region.replaceChildren(...nodes);
    const refused = region.querySelector(".unread") !== null;
    input.closest(".field").classList.toggle("wrong", refused);
    if (refused) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
  };

  const show = async () => {
    asked = new AbortController();
    const body = new URLSearchParams({ token, [input.name]: input.value });
    try {
      const answer = await fetch(input.dataset.reading, { method: "POST", body, signal: asked.signal });
      if (!answer.ok) return; // too fast, or signed out: the button tells more
      const piece = new DOMParser().parseFromString(await answer.text(), "text/html");
      say(piece.body.childNodes);
    } catch {
      // The line is down or a later key came first: what was shown before is gone, nothing wrong is shown.
    }
  };

  input.addEventListener("input", () => {
    clearTimeout(timer);
    if (asked) asked.abort();
    say([]);
    if (input.value.trim()) timer = setTimeout(show, PAUSE);
  });
}
