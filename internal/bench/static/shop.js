// The list of the shop: it follows the book and every screen by itself. Without this
// the next load shows.
"use strict";
(() => {
  const box = document.querySelector("#turns");
  if (!box) return;
  let sum = box.dataset.sum, pause = 300;

  // New rows in place of old ones; while somebody types, all stay as they are.
  const put = (html) => {
    const now = document.createElement("div");
    now.innerHTML = html;
    const open = [...box.querySelectorAll("details[open]")];
    if (open.some((d) => d.contains(document.activeElement) || d.querySelector("[name=text]").value)) return false;
    const at = document.activeElement?.closest("#turns li")?.id, inner = [...box.querySelectorAll(`#${at || "none"} :is(a, button, summary)`)].indexOf(document.activeElement);
    box.replaceChildren(...now.childNodes);
    if (at && inner >= 0) box.querySelectorAll(`#${at} :is(a, button, summary)`)[inner]?.focus();
    return true;
  };

  const follow = async () => {
    const q = new URLSearchParams({ have: sum, by: box.dataset.by });
    try {
      const r = await fetch(box.dataset.news + "?" + q, { headers: { Accept: "application/json" } });
      if (!r.ok) throw r;
      const got = await r.json();
      if (got.sum !== sum && put(got.list)) {
        sum = got.sum;
        const goon = document.querySelector("#goon");
        if (goon.innerHTML !== got.goon) goon.innerHTML = got.goon;
        document.querySelector("#count").textContent = got.count;
      }
      pause = got.wait || got.sum !== sum ? Math.min(pause * 1.3, 3000) : 100;
    } catch { pause = Math.min(pause * 2, 10000); }
    setTimeout(follow, pause);
  };
  follow();
})();
