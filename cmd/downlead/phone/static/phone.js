import {openStore} from "/static/store.js";
import {Link} from "/static/link.js";
import {Sound} from "/static/sound.js";

const $ = id => document.getElementById(id);
const words = {
  listening: "Listening", hearing: "Hearing you", thinking: "Thinking", answering: "Answering", asking: "Asking you", paused: "Paused: say resume",
};
const page = {started: false, linked: false, muted: false, hold: false, held: false, talking: false, ended: "", view: null, trouble: "", level: 0};
let store, link, sound, lock;

function text(id, s) { const e = $(id); if (e.textContent !== s) e.textContent = s; }
function show(id, on) { $(id).hidden = !on; }

function minutes(s) {
  return s < 90 ? Math.round(s) + " seconds" : Math.round(s / 60) + " minutes";
}

function state() {
  if (page.ended) return ["ended", "Not heard"];
  if (!page.linked) return ["apart", page.started && recording() ? "Not connected: recording" : "Not connected"];
  if (page.view && page.view.stopped) return ["ended", "The machine has stopped"];
  if (!page.started) return ["ready", "Press start"];
  if (store.full) return ["ended", "Full: nothing more is recorded"];
  if (page.view && page.view.state === "answering") return ["answering", words.answering];
  if (page.muted) return ["muted", "Muted"];
  if (page.hold && !page.held) return ["muted", page.view && page.view.state === "asking" ? words.asking : "Hold to talk"];
  const s = page.view ? page.view.state : "listening";
  return [s, words[s]];
}

function recording() { return page.started && !page.muted && !store.full && (!page.hold || page.held); }

function draw() {
  const v = page.view || {};
  const [name, said] = state();
  document.documentElement.dataset.state = name;
  text("state", said);
  text("job", v.job ? "Job " + v.job : "");
  text("figure", v.figure || "");
  text("unit", v.unit || "");
  text("verdict", v.verdict || "");
  $("verdict").className = "verdict " + (v.verdict || "");
  show("reading", Boolean(v.figure || v.verdict));
  text("heard", v.heard ? "“" + v.heard + "”" : "Nothing was heard yet.");
  text("outcome", {asked: "waits for your answer", unparsed: "not understood: say it again", taken: ""}[v.outcome] || "");
  text("answer", v.question ? "" : v.answer || "");
  text("question", v.question || "");
  show("ask", Boolean(v.question));
  text("next", v.next || "");
  show("nextbox", Boolean(v.next) && !v.question);
  text("away", v.away || "");
  show("away", Boolean(v.away));
  list("cautions", (v.cautions || []).map(c => [c]));
  list("log", (v.log || []).map(l => ["“" + l.heard + "”", l.kept ? l.kept : l.outcome]));
  troubles(v);
  show("start", !page.started && !page.ended);
  show("controls", page.started && !page.ended);
  $("mute").setAttribute("aria-pressed", page.muted);
  text("mute", page.muted ? "Listen again" : "Mute while climbing");
  $("holdmode").checked = page.hold;
  show("talk", page.hold);
  show("mute", !page.hold);
  if (document.activeElement !== $("at") && !$("at").value && v.point) $("at").placeholder = v.point;
}

function troubles(v) {
  const out = [];
  if (page.ended) out.push(page.ended);
  if (v.stopped) out.push(v.stopped);
  if (page.trouble) out.push(page.trouble);
  if (v.trouble) out.push(v.trouble);
  if (store && !store.lasting) out.push("This browser keeps nothing (a private window?): a reload loses what the machine has not got.");
  if (store && store.full) out.push("This phone holds " + minutes(store.seconds) + " and has room for no more. Come within reach of the machine; until then nothing is recorded.");
  else if (store && store.seconds > 5 && (!page.linked || store.seconds > 25)) out.push((page.linked ? "Handing over: " : "Kept on this phone: ") + minutes(store.seconds) + ".");
  text("trouble", out.join(" "));
  show("trouble", out.length > 0);
}

function list(id, rows) {
  const key = JSON.stringify(rows);
  const at = $(id);
  if (at.dataset.key === key) return;
  at.dataset.key = key;
  at.replaceChildren(...rows.map(row => {
    const li = document.createElement("li");
    row.forEach((s, i) => {
      const e = document.createElement(i ? "span" : "b");
      e.textContent = s;
      li.append(e, " ");
    });
    return li;
  }));
}

async function start() {
  page.trouble = "";
  try {
    await sound.start();
    page.started = true;
    awake();
    headset();
  } catch (e) {
    page.trouble = e.message;
  }
  draw();
}

