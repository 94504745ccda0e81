// The page that listens. The bench does the listening: this sends it the sound as it
// comes, in order, each stretch again until the bench has it. Without it a recording can
// be handed in.
"use strict";
(() => {
  const page = document.querySelector("#listen");
  if (!page) return;
  const $ = (sel, from = document) => from.querySelector(sel);
  const begin = $("#listen-begin"), end = $("#listen-end"), hint = $("#listen-hint"), hand = $("#listen-hand");
  const most = 60; // s of sound that may wait
  const signs = { next: "", heard: "\u2713", clear: "\u25cb", buzzes: "\u25b2", left: "\u2013", toplay: "" };
  const kinds = { next: "unread here", heard: "read", clear: "read", buzzes: "read buzzes", left: "out", toplay: "unread" };
  const able = Boolean(navigator.mediaDevices?.getUserMedia && window.AudioWorkletNode);
  begin.hidden = !able;
  $("#listen-none").hidden = able;
  if (able) $("button", hand).classList.remove("main");

  const say = (place, words) => { place.textContent = words; place.hidden = !words; };
  let take = "", sound = null, stream = null, rate = 0, arrived = 0, when = 0;
  let have = 0, waiting = [], marks = [], sending = null;

  // How far it is, as the bench says.
  const show = (a) => {
    take = end.elements.take.value = a.take;
    for (const [sel, html] of [["#listen-now", a.now], ["#listen-list", a.list]]) {
      const place = $(sel), came = place.cloneNode(false);
      came.innerHTML = html;
      parts.patch(place, came);
    }
    for (const [key, sign] of Object.entries(a.plates)) {
      const plate = $(`[data-note="${key}"]`);
      if (plate.dataset.sign === sign) continue;
      plate.dataset.sign = sign;
      plate.setAttribute("class", kinds[sign]);
      plate.lastChild.textContent = signs[sign];
    }
    const said = $("#listen-said");
    if (said.textContent !== a.heard) said.textContent = a.heard;
    if (stream) say(hint, a.hint);
    if (a.full) stop();
  };

  // One stretch at a time; what waits goes along, some seconds at most.
  const send = async () => {
    const at = have, parts = waiting.slice(0, 8), told = [...marks];
    const q = new URLSearchParams({ take, at });
    for (const m of told) q.append("mark", m);
    const r = await fetch(page.dataset.base + "/sound?" + q, { method: "POST", body: new Blob(parts.map((p) => p.data)), headers: { Accept: "application/json", "Content-Type": "application/octet-stream" } });
    const a = await r.json();
    if (!r.ok) throw Object.assign(new Error((a.wrong || []).join(" ")), { over: r.status < 500 });
    marks = marks.filter((m) => !told.includes(m));
    have = a.have;
    while (waiting.length && waiting[0].end <= have) waiting.shift();
    if (waiting.length && waiting[0].end - waiting[0].data.byteLength / 2 > have && !a.full) throw Object.assign(new Error(page.dataset.lost), { over: true });
    show(a);
    return a;
  };
  const flush = () => sending ??= (async () => {
    try {
      while (take && (waiting.length || marks.length)) {
        try {
          if ((await send()).full) break;
        } catch (wrong) {
          if (wrong.over) { stop(); say(hint, wrong.message); take = ""; break; }
          say(hint, page.dataset.lost);
          await new Promise((ok) => setTimeout(ok, 500));
        }
      }
    } finally { sending = null; }
  })();

  const stop = () => {
    stream?.getTracks().forEach((t) => t.stop());
    sound?.close();
    stream = sound = null;
  };

  // What the device does to the sound, as far as it says so.
  const settings = (track) => {
    const s = track.getSettings(), of = { echoCancellation: "echo", noiseSuppression: "noise", autoGainControl: "gain" };
    const named = (which) => Object.keys(of).filter((k) => which(s[k])).map((k) => page.dataset[of[k]]).join(", ");
    const on = named((v) => v), unsaid = named((v) => v === undefined);
    say($("#listen-settings"), on ? page.dataset.processed.replace("#", on) : unsaid ? page.dataset.unsaid.replace("#", unsaid) : "");
  };

  const start = async () => {
    const asked = { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 };
    try {
      stream = await navigator.mediaDevices.getUserMedia({ audio: asked });
    } catch { throw new Error(page.dataset.refused); }
    sound = new AudioContext();
    await sound.audioWorklet.addModule(page.dataset.capture);
    await sound.resume();
    rate = sound.sampleRate;
    const body = new URLSearchParams(new FormData(begin));
    body.set("rate", rate);
    const r = await fetch(begin.action, { method: "POST", body, headers: { Accept: "application/json" } });
    const a = await r.json();
    if (!r.ok) throw new Error(a.wrong.join(" "));
    [have, arrived, when, waiting, marks] = [0, 0, performance.now(), [], []];
    $("#listening").hidden = false;
    $("#listen-ways").hidden = true;
    if ($("#listen-answer")) $("#listen-answer").hidden = true;
    end.elements.keep.value = begin.elements.keep.checked ? "1" : "";
    show(a);
    const track = stream.getTracks()[0], node = new AudioWorkletNode(sound, "capture", { channelCount: 1, channelCountMode: "explicit", channelInterpretation: "discrete" });
    settings(track);
    node.port.onmessage = (e) => {
      if (!stream) return;
      arrived += e.data.byteLength / 2;
      when = performance.now();
      waiting.push({ data: e.data, end: arrived });
      if (arrived - have > most * rate) { stop(); say(hint, page.dataset.full); }
      flush();
    };
    sound.createMediaStreamSource(stream).connect(node).connect(sound.destination); // it plays nothing; unconnected it may not run
  };

  begin.addEventListener("submit", async (e) => {
    e.preventDefault();
    const wrong = $("[role=alert]", begin), button = $("button", begin);
    say(wrong, "");
    button.disabled = true;
    try { await start(); } catch (fault) {
      stop();
      say(wrong, fault.message);
    }
    button.disabled = false;
  });

  // What the player heard of the note that rings.
  const mark = (ear) => {
    if (!stream) return;
    marks.push(Math.round(arrived + Math.min(0.5, (performance.now() - when) / 1000) * rate) + ":" + ear);
    flush();
  };
  for (const b of document.querySelectorAll("[data-ear]")) b.addEventListener("click", () => mark(b.dataset.ear));
  addEventListener("keydown", (e) => {
    const ear = { c: "clear", b: "buzzes" }[e.key.toLowerCase()];
    if (!stream || !ear || e.repeat || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    mark(ear);
  });

  let ended = false;
  end.addEventListener("submit", async (e) => {
    e.preventDefault();
    stop();
    await flush();
    ended = true;
    end.submit();
  });
  // A page that is left listens no more.
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "hidden" || !stream) return;
    stop();
    say(hint, page.dataset.stopped);
  });
  addEventListener("pagehide", () => {
    stop();
    if (take && !ended) navigator.sendBeacon(page.dataset.base + "/left", new URLSearchParams({ take }));
  });

  // A recording of another kind becomes a WAV file here, as the browser plays it.
  const wav = (buffer) => {
    const channels = Math.min(2, buffer.numberOfChannels), n = buffer.length, out = new DataView(new ArrayBuffer(44 + 2 * channels * n));
    const word = (at, text) => [...text].forEach((c, i) => out.setUint8(at + i, c.charCodeAt(0)));
    word(0, "RIFF"); out.setUint32(4, 36 + 2 * channels * n, true); word(8, "WAVEfmt "); out.setUint32(16, 16, true);
    out.setUint16(20, 1, true); out.setUint16(22, channels, true); out.setUint32(24, buffer.sampleRate, true); out.setUint32(28, 2 * channels * buffer.sampleRate, true);
    out.setUint16(32, 2 * channels, true); out.setUint16(34, 16, true); word(36, "data"); out.setUint32(40, 2 * channels * n, true);
    for (let k = 0; k < channels; k++) {
      const x = buffer.getChannelData(k);
      for (let i = 0; i < n; i++) out.setInt16(44 + 2 * (i * channels + k), Math.max(-32768, Math.min(32767, Math.round(x[i] * 32768))), true);
    }
    return new File([out.buffer], "recording.wav", { type: "audio/wav" });
  };
  hand.addEventListener("submit", async (e) => {
    e.preventDefault();
    const status = $("[role=status]", hand), field = hand.elements.file, file = field.files[0];
    status.textContent = hand.dataset.reading;
    try {
      if (await file.slice(0, 4).text() !== "RIFF") {
        const given = new DataTransfer();
        given.items.add(wav(await new OfflineAudioContext(1, 1, 44100).decodeAudioData(await file.arrayBuffer())));
        field.files = given.files;
      }
    } catch { status.textContent = hand.dataset.unread; return; }
    hand.submit();
  });
})();
