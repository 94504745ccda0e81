// The neck from above, in what is left of the screen: whole where its figures
// can be read then, else near, around the crown to read. Without this script it
// is whole.
"use strict";
const above = (() => {
  const least = 12, near = 20, figures = 19; // px of the figures, and their size in the picture
  let corner = null, whole = false;
  const between = (least, v, most) => Math.max(least, Math.min(v, most));

  const fit = () => {
    const svg = document.querySelector(".neck svg[data-side]"), place = svg?.parentElement;
    if (!place) return;
    const [W, H] = (svg.dataset.all ??= svg.getAttribute("viewBox").slice(4)).split(" ").map(Number);
    const w = place.clientWidth, h = place.clientHeight;
    if (!w || !h) return;
    const all = Math.min(w / W, h / H), fits = all * figures >= least;
    const button = document.querySelector("[data-whole]");
    if (button) {
      button.hidden = fits;
      button.setAttribute("aria-pressed", String(whole));
    }
    if (fits || whole) {
      corner = null;
      return look(svg, 0, 0, W, H);
    }
    const scale = between(least / figures, w / W, near / figures);
    const vw = w / scale, vh = h / scale, side = Number(svg.dataset.side), head = Number(svg.dataset.head);
    const mid = /translate\((\S+) (\S+)\)/.exec(svg.querySelector(".here")?.parentElement.getAttribute("transform"))?.slice(1).map(Number) || [0, 0];
    corner ??= [-Infinity, -Infinity];
    // It stays where it is while the crown is well within, and else puts it in the middle.
    const along = (k, size, full, taken, step) => {
      if (size >= full) return (full - size) / 2;
      const seen = mid[k] - corner[k] > taken + step && mid[k] - corner[k] < size - step;
      return between(0, seen ? corner[k] : mid[k] - (size + taken) / 2, full - size);
    };
    corner = [along(0, vw, W, side, 40), along(1, vh, H, head, 60)];
    look(svg, ...corner, vw, vh);
  };
  // What names frets and lanes stays in sight.
  const look = (svg, x, y, w, h) => {
    svg.setAttribute("viewBox", [x, y, w, h].map((v) => v.toFixed(1)).join(" "));
    svg.querySelector("[data-stay=x]")?.setAttribute("transform", `translate(${Math.max(0, x).toFixed(1)} 0)`);
    svg.querySelector("[data-stay=y]")?.setAttribute("transform", `translate(0 ${Math.max(0, y).toFixed(1)})`);
  };
  const turn = (to) => {
    whole = to;
    corner = null;
    fit();
  };
  const onPaper = () => {
    const svg = document.querySelector(".neck svg[data-all]");
    if (svg) look(svg, 0, 0, ...svg.dataset.all.split(" ").map(Number));
  };
  addEventListener("beforeprint", onPaper);
  addEventListener("afterprint", () => fit());
  addEventListener("resize", () => { corner = null; fit(); });
  return { fit, turn, near: () => { if (whole) turn(false); else fit(); }, whole: () => whole };
})();
