// The page of the screens: once a code was used or a screen removed, the list and the
// new code come by themselves.
"use strict";
(() => {
  const place = document.querySelector("#screens");
  if (!place) return;
  const look = async () => {
    const r = await fetch(location.pathname + location.search, { headers: { Accept: "text/html" } });
    if (r.redirected) return location.assign(r.url); // this screen was removed
    if (!r.ok) return;
    const now = new DOMParser().parseFromString(await r.text(), "text/html").querySelector("#screens");
    if (!now || now.dataset.code === place.dataset.code) return;
    place.dataset.code = now.dataset.code;
    place.replaceChildren(...now.childNodes);
    localTimes(place);
  };
  setInterval(() => { if (!document.hidden) look().catch(() => {}); }, 2000);
})();
