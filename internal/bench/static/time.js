// Times in the zone of this browser. The page says them in UTC; that stays to be
// seen by pointing at one.
"use strict";
const localTimes = (root = document) => {
  const two = (n) => String(n).padStart(2, "0");
  for (const t of root.querySelectorAll("time[data-form]")) {
    const at = new Date(t.dateTime);
    if (isNaN(at)) continue;
    const day = `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
    t.title = t.dateTime.replace("T", " ").replace(/:\d\dZ$/, " UTC");
    t.textContent = t.dataset.form === "day" ? day : `${day} ${two(at.getHours())}:${two(at.getMinutes())}`;
  }
};
localTimes();
