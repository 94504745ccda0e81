// A gauge on a serial line: the bench keeps its readings, the page that reads is
// told. What was not kept is listed until it was seen.
"use strict";
const gaugeLine = (() => {
  const page = document.querySelector("#read"), hidden = "gaugeseen";
  let heard = page?.dataset.gauge || "";
  const seen = (value) => {
    try {
      if (value) localStorage.setItem(hidden, value);
      return Number(localStorage.getItem(hidden) || 0);
    } catch { return value || 0; }
  };
  // Hide what was seen on this screen.
  const tidy = (upTo) => {
    const last = seen(upTo);
    for (const list of document.querySelectorAll("[data-unsaved]")) {
      const lines = [...list.querySelectorAll("li")];
      for (const li of lines) li.hidden = Number(li.dataset.n) <= last;
      list.hidden = lines.every((li) => li.hidden);
      list.querySelector("button").hidden = false;
    }
  };
  page?.addEventListener("click", (e) => {
    if (e.target.closest("[data-unsaved] button")) tidy(Math.max(...[...page.querySelectorAll("[data-unsaved] li")].map((li) => Number(li.dataset.n))));
  });
  tidy();
  return {
    on: heard !== "", tidy,
    // What the bench is asked for besides.
    asks: (screen) => heard ? { gauge: heard, screen } : {},
    // Nothing is kept for a page that nobody sees: it says so when it is left or hidden.
    leaves: (base, screen, stop) => {
      const go = () => {
        stop();
        fetch(`${base}/state?${new URLSearchParams({ gone: "yes", screen })}`, { keepalive: true }).catch(() => { /* the bench is away */ });
      };
      addEventListener("pagehide", go);
      document.addEventListener("visibilitychange", () => { if (document.hidden) go(); });
    },
    isNews: (g) => !!g && heard !== "" && String(g.n) !== heard,
    // Take the news: what it says, and in the field what it asks of, as if typed.
    hears: (g, form, field, said, alarm) => {
      heard = String(g.n);
      if (g.said && said && (g.read || !form?.elements.over.value)) said.textContent = g.said; // a question that waits stays in sight
      if (g.alarm) alarm(g.alarm);
      if (!form || !g.over || field.value || form.elements.at.value !== g.at || form.elements.pass.value !== String(g.pass)) return false;
      field.value = g.typed;
      form.elements.over.value = g.over;
      field.select();
      return true;
    },
  };
})();
