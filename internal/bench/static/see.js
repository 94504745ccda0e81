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
})();
