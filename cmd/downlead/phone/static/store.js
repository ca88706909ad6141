// The frames that the machine has not said are safe. They outlive a reload and
// a crash of the page; where the browser keeps nothing, the page says so.
const MOST = 90000; // frames: an hour of 40 ms
const RECENT = 128; // frames at hand without asking the database

function asked(request) {
  return new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
}

function database() {
  return new Promise((done, failed) => {
    const open = indexedDB.open("downlead-phone", 1);
    open.onupgradeneeded = () => {
      open.result.createObjectStore("frames", {keyPath: "seq"});
      open.result.createObjectStore("about");
    };
    open.onsuccess = () => done(open.result);
    open.onerror = () => failed(open.error);
    open.onblocked = () => failed(new Error("blocked"));
  });
}

export async function openStore() {
  const store = new Store();
  try {
    await store.load(await database());
    if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});
  } catch (e) {
    store.db = null; // a private window
    store.stream = crypto.randomUUID();
  }
  return store;
}

class Store {
  constructor() {
    this.db = null;
    this.stream = "";
    this.oldest = 0; // the first frame that is kept
    this.newest = -1; // the last that is safely kept
    this.last = -1; // the last that was given a number
    this.recent = new Map();
    this.full = false;
    this.onkept = () => {};
    this.onfull = () => {};
  }

  get lasting() { return this.db !== null; }
  get seconds() { return Math.max(0, this.newest - this.oldest + 1) * 0.04; }

  async load(db) {
    const t = db.transaction(["frames", "about"], "readwrite");
    const about = t.objectStore("about"), frames = t.objectStore("frames");
    this.stream = await asked(about.get("stream"));
    if (!this.stream) {
      this.stream = crypto.randomUUID();
      about.put(this.stream, "stream");
    }
    const next = (await asked(about.get("next"))) || 0;
    const first = await asked(frames.openCursor());
    const last = await asked(frames.openCursor(null, "prev"));
    this.newest = Math.max(last ? last.key : -1, next - 1);
    this.oldest = first ? first.key : this.newest + 1;
    this.last = this.newest;
    this.db = db;
  }

  // add keeps a frame; onkept is called when it is, and only then may it be sent.
  add(frame) {
    if (this.last - this.oldest + 1 >= MOST) return this.overflow();
    frame.seq = ++this.last;
    this.recent.set(frame.seq, frame);
    if (!this.db) {
      this.newest = frame.seq;
      this.onkept();
      return;
    }
    if (this.recent.size > RECENT) this.recent.delete(this.recent.keys().next().value);
    const t = this.db.transaction("frames", "readwrite", {durability: "relaxed"});
    t.objectStore("frames").put(frame);
    t.oncomplete = () => {
      this.newest = Math.max(this.newest, frame.seq);
      this.onkept();
    };
    t.onabort = () => this.overflow(t.error);
  }

  // overflow says that no more can be kept: what is kept already stays.
  overflow() {
    if (!this.full) {
      this.full = true;
      this.onfull();
    }
  }

  async read(from, to) {
    const out = [];
    for (let seq = from; seq <= to && this.recent.has(seq); seq++) out.push(this.recent.get(seq));
    if (out.length > 0 || !this.db) return out;
    const frames = this.db.transaction("frames").objectStore("frames");
    return asked(frames.getAll(IDBKeyRange.bound(from, to)));
  }

  // drop forgets the frames before one: they are safe.
  drop(safe) {
    if (safe <= this.oldest) return;
    this.oldest = Math.min(safe, this.last + 1);
    for (const seq of this.recent.keys()) if (seq < this.oldest) this.recent.delete(seq);
    if (!this.db) { this.full = false; return; }
    const t = this.db.transaction(["frames", "about"], "readwrite", {durability: "relaxed"});
    t.objectStore("frames").delete(IDBKeyRange.upperBound(this.oldest, true));
    t.objectStore("about").put(this.oldest, "next");
    t.oncomplete = () => { this.full = false; };
  }

  // damaged makes a frame silent that does not arrive whole.
  async damaged(seq) {
    const [frame] = await this.read(seq, seq);
    if (!frame) return;
    const silent = {...frame, samples: null, flags: (frame.flags & 2) | 1, count: frame.count > 1600 ? 640 : frame.count};
    this.recent.set(seq, silent);
    if (this.db) await asked(this.db.transaction("frames", "readwrite").objectStore("frames").put(silent));
  }
}
