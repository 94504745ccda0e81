// The lists of necks: found as one types, and what is being worked out comes in
// by itself. Without it the form finds, and the next load shows.
"use strict";
(() => {
  const field = document.querySelector("input[data-list]"), list = document.querySelector("#list");
  if (!field || !list) return;
  let asked = 0, shown = field.value.trim(), later = 0;

  const load = async (find) => {
    const mine = ++asked, q = new URLSearchParams({ find });
    const from = new URLSearchParams(location.search).get("from");
    if (from && find === shown) q.set("from", from);
    const r = await fetch(field.dataset.list + "?" + q, { headers: { Accept: "application/json" } });
    if (!r.ok || mine !== asked) return;
    const got = await r.json(), goon = document.querySelector("#goon");
    if (goon && got.goon && goon.innerHTML !== got.goon) goon.innerHTML = got.goon;
    put(got.list, find !== shown);
    shown = find;
  };

  // New rows in place of old ones; a row that is as it was keeps its focus.
  const put = (html, all) => {
    const now = document.createElement("div");
    now.innerHTML = html;
    localTimes(now);
    const old = list.querySelector("ul"), fresh = now.querySelector("ul");
    if (all || !old || !fresh || old.children.length !== fresh.children.length) {
      list.replaceChildren(...now.childNodes);
      return;
    }
    parts.patch(old, fresh);
  };

  field.form.addEventListener("submit", (e) => { e.preventDefault(); load(field.value.trim()).catch(() => field.form.submit()); });
  field.addEventListener("input", () => {
    clearTimeout(later);
    later = setTimeout(() => { load(field.value.trim()).then(() => wait(300)).catch(() => { /* the form's button still finds */ }); }, 80);
  });

  // Until all is worked out: soon at first, then ever more rarely.
  let next = 0;
  const wait = (pause) => {
    clearTimeout(next);
    if (list.querySelector("ul")?.dataset.wait !== "true") return;
    next = setTimeout(async () => {
      try { await load(field.value.trim()); } catch { /* again, later */ }
      wait(Math.min(pause * 1.3, 3000));
    }, pause);
  };
  wait(300);
})();
