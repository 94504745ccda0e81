// What the pages for seeing do beyond a plain form: keep a tick at once, answer
// a slider, lead a study. Every page works without it.
"use strict";
(() => {
  const $ = (sel, from = document) => from.querySelector(sel);
  const $$ = (sel, from = document) => [...from.querySelectorAll(sel)];

  // Boxes that are kept as they are ticked.
  for (const form of $$("form[data-now]")) {
    const said = $("[role=status]", form);
    $$("[data-plain]", form).forEach((b) => { b.hidden = true; });
    form.addEventListener("change", async (e) => {
      const box = e.target;
      const data = new URLSearchParams({ box: box.value });
      if (box.checked) data.set("on", box.value);
      if (form.elements.screen) data.set("screen", form.elements.screen.value);
      box.disabled = true;
      try {
        const answer = await fetch(form.action, { method: "POST", body: data, headers: { Accept: "application/json" } });
        if (!answer.ok) throw new Error((await answer.json()).wrong?.join(" "));
        const all = $$("input[name=on]", form), done = all.filter((b) => b.checked).length;
        let at = 0;
        said.textContent = said.dataset.words.replace(/#/g, () => [done, all.length - done][at++]);
      } catch (wrong) {
        box.checked = !box.checked;
        said.textContent = wrong instanceof TypeError || !wrong.message ? form.dataset.now : wrong.message;
      }
      box.disabled = false;
      box.focus();
    });
  }

  // The action's slider: a quick answer while it moves, the whole one after.
  const slider = $("#raise");
  if (slider) {
    const form = slider.form, place = $("#notes"), out = $("#raised"), actions = $("#actions");
    let turn = 0, shown = 0, busy = false, wanted = null, later = 0;
    const sign = (v) => (v > 0 ? "+" : v < 0 ? "\u2212" : "") + Math.abs(v).toFixed(out.dataset.digits);
    const load = async (whole) => {
      const mine = ++turn;
      const q = new URLSearchParams({ raise: slider.value, state: form.elements.state.value });
      if (whole) q.set("whole", "1");
      try {
        const answer = await fetch(form.action + "/try?" + q, { headers: { Accept: "application/json" } });
        const got = await answer.json();
        if (mine < shown) return;
        shown = mine;
        if (!answer.ok) { place.textContent = got.wrong.join(" "); return; }
        place.innerHTML = got.notes;
        actions.textContent = got.actions;
        place.dataset.raise = q.get("raise");
        place.dataset.whole = whole ? "1" : "";
      } catch { actions.textContent = form.dataset.lost; }
    };
    const next = async () => {
      if (busy) return;
      busy = true;
      while (wanted !== null) { const whole = wanted; wanted = null; await load(whole); }
      busy = false;
    };
    slider.addEventListener("input", () => {
      out.textContent = Number(slider.value) === 0 ? out.dataset.rest : sign(Number(slider.value) * out.dataset.per) + " " + out.dataset.unit;
      clearTimeout(later);
      later = setTimeout(() => { wanted = true; next(); }, 700);
      wanted = false;
      next();
    });
    slider.addEventListener("change", () => { clearTimeout(later); later = setTimeout(() => { wanted = true; next(); }, 150); });
  }
})();
