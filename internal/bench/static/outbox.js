// Readings that the bench has not answered yet. They are kept in this browser until
// it has: over a reload, a closed tab and a new pairing. Each names its crown, so
// that one that arrived although its answer did not changes nothing by coming again.
"use strict";
const outbox = (() => {
  const key = "waiting", abandoned = 5000;
  let memory = "[]", keeps = true; // memory: where the browser keeps nothing, or no more
  const all = () => {
    try { if (keeps) memory = localStorage.getItem(key) || "[]"; } catch { keeps = false; }
    try { return JSON.parse(memory); } catch { return []; }
  };
  const save = (list) => {
    memory = JSON.stringify(list);
    try { localStorage.setItem(key, memory); keeps = true; } catch { keeps = false; }
    show();
  };
  const change = (which, what) => save(all().map((w) => which(w) ? { ...w, ...what } : w));
  const drop = (which) => {
    const list = all(), gone = list.filter(which);
    if (gone.length) save(list.filter((w) => !gone.includes(w)));
    return gone;
  };

  const reads = (w) => w.do === "rocks" || w.do === "still" || w.do === "keep" && w.reading;
  // Steps that a tab left behind are not done later, and a reading after such a
  // step is of nobody knows which crown.
  const sort = (left) => {
    drop((w) => left(w) && !reads(w));
    if (all().some((w) => left(w) && !w.at)) change((w) => left(w) && !w.at, { held: document.querySelector("#waiting").dataset.unsure });
  };

  // What waits, and what was not taken, on every page.
  const show = () => {
    const place = document.querySelector("#waiting");
    if (!place) return;
    const panel = document.querySelector("#readform"); // it says itself what waits: the page must not jump
    const list = all(), late = panel ? [] : list.filter((w) => w.late && !w.held), held = list.filter((w) => w.held);
    place.hidden = !late.length && !held.length;
    const lines = late.length ? [place.dataset.words.replace("#", late.length)] : [];
    const paragraphs = lines.map((text) => Object.assign(document.createElement("p"), { textContent: text }));
    for (const w of held) {
      const p = document.createElement("p"), a = document.createElement("a"), b = document.createElement("button");
      a.href = "/necks/" + w.neck + "?" + new URLSearchParams({ pass: w.pass, at: w.at });
      a.textContent = (w.reading || w.do) + " \u00b7 " + w.at;
      b.type = "button";
      b.textContent = place.dataset.discard;
      b.addEventListener("click", () => drop((o) => o.id === w.id));
      p.append(place.dataset.held + " ", a, " " + w.held + " ", b);
      paragraphs.push(p);
    }
    place.replaceChildren(...paragraphs);
  };

  const send = async (w, more = {}) => {
    const body = new URLSearchParams({ do: w.do, reading: w.reading, pass: w.pass, at: w.at, seen: w.seen, over: w.over, screen: w.screen, ...more });
    const r = await fetch("/necks/" + w.neck + "/read", { method: "POST", body, headers: { Accept: "application/json" } });
    return r.status === 401 ? { unpaired: true } : { status: r.status, ...await r.json() };
  };

  // What other tabs and pages left behind, sent in order. A tab that lives touches
  // its own; the page that reads a neck sends that neck's itself.
  const flush = async (here) => {
    for (;;) {
      const now = Date.now();
      sort((o) => !o.held && o.neck !== here && now - o.when > abandoned);
      const w = all().find((o) => !o.held && o.neck !== here && now - o.when > abandoned);
      if (w) {
        change((o) => o.id === w.id, { when: now, late: true });
        try {
          const a = await send({ ...w, seen: "0" });
          if (a.unpaired || a.status >= 500) throw a;
          if (!a.parts || a.keep) change((o) => o.id === w.id, { held: a.said || (a.wrong || []).join(" ") || "?" });
          else drop((o) => o.id === w.id);
          continue;
        } catch { /* again, later */ }
      }
      await new Promise((ok) => setTimeout(ok, 1000));
    }
  };
  addEventListener("storage", show);
  show();

  return {
    drop, send, flush, reads,
    add: (w) => save([...all(), { ...w, id: Date.now().toString(36) + Math.random().toString(36).slice(2, 8), when: Date.now() }]),
    hold: (w, words) => change((o) => o.id === w.id, { held: words || "?" }),
    // A screen's own readings of a neck; it lives, so nobody else sends them.
    of: (neck, screen) => all().filter((w) => !w.held && w.neck === neck && w.screen === screen),
    touch: (neck, screen, late) => change((w) => w.neck === neck && w.screen === screen, { when: Date.now(), ...late ? { late } : {} }),
    // What a tab that is gone left of a neck becomes this screen's.
    adopt: (neck, screen, first) => {
      const now = Date.now();
      const left = (w) => w.neck === neck && !w.held && (w.screen === screen ? first : now - w.when > abandoned);
      sort(left);
      if (all().some(left)) change(left, { screen, late: true, when: now });
    },
  };
})();