// awake keeps the screen on while the page listens.
async function awake() {
  if (!navigator.wakeLock || document.hidden || !page.started) return;
  try {
    lock = await navigator.wakeLock.request("screen");
  } catch (e) {
    lock = null; // the battery is low; the phone decides
  }
}

// headset gives the headset's buttons a meaning, where the browser passes them on.
function headset() {
  const session = navigator.mediaSession;
  if (!session) return;
  const set = (name, f) => { try { session.setActionHandler(name, f); } catch (e) { /* this browser does not know it */ } };
  for (const name of ["play", "pause", "togglemicrophone"]) set(name, () => mute(!page.muted));
  set("nexttrack", again);
}

// over ends the phrase that is being said: no more sound comes.
function over() {
  store.add({at: Date.now(), flags: 2, count: 0, samples: null});
}

function mute(on) {
  if (on && recording()) over();
  page.muted = on;
  draw();
}

function talk(on) {
  if (!page.hold || page.held === on) return;
  if (on) {
    sound.hush();
    sound.wake();
  } else over();
  page.held = on;
  $("talk").setAttribute("aria-pressed", on);
  draw();
}

function frame(at, samples, deaf) {
  if (!recording() || page.ended) return;
  if (deaf && page.held) deaf = false; // the button says that the technician speaks
  store.add({at, flags: deaf ? 1 : 0, count: samples.length, samples: deaf ? null : samples.buffer});
}

function again() { link.json({type: "again"}); }

function typed(e) {
  e.preventDefault();
  const s = $("phrase").value.trim();
  if (!s) return;
  text("typed", page.linked ? "Sent." : "Will be sent when connected.");
  link.say(s);
  $("phrase").value = "";
}

async function photograph(e) {
  e.preventDefault();
  const form = new FormData($("photo"));
  if (!form.get("at")) form.set("at", $("at").placeholder);
  text("photographed", "Sending.");
  try {
    const r = await fetch("/photographs", {method: "POST", body: form});
    const type = r.headers.get("Content-Type") || "";
    text("photographed", type.startsWith("text/plain") && !r.ok ? await r.text() : (await r.json()).told);
    if (r.ok) $("photo").reset();
  } catch (err) {
    text("photographed", "Not sent: the machine is out of reach. The photograph is still chosen; send it again when connected.");
  }
}

function wire() {
  $("start").onclick = start;
  $("mute").onclick = () => mute(!page.muted);
  $("yes").onclick = () => link.say("yes");
  $("no").onclick = () => link.say("no");
  $("again").onclick = again;
  $("say").onsubmit = typed;
  $("photo").onsubmit = photograph;
  $("holdmode").onchange = e => {
    if (e.target.checked && recording()) over();
    page.hold = e.target.checked;
    page.muted = false;
    draw();
  };
  const t = $("talk");
  t.onpointerdown = e => { t.setPointerCapture(e.pointerId); talk(true); };
  t.onpointerup = t.onpointercancel = () => talk(false);
  t.oncontextmenu = e => e.preventDefault();
  t.onkeydown = e => { if (e.key === " " || e.key === "Enter") { e.preventDefault(); talk(true); } };
  t.onkeyup = e => { if (e.key === " " || e.key === "Enter") talk(false); };
  t.onblur = () => talk(false);
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) { talk(false); return; }
    awake();
    sound.wake();
  });
}

async function main() {
  if (location.hash) history.replaceState(null, "", "/"); // paired already: the code is not needed
  store = await openStore();
  store.onfull = draw;
  sound = new Sound({
    frame,
    played: id => link.json({type: "played", clip: id}),
    playing: at => { document.documentElement.dataset.answered = at; },
    lost: () => { page.started = false; page.trouble = "The microphone went away. Press start when it is back."; draw(); },
  });
  link = new Link(store, {
    view: v => { page.view = v; draw(); },
    clip: c => sound.play(c),
    took: m => {
      text("typed", m.error || "");
      if (m.error) $("phrase").value = m.text;
    },
    bad: s => { page.trouble = s; draw(); },
    bye: s => { page.ended = s; draw(); },
    held: draw,
    state: on => { page.linked = on; draw(); },
  });
  wire();
  setInterval(draw, 1000);
  draw();
}

// Two pages of one phone would number their sound twice.
if (navigator.locks) {
  navigator.locks.request("downlead-phone", {ifAvailable: true}, held => {
    if (held) { main(); return new Promise(() => {}); }
    text("state", "Open already");
    text("trouble", "This page is open in another tab of this phone. Use that one, or close it and load this one again.");
    show("trouble", true);
  });
} else {
  main();
}
