// Keeps what is typed in this browser until it counts or its owner leaves. The page works without it. What was sent comes back as sent,
// with what was typed on that very page since: another tab may have typed something else.
"use strict";

const PREFIX = "draft ";
const APART = "; ";
const PAGE = "page"; // beside the answers: on which page they were typed
const form = document.querySelector("form[data-draft]");
const counted = document.querySelector("[data-counted]");
const leaving = document.querySelector('form[action="/leave"]');

const kept = (place) => {
  try {
    return JSON.parse(localStorage.getItem(place)) ?? {};
  } catch {
    return {}; // no storage, or nothing of ours in it
  }
};

const forget = (wanted) => {
  try {
    for (const place of Object.keys(localStorage)) if (place.startsWith(PREFIX) && wanted(place)) localStorage.removeItem(place);
  } catch {
    // no storage, nothing kept
  }
};

if (counted) forget((place) => place === PREFIX + counted.dataset.counted);
if (leaving) leaving.addEventListener("submit", () => forget(() => true));

if (form) {
  const place = PREFIX + form.dataset.draft;
  const fields = [...form.elements].filter((one) => one.name.startsWith("answer:"));
  const typed = () => {
    const data = new FormData(form); // boxes ticked under one name are one answer
    return Object.fromEntries(fields.filter((one) => !one.disabled).map(({ name }) => [name, data.getAll(name).join(APART)]));
  };
  const fill = (values) => {
    for (const one of fields) {
      if (!(one.name in values)) continue;
      if (one.type === "radio") one.checked = one.value === values[one.name];
      else if (one.type === "checkbox") one.checked = `${APART}${values[one.name]}${APART}`.includes(APART + one.value + APART);
      else one.value = values[one.name];
    }
  };

  const shown = typed();
  const draft = kept(place);
  const differs = Object.keys(shown).some((name) => name in draft && draft[name] !== shown[name]);
  if (differs && (!("sent" in form.dataset) || draft[PAGE] === form.dataset.page)) {
    fill(draft);
    const note = document.getElementById("restored");
    note.hidden = false;
    note.querySelector("button").addEventListener("click", () => {
      forget((one) => one === place);
      fill(shown);
      note.hidden = true;
    });
  }

  form.addEventListener("input", () => {
    try {
      localStorage.setItem(place, JSON.stringify({ ...typed(), [PAGE]: form.dataset.page }));
    } catch {
      // no storage: what is typed stays on the page alone
    }
  });
}
