// Everything on the page works without this script. It adds two things: the
// check of a phrase while it is typed, and new entries as they come in.
"use strict";

// What a form told is read out first, and the tab key goes on from there.
document.querySelector("#problem, #flash")?.focus();

// A phrase is checked a moment after the last key, and never kept by it.
for (const input of document.querySelectorAll("input[data-check]")) watch(input);

function watch(input) {
  let timer, asked = 0;
  input.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(() => check(input, ++asked, () => asked), 250);
  });
}

async function check(input, mine, newest) {
  const out = document.getElementById(input.dataset.check);
  if (!out) return;
  if (input.value.trim() === "") { say(out, "", ""); return; }
  try {
    const answer = await fetch("/check?phrase=" + encodeURIComponent(input.value));
    if (!answer.ok || mine !== newest()) return;
    const found = await answer.json();
    if (mine !== newest()) return;
    if (found.error) say(out, "bad", found.error);
    else say(out, "good", "Means: " + found.means.join("; "));
  } catch { say(out, "", ""); }
}

function say(out, kind, text) {
  out.className = "check " + kind;
  out.textContent = text;
}

// New entries: the server says that there are some, and the parts of the page
// marked data-swap are fetched again. A part in which something is being typed
// or played is left alone; a word says that there is more.
const main = document.querySelector("main[data-live]");
if (main && window.EventSource) {
  const stream = new EventSource(main.dataset.live + "?seen=" + main.dataset.seen);
  stream.addEventListener("entries", event => renew(JSON.parse(event.data)));
  window.addEventListener("pagehide", () => stream.close());
}

// A diagnosis that takes long comes later: the page asks for it until it is there.
if (document.querySelector(".jobhead[data-late]")) setTimeout(renew, 1000);

async function renew(news) {
  const word = document.getElementById("live-word");
  const answer = await fetch(location.href);
  if (!answer.ok) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  for (const part of document.querySelectorAll("[data-swap], .jobhead")) {
    const other = part.id ? fresh.getElementById(part.id) : fresh.querySelector(".jobhead");
    if (other && !busy(part)) swap(part, other);
  }
  if (news) { main.dataset.seen = news.last; word.textContent = news.text; }
  if (fresh.querySelector(".jobhead[data-late]")) setTimeout(renew, 1000);
}

function busy(part) {
  if (part.contains(document.activeElement) && document.activeElement.matches("input, audio, select, textarea")) return true;
  for (const input of part.querySelectorAll("input:not([type=hidden])")) if (input.value !== input.defaultValue) return true;
  for (const sound of part.querySelectorAll("audio")) if (!sound.paused) return true;
  return false;
}

function swap(part, other) {
  const open = [...part.querySelectorAll("details")].map(d => d.open);
  const here = document.activeElement;
  const back = part.contains(here) && here.closest("[id]") ? here.closest("[id]").id : "";
  const copy = document.importNode(other, true);
  const details = copy.querySelectorAll("details");
  if (details.length === open.length) details.forEach((d, i) => { d.open = open[i]; });
  part.replaceWith(copy);
  for (const input of copy.querySelectorAll("input[data-check]")) watch(input);
  if (back) document.getElementById(back)?.focus();
}
