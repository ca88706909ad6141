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
let stream;

function listen() {
  if (!main || stream || document.hidden || !window.EventSource) return;
  stream = new EventSource(main.dataset.live + "?seen=" + main.dataset.seen);
  stream.addEventListener("entries", event => renew(JSON.parse(event.data)));
}

// A tab that nobody looks at holds no connection: browsers allow six to a host.
function rest() {
  stream?.close();
  stream = undefined;
}

document.addEventListener("visibilitychange", () => document.hidden ? rest() : listen());
window.addEventListener("pagehide", rest);
window.addEventListener("pageshow", listen);

// A diagnosis that takes long comes later: the page asks for it until it is there.
if (document.querySelector(".jobhead[data-late]")) setTimeout(renew, 1000);

// However many entries come at once, the page is fetched once at a time, and
// once more for those that came meanwhile.
let fetching = false, again = false;

async function renew(news) {
  if (news) {
    main.dataset.seen = news.last;
    document.getElementById("live-word").textContent = news.text;
  }
  again = true;
  if (fetching) return;
  fetching = true;
  try {
    while (again) {
      again = false;
      await refetch();
    }
  } finally { fetching = false; }
}

async function refetch() {
  const answer = await fetch(main.dataset.self);
  if (!answer.ok) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  for (const part of document.querySelectorAll("[data-swap], .jobhead")) {
    const other = part.id ? fresh.getElementById(part.id) : fresh.querySelector(".jobhead");
    if (other && !busy(part)) swap(part, other);
  }
  if (fresh.querySelector(".jobhead[data-late]")) setTimeout(renew, 1000);
}

function busy(part) {
  if (part.contains(document.activeElement) && document.activeElement.matches("input, audio, select, textarea")) return true;
  for (const input of part.querySelectorAll("input:not([type=hidden])")) if (input.value !== input.defaultValue) return true;
  for (const sound of part.querySelectorAll("audio")) if (!sound.paused) return true;
  return false;
}

// What was unfolded stays so, and the focus stays where it was.
function swap(part, other) {
  const name = d => (d.closest("[id]")?.id ?? "") + " " + d.querySelector("summary")?.textContent;
  const folds = new Map([...part.querySelectorAll("details")].map(d => [name(d), d.open]));
  const here = document.activeElement;
  const back = part.contains(here) && here.closest("[id]") ? here.closest("[id]").id : "";
  const copy = document.importNode(other, true);
  for (const d of copy.querySelectorAll("details")) d.open = folds.get(name(d)) ?? d.open;
  part.replaceWith(copy);
  for (const input of copy.querySelectorAll("input[data-check]")) watch(input);
  if (back) document.getElementById(back)?.focus();
}
