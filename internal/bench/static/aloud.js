// For eyes that are on the gauge: a tick for kept, a low tone for doubt, the next
// crown by voice, each where the maker asked for it; and the screen kept awake.
"use strict";
const aloud = (() => {
  const wants = (what) => { try { return localStorage.getItem(what) === "yes"; } catch { return false; } };
  let sound;
  const note = (from, to, long, loud) => {
    sound ??= new AudioContext();
    const t = sound.currentTime, o = sound.createOscillator(), g = sound.createGain();
    o.frequency.setValueAtTime(from, t);
    o.frequency.exponentialRampToValueAtTime(to, t + long / 2);
    g.gain.setValueAtTime(loud, t);
    g.gain.exponentialRampToValueAtTime(.001, t + long);
    o.connect(g).connect(sound.destination);
    o.start(t);
    o.stop(t + long);
  };
  const tick = () => { if (wants("tone")) note(1400, 1200, .05, .15); };
  const low = () => { if (wants("tone")) note(220, 160, .6, .3); };
  const speak = (words) => {
    if (!wants("speech") || !("speechSynthesis" in window)) return;
    // Only a voice that lives on this machine: others would send the words away.
    const voice = speechSynthesis.getVoices().find((v) => v.localService && v.lang.startsWith("en"));
    if (!voice) return;
    speechSynthesis.cancel(); // the newest crown is the one to go to
    const u = new SpeechSynthesisUtterance(words);
    u.voice = voice;
    speechSynthesis.speak(u);
  };
  const pressed = (button, on) => button.setAttribute("aria-pressed", String(on));
  const keep = (name, on) => { try { localStorage.setItem(name, on ? "yes" : "no"); } catch { /* not kept */ } };
  const switches = (after) => {
    for (const b of document.querySelectorAll("[data-aloud]")) {
      b.hidden = b.dataset.aloud === "speech" && !("speechSynthesis" in window);
      pressed(b, wants(b.dataset.aloud));
      b.addEventListener("click", () => {
        keep(b.dataset.aloud, !wants(b.dataset.aloud));
        pressed(b, wants(b.dataset.aloud));
        if (b.dataset.aloud === "tone") tick();
        after();
      });
    }
  };

  // Large figures, to be read from across the bench.
  const huge = (after) => {
    const b = document.querySelector("[data-huge]"), page = document.querySelector("#read");
    const show = () => {
      page.classList.toggle("huge", wants("huge"));
      if (b) pressed(b, wants("huge"));
      above.fit();
    };
    const turn = () => {
      keep("huge", !wants("huge"));
      show();
      after();
    };
    if (b) {
      b.hidden = false;
      b.addEventListener("click", turn);
    }
    addEventListener("keydown", (e) => {
      if (e.key !== "F2" || e.ctrlKey || e.altKey || e.metaKey) return;
      e.preventDefault();
      turn();
    });
    show();
  };

  // The screen stays on while a pass is read, where the browser allows it.
  const awake = async () => {
    if (document.hidden || !navigator.wakeLock) return;
    try { await navigator.wakeLock.request("screen"); } catch { /* refused: it dims as ever */ }
  };
  return { tick, low, speak, switches, huge, awake };
})();
