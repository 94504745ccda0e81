// The bench's one script. Every page works without it; with it a reading changes
// the page in place. It talks to this bench only. The browser keeps for it the
// maker's switches, this screen's name and what the bench has not answered yet.
"use strict";
(() => {
  const $ = (sel, from = document) => from.querySelector(sel);
  const $$ = (sel, from = document) => [...from.querySelectorAll(sel)];

  // This screen's name, so that the bench can tell two screens apart.
  const screenName = () => {
    try {
      let name = sessionStorage.getItem("screen");
      if (!name) {
        name = Math.random().toString(36).slice(2, 10);
        sessionStorage.setItem("screen", name);
      }
      return name;
    } catch { return "x"; }
  };
  for (const form of $$("form[method=post]")) {
    let field = form.elements.screen;
    if (!field) {
      field = document.createElement("input");
      field.type = "hidden";
      field.name = "screen";
      form.append(field);
    }
    field.value = screenName();
  }

  // Files dropped anywhere on a card go into its field.
  for (const field of $$("input[data-drop]")) {
    const card = field.closest("form");
    const over = (on) => (e) => { e.preventDefault(); card.classList.toggle("over", on); };
    card.addEventListener("dragover", over(true));
    card.addEventListener("dragleave", over(false));
    card.addEventListener("drop", (e) => {
      over(false)(e);
      if (e.dataTransfer.files.length) field.files = e.dataTransfer.files;
    });
  }

  const page = $("#read");
  const form = $("#readform");
  outbox.flush(form && page.dataset.id);
  if (!page) return;
  const field = $("#reading");
  const said = $("#said");
  const neck = page.dataset.id, base = "/necks/" + neck;
  let seen = Number(page.dataset.seen), known = Number(page.dataset.known);
  let busy = false, open = page.dataset.open === "true", lead = Number(page.dataset.lead);

  // A screen that follows shows where the one that reads is: a display on the wall.
  const own = (name, value) => {
    try {
      if (value !== undefined) sessionStorage.setItem(name, value);
      return sessionStorage.getItem(name);
    } catch { return null; }
  };
  const follows = () => own("follow") === "yes";

  const apply = (a) => {
    if (a.seen < seen) return; // an answer that another overtook
    seen = a.seen;
    known = a.known;
    open = a.open;
    lead = a.lead;
    parts.put(a.parts, a.sums);
    gaugeLine.tidy();
    if (form) {
      if (!mine().length && !tapped) [sure, place, ahead] = [true, a.at, a.ahead ? a.ahead.split(" ") : []]; // else what waits is of crowns beyond
      form.elements.at.value = a.at;
      form.elements.seen.value = a.seen;
      form.elements.pass.value = a.pass;
      ended((a.ended || a.done && (isEnded() || follows() || gaugeLine.isNews(a.gauge) && !a.gauge.over)) && !field.value && !mine().length);
      address(a.href);
    }
    above.fit();
  };
  // The page's address follows once nothing hurries: to change it can take longer
  // than to draw the reading.
  let addressed = 0;
  const address = (href) => {
    clearTimeout(addressed);
    addressed = setTimeout(() => history.replaceState(null, "", href), 250);
  };
  // A pass's end takes the field's place until something is typed.
  const ended = (on) => page.classList.toggle("ended", Boolean(on));
  const isEnded = () => page.classList.contains("ended");

  const alarm = (words) => {
    aloud.low();
    aloud.speak(words);
  };
  const sayNext = () => {
    const [fret, lane] = $$(".where .big b").map((b) => b.textContent);
    if (fret && !isEnded()) aloud.speak(page.dataset.spoken.replace("#", fret).replace("@", lane));
  };
  // Plain: no more than what stands as the last one kept.
  const say = (words, plain) => {
    said.textContent = words;
    said.classList.toggle("plain", Boolean(plain));
  };
  const toField = () => field?.focus({ preventScroll: true });

  // One press at a time, in order: a gauge may type the next number before the
  // answer to the last is there. A reading is of the crown that was shown or is
  // next to it; where a step waits too, that is known only by its answer.
  let fromHand = false; // the field's text was typed, not given back
  let place = form?.elements.at.value, ahead = (page.dataset.ahead || "").split(" ").filter(Boolean), away = false;
  let sure = true, tapped = null; // place is where the next reading goes; a tap that waits for an answer
  const mine = () => outbox.of(neck, screenName());
  const push = (what, reading) => {
    const unsure = !sure || mine().some((w) => !outbox.reads(w) || !w.at), w = { do: what, reading };
    outbox.add({ ...w, neck, screen: screenName(), pass: form.elements.pass.value, at: unsure ? "" : place, seen, over: form.elements.over.value, late: away });
    form.elements.over.value = "";
    if (outbox.reads(w) && !unsure) {
      tapped = null;
      if (ahead.length) place = ahead.shift();
      else sure = false; // what follows is known by the answer
    }
    if (away) showAway();
    work();
  };
  // Without an answer the page leads on by itself, and says what waits.
  const showAway = () => {
    const [frets, lane] = place.split("@"), f = frets.split("-");
    $(".where .small")?.replaceChildren();
    $(".neck .here")?.classList.remove("here");
    $(`.neck [data-site="${place}"]`)?.classList.add("here");
    const [fret, across] = $$(".where .big b");
    if (across) [fret.textContent, across.textContent] = [f[f.length >> 1], lane];
    parts.changed((name) => name === "where" || name.includes("@"));
    above.near();
    say(page.dataset.lost.replace("#", mine().length));
  };
  const send = async (press, more) => {
    for (;;) {
      try {
        const a = await outbox.send(press, more);
        if (a.unpaired) return location.assign("/pair"); // what waits is sent after
        away = false;
        return a;
      } catch {
        if (!outbox.reads(press)) return { notDone: true };
        away = true;
        outbox.touch(neck, screenName(), true);
        showAway();
        await new Promise((ok) => setTimeout(ok, 1000));
      }
    }
  };
  // What was not kept goes back into the field. What was typed after it was meant
  // for a crown that is not reached: it is named, and what is being typed is taken
  // no part of, up to its end.
  let stray = null, strayEnds = 0;
  const drop = (texts) => {
    if (texts.length) say(said.textContent + (said.textContent.includes(page.dataset.dropped) ? ", " : " " + page.dataset.dropped) + texts.join(", "));
  };
  const endStray = () => {
    clearTimeout(strayEnds);
    if (stray) drop([stray]);
    stray = null;
  };
  const goesAstray = (text) => {
    clearTimeout(strayEnds);
    stray += text;
    strayEnds = setTimeout(endStray, 500);
  };
  const dropRest = () => outbox.drop((w) => w.neck === neck && w.screen === screenName() && !w.late && !w.held).map((w) => w.reading).filter(Boolean);
  const giveBack = (press, dropped) => {
    drop(dropped);
    if (field.value) { stray = field.value; goesAstray(""); }
    field.value = press.reading;
    fromHand = false;
    field.select();
  };
  const work = async () => {
    if (busy) return;
    busy = true;
    for (let press; (press = mine()[0]);) {
      press.at ||= form.elements.at.value;
      const a = await send(press, { seen: String(seen), have: parts.have(), ...mine().length > 1 ? { hurry: "yes" } : {} }); // the next one waits: kept first, worked out after
      if (!a) break;
      const refused = a.keep || !a.parts && !a.notDone, words = a.said || (a.wrong || []).join(" ");
      if (refused && press.late) outbox.hold(press, words);
      else outbox.drop((w) => w.id === press.id);
      const dropped = refused && !press.late ? dropRest() : [];
      if (a.parts) apply(a);
      else if (refused) form.elements.at.value = place = press.at;
      say(a.notDone ? page.dataset.notdone : words, a.plain);
      if (refused && !press.late) {
        tapped = null; // the reading that came back is of this crown
        form.elements.over.value = a.over || "";
        giveBack(press, dropped);
      }
      if (a.alarm) {
        alarm(a.alarm);
        // An Enter pressed before the question was to be seen is no answer to it.
        outbox.drop((w) => w.neck === neck && w.screen === screenName() && w.do === "keep" && !w.reading);
      }
      else if (a.parts && !a.keep) {
        if (press.reading) aloud.tick();
        sayNext();
      } else aloud.low();
      if (a.parts) above.near();
    }
    busy = false;
    if (tapped) {
      const at = tapped;
      tapped = null;
      await goTo(at);
    }
  };
  if (form) {
    form.addEventListener("submit", (e) => {
      e.preventDefault();
      const what = e.submitter?.value || "keep";
      if (stray !== null && what === "keep") return endStray();
      const reading = what === "keep" ? field.value.trim() : "";
      if (!what.startsWith("stands ") && (what !== "back" || field.value)) field.value = "";
      toField();
      push(what, reading);
    });
    for (const b of $$("[data-sign]")) {
      b.hidden = false;
      b.addEventListener("click", () => {
        field.value = field.value.startsWith("-") ? field.value.slice(1) : "-" + field.value;
        toField();
      });
    }
    // What a gauge types reaches the field wherever the focus is, and a Tab ends a
    // reading as Enter does: but for text that came back, a Tab leaves that.
    addEventListener("keydown", (e) => {
      const t = e.target;
      if (e.key === "z" && (e.ctrlKey || e.metaKey) && !e.shiftKey && !e.altKey && (t === field ? !field.value : !t.matches?.("textarea, input"))) {
        e.preventDefault();
        return push("undo", "");
      }
      if (e.ctrlKey || e.altKey || e.metaKey) return;
      if (t === field && e.key === "Tab" && !e.shiftKey && (stray !== null || field.value && fromHand)) {
        e.preventDefault();
        form.requestSubmit();
      }
      if (t === field || !/^[0-9.,+\u2212-]$/.test(e.key) || t.matches?.("textarea, input:not([type=checkbox], [type=radio])")) return;
      e.stopPropagation();
      ended(false);
      $("#more").open = false;
      toField(); // the key's number lands there
    }, true);
    field.addEventListener("beforeinput", (e) => {
      if (stray === null) return;
      e.preventDefault();
      goesAstray(e.data || "");
    });
    field.addEventListener("input", () => { fromHand = true; });
    field.addEventListener("keydown", (e) => {
      if (e.key === "Backspace" && field.value === "" && !e.repeat) {
        e.preventDefault();
        push("back", "");
      }
    });
  }

  // Crowns: tap to go there; arrow keys move from one to the next.
  page.addEventListener("click", async (e) => {
    const a = e.target.closest(".neck a, .advice a, .ask a, .judged a, .ending a");
    if (e.target.closest(".rest")) {
      e.preventDefault();
      $("#more").open = true;
    }
    if (!a || !form || e.ctrlKey || e.metaKey || e.shiftKey) return;
    const href = new URL(a.getAttribute("href"), location);
    if (href.pathname !== base || href.searchParams.get("pass") !== form.elements.pass.value) return;
    e.preventDefault();
    place = href.searchParams.get("at");
    ahead = [];
    sure = true;
    form.elements.over.value = "";
    if (busy) {
      tapped = place; // once what was typed before it is kept
      return;
    }
    await goTo(place);
  });
  const goTo = async (at) => {
    form.elements.at.value = place = at;
    leadOn();
    ended(false);
    $("#more").open = false;
    going++;
    try { await fresh(0, { leads: "yes" }); } catch { showAway(); }
    going--;
    toField();
    above.near();
    sayNext();
  };
  $("[data-whole]")?.addEventListener("click", () => above.turn(!above.whole()));
  page.addEventListener("keydown", (e) => {
    const from = e.target.closest?.(".neck a");
    const step = { ArrowUp: [0, -1], ArrowDown: [0, 1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] }[e.key];
    if (!from || !step) return;
    e.preventDefault();
    const mid = (el) => { const b = el.getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2]; };
    const [x, y] = mid(from);
    let best, least = Infinity;
    for (const a of $$(".neck a")) {
      const [ax, ay] = mid(a);
      const along = (ax - x) * step[0] + (ay - y) * step[1];
      const aside = Math.abs((ax - x) * step[1]) + Math.abs((ay - y) * step[0]);
      if (along > 1 && along + 3 * aside < least) { least = along + 3 * aside; best = a; }
    }
    if (best) { best.tabIndex = 0; best.focus(); }
  });

  // News: another screen's readings, or a meaning that took longer. Where another
  // screen has read the crown shown here, this one goes on to the next, unless a
  // number stands in the field: that is of the crown shown.
  let poll, going = 0; // going: to a crown that was tapped, which no older news may change
  const fresh = async (since, more = {}) => {
    const at = form ? { pass: form.elements.pass.value, at: form.elements.at.value } : {};
    const q = new URLSearchParams({ seen: String(since), known: String(since && known), lead: String(lead), have: parts.have(), ...gaugeLine.asks(screenName()), ...isEnded() ? { end: "yes" } : {}, ...at, ...more });
    if (follows() && !field?.value) q.set("follow", "yes");
    poll = since ? new AbortController() : poll;
    const r = await fetch(`${base}/state?${q}`, { headers: { Accept: "application/json" }, signal: since ? poll.signal : undefined });
    if (!r.ok) throw new Error(r.status);
    const a = await r.json();
    if ((busy && more.open) || (busy || going) && since) return;
    if (form && (form.elements.at.value !== at.at || form.elements.pass.value !== at.pass)) return; // moved on meanwhile
    const news = gaugeLine.isNews(a.gauge), hear = () => {
      if (!news) return;
      said.classList.remove("plain");
      if (gaugeLine.hears(a.gauge, form, field, said, alarm)) fromHand = false;
      else if (!a.gauge.alarm) aloud.tick();
      if (form && !a.gauge.alarm) sayNext();
    };
    if (!form) {
      apply(a);
      return hear();
    }
    if (news && a.gauge.read && !fromHand) field.value = form.elements.over.value = ""; // what came back into the field, as when typed over
    const before = seen, read = open && !a.open && a.at === at.at, moved = a.at !== at.at || String(a.pass) !== at.pass;
    if (since && read && !field.value && !follows()) {
      await fresh(0, { open: "yes" });
      if (!news && form.elements.at.value !== at.at) say(page.dataset.movedon);
      return;
    }
    if (moved && field.value) return fresh(0); // typed meanwhile
    apply(a);
    if (moved) {
      above.near();
      if (follows()) sayNext();
    }
    if (news) hear();
    else if (since && a.seen > before) say(read && field.value ? page.dataset.typed : page.dataset.elsewhere);
  };
  const listen = async () => {
    for (;;) {
      try {
        await fresh(seen);
      } catch (wrong) {
        if (wrong.name !== "AbortError") await new Promise((ok) => setTimeout(ok, 3000));
      }
      if (document.hidden) await new Promise((ok) => document.addEventListener("visibilitychange", ok, { once: true }));
      await new Promise((ok) => setTimeout(ok, 50));
    }
  };
  const following = $("[data-follow]");
  const leadOn = () => {
    if (!following?.checked) return;
    following.checked = false;
    own("follow", "no");
    poll?.abort();
  };
  if (following) {
    following.checked = follows();
    following.addEventListener("change", () => {
      own("follow", following.checked ? "yes" : "no");
      poll?.abort();
    });
    if (following.checked) fresh(0).catch(() => { /* the next news shows it */ });
  }
  aloud.switches(toField);
  aloud.huge(toField);
  above.fit();
  if (gaugeLine.on) { // the bench knows where this screen stands before a reading comes
    fresh(0).catch(() => { /* the next news does it */ });
    gaugeLine.leaves(base, screenName(), () => poll?.abort());
  }
  if (form) {
    for (const on of ["pointerdown", "keydown"]) addEventListener(on, aloud.awake, { once: true });
    document.addEventListener("visibilitychange", aloud.awake);
    const adopt = (first) => { outbox.adopt(neck, screenName(), first); work(); };
    adopt(true);
    setInterval(() => {
      if (mine().length) outbox.touch(neck, screenName());
      adopt();
    }, 2000);
  }
  addEventListener("load", () => setTimeout(listen, 500));
})();
