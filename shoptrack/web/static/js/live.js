// Keeps a page as the shop is: asks every few seconds, swaps the sheet when it changed, counts down between.
"use strict";
(() => {
  const EVERY_MS = 5000;
  const main = document.getElementById("main");
  const link = document.getElementById("link");
  let tag = main.dataset.tag ? `"${main.dataset.tag}"` : null; // of the sheet this page came with
  let ahead = 0; // how far the server's clock is ahead of this device's
  let lost = 0;

  function clock(ms) {
    const zone = document.body.dataset.zone;
    const twelve = "twelve" in document.body.dataset;
    const form = { timeZone: zone, hour: "numeric", minute: "2-digit", hour12: twelve };
    return new Intl.DateTimeFormat("en", form).format(new Date(ms));
  }

  function say(words) {
    if (link.textContent !== words) link.textContent = words;
    link.hidden = !words;
  }

  function busy() {
    const at = document.activeElement;
    return at && main.contains(at) && at.matches("input, select, textarea");
  }

  function swap(text) {
    const fresh = new DOMParser().parseFromString(text, "text/html");
    const open = [...main.querySelectorAll("details[open][id]")].map((d) => d.id);
    const held = document.activeElement && document.activeElement.id;
    main.replaceChildren(...fresh.getElementById("main").childNodes);
    open.forEach((id) => { const d = document.getElementById(id); if (d) d.open = true; });
    const old = document.querySelectorAll("#block .cell:not(#link)");
    old.forEach((cell) => cell.remove());
    fresh.querySelectorAll("#block .cell:not(#link)").forEach((cell) => link.before(cell));
    document.title = fresh.title;
    if (!fresh.getElementById("main").dataset.live) delete main.dataset.live; // what was waited for is there
    if (held && document.getElementById(held)) document.getElementById(held).focus();
  }

  async function ask() {
    const headers = tag ? { "If-None-Match": tag } : {};
    const answer = await fetch(main.dataset.live, { headers, cache: "no-store", credentials: "same-origin" });
    ahead = Date.parse(answer.headers.get("Shop-Clock")) - Date.now() || 0;
    if (answer.status === 304) return;
    if (!answer.ok) throw new Error(String(answer.status));
    const text = await answer.text();
    if (busy()) return;
    swap(text);
    tag = answer.headers.get("ETag");
  }

  async function look() {
    try {
      await ask();
      lost = 0;
      say("");
    } catch {
      lost = lost || Date.now() + ahead;
      say("not connected since " + clock(lost));
    }
    if (main.dataset.live) setTimeout(look, EVERY_MS);
  }

  function tickDown() {
    for (const left of main.querySelectorAll("[data-until]")) {
      const s = Math.max(0, (Date.parse(left.dataset.until) - Date.now() - ahead) / 1000);
      const words = s >= 600 ? Math.floor(s / 60) + " min"
        : Math.floor(s / 60) + ":" + String(Math.floor(s % 60)).padStart(2, "0");
      if (left.textContent !== words) left.textContent = words;
    }
  }

  look();
  setInterval(tickDown, 1000);
})();
