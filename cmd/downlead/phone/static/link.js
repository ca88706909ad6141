// The link to the machine: frames up, in order, until they are safe; what the
// page shows and the sound of answers down.
const HEAD = 16;
const SILENT = 6000; // ms without a sign after which the link counts as broken
const BUFFER = 1 << 18; // bytes on their way at most

function encode(f) {
  const body = f.samples ? new Int16Array(f.samples) : new Int16Array(0);
  const b = new ArrayBuffer(HEAD + 2 * body.length);
  const v = new DataView(b);
  v.setUint8(0, 1);
  v.setUint8(1, f.flags);
  v.setUint16(2, f.count, true);
  v.setUint32(4, f.seq, true);
  v.setFloat64(8, f.at, true);
  body.forEach((s, i) => v.setInt16(HEAD + 2 * i, s, true));
  return b;
}

export class Link {
  constructor(store, on) {
    this.store = store;
    this.on = on; // view, clip, took, bye, bad, state
    this.outbox = []; // typed phrases that the machine has not taken yet
    this.process = "";
    this.wait = 250;
    this.ready = false;
    this.ended = false;
    store.onkept = () => this.pump();
    this.connect();
    addEventListener("online", () => this.hurry());
    document.addEventListener("visibilitychange", () => { if (!document.hidden) this.hurry(); });
    setInterval(() => this.beat(), 1000);
  }

  hurry() {
    if (this.ws || this.ended) return;
    clearTimeout(this.later);
    this.connect();
  }

  connect() {
    const ws = new WebSocket("wss://" + location.host + "/link");
    this.ws = ws;
    this.heard = Date.now();
    ws.binaryType = "arraybuffer";
    ws.onopen = () => this.json({type: "hello", stream: this.store.stream, oldest: this.store.oldest, newest: this.store.newest});
    ws.onmessage = e => { this.heard = Date.now(); this.message(ws, e.data); };
    ws.onclose = () => this.closed(ws);
  }

  closed(ws) {
    if (this.ws !== ws) return;
    this.ws = null;
    this.ready = false;
    this.on.state(false);
    if (this.ended) return;
    this.later = setTimeout(() => this.connect(), this.wait);
    this.wait = Math.min(2 * this.wait, 4000);
  }

  beat() {
    const ws = this.ws;
    if (!ws) return;
    if (Date.now() - this.heard > SILENT) {
      ws.close();
      this.closed(ws); // a dead link takes its time to close
      return;
    }
    if (this.ready) this.json({type: "beat", newest: this.store.newest});
  }

  json(m) { if (this.ws && this.ws.readyState === WebSocket.OPEN) this.ws.send(JSON.stringify(m)); }

  message(ws, data) {
    if (ws !== this.ws) return;
    if (typeof data !== "string") { this.clip(data); return; }
    const m = JSON.parse(data);
    switch (m.type) {
    case "time": this.json({type: "time", sent: m.sent, now: Date.now()}); break;
    case "have": this.have(m); break;
    case "ack": this.ack(m); break;
    case "took": this.took(m); break;
    case "bad": if (m.seq >= 0) this.store.damaged(m.seq); this.on.bad(m.text); break;
    case "bye": this.ended = true; this.on.bye(m.text); break;
    case "view": this.on.view(m); break;
    }
  }

  have(m) {
    this.ack(m);
    this.next = m.next;
    if (this.store.last < m.next - 1) this.store.last = this.store.newest = m.next - 1;
    if (m.offset !== undefined) this.begin(m);
    this.pump();
  }

  begin(m) {
    this.wait = 250;
    this.ready = true;
    this.on.state(true);
    const uncertain = this.process !== "" && this.process !== m.process ? this.outbox.splice(0) : [];
    this.process = m.process;
    for (const p of uncertain) this.on.took({id: p.id, text: p.text, error: "The machine was started anew: look whether this was kept, and send it again if not."});
    for (const p of this.outbox) this.json(p);
  }

  ack(m) {
    this.limit = m.limit;
    this.store.drop(m.safe);
    this.on.held();
    this.pump();
  }

  // pump sends what the machine has not got, in order, no faster than it goes.
  async pump() {
    if (this.pumping || !this.ready) return;
    this.pumping = true;
    try {
      while (this.ready && this.next <= Math.min(this.store.newest, this.limit - 1)) {
        const ws = this.ws;
        if (ws.bufferedAmount > BUFFER) {
          await new Promise(r => setTimeout(r, 50));
          continue;
        }
        if (this.next < this.store.oldest) { // it is gone from here
          this.next = this.store.oldest;
          this.json({type: "skip", stream: this.store.stream, oldest: this.next});
        }
        const from = this.next;
        const frames = await this.store.read(from, Math.min(this.store.newest, this.limit - 1, from + 49));
        if (ws !== this.ws || !this.ready || this.next !== from) continue;
        if (frames.length === 0 || frames[0].seq !== from) {
          this.next = frames.length ? frames[0].seq : this.store.newest + 1;
          this.json({type: "skip", stream: this.store.stream, oldest: this.next});
          continue;
        }
        for (const f of frames) {
          if (f.seq !== this.next) break;
          ws.send(encode(f));
          this.next++;
        }
      }
    } finally {
      this.pumping = false;
    }
  }

  say(text) {
    const p = {type: "say", id: crypto.randomUUID(), text};
    this.outbox.push(p);
    if (this.ready) this.json(p);
  }

  took(m) {
    const at = this.outbox.findIndex(p => p.id === m.id);
    if (at < 0) return;
    const [p] = this.outbox.splice(at, 1);
    this.on.took({...m, text: p.text});
  }

  clip(data) {
    const v = new DataView(data);
    this.on.clip({id: v.getUint32(0, true), volume: v.getFloat32(4, true), samples: new Int16Array(data.slice(8))});
  }
}
