// The pieces of the page for reading that an answer brings: only those that changed
// come, and only what differs in them is touched.
"use strict";
const parts = (() => {
  const page = document.querySelector("#read");
  const sums = Object.fromEntries((page?.dataset.have || "").split(" ").map((pair) => pair.split(":")));

  // Make what is shown like what came: the focus, an open fold and everything else
  // that is the same stay.
  const patch = (old, now) => {
    if (old.isEqualNode(now)) return;
    const a = [...old.childNodes], b = [...now.childNodes];
    if (old.nodeName !== now.nodeName || old.nodeType !== 1 || a.length !== b.length) return old.replaceWith(now);
    for (const { name } of [...old.attributes]) if (!now.hasAttribute(name) && name !== "open") old.removeAttribute(name);
    for (const { name, value } of now.attributes) if (old.getAttribute(name) !== value) old.setAttribute(name, value);
    a.forEach((child, i) => patch(child, b[i]));
  };
  return {
    patch,
    put: (html, of) => {
      for (const [name, text] of Object.entries(html)) {
        const place = document.querySelector(`[data-part="${name}"]`);
        if (!place) continue;
        const came = place.cloneNode(false);
        came.innerHTML = text;
        patch(place, came);
      }
      Object.assign(sums, of); // those of parts that came; of others what was shown is still so
    },
    have: () => Object.entries(sums).map((pair) => pair.join(":")).join(" "),
    // What stands there is no longer what the bench sent.
    changed: (which) => { for (const name of Object.keys(sums)) if (which(name)) sums[name] = ""; },
  };
})();
