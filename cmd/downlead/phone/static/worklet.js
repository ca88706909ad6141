// Resamples the microphone to 16 kHz by a windowed sinc, with the figures of
// the program's own resampler: cut-off 0.45 of the lower rate, Kaiser window
// with beta 8, 24 zero crossings on each side. Gives frames of 40 ms.
const RATE = 16000;
const FRAME = 640;
const BETA = 8, CROSSINGS = 24, CUT = 0.45;

function bessel0(x) {
  let sum = 1, term = 1;
  for (let k = 1; term > sum * 1e-12; k++) {
    term *= (x / 2 / k) * (x / 2 / k);
    sum += term;
  }
  return sum;
}

function gcd(a, b) { return b === 0 ? a : gcd(b, a % b); }

class Resampler {
  constructor(from) {
    const g = gcd(from, RATE);
    this.num = RATE / g;
    this.den = from / g;
    this.phases = Math.min(this.num, 2048);
    const cut = CUT * Math.min(from, RATE) / from;
    this.half = Math.ceil(CROSSINGS / (2 * cut));
    this.filters = [];
    for (let p = 0; p <= this.phases; p++) this.filters.push(this.filter(cut, p / this.phases));
    this.history = new Float32Array(this.half - 1);
    this.base = -(this.half - 1);
    this.next = 0;
  }

  filter(cut, shift) {
    const f = new Float32Array(2 * this.half);
    let sum = 0;
    for (let k = 0; k < f.length; k++) {
      const x = k - this.half + 1 - shift;
      const w = x / this.half;
      const window = Math.abs(w) >= 1 ? 0 : bessel0(BETA * Math.sqrt(1 - w * w)) / bessel0(BETA);
      const y = 2 * cut * x;
      f[k] = 2 * cut * (y === 0 ? 1 : Math.sin(Math.PI * y) / (Math.PI * y)) * window;
      sum += f[k];
    }
    return f.map(v => v / sum);
  }

  // process calls give with every sample that the input allows.
  process(input, give) {
    const h = new Float32Array(this.history.length + input.length);
    h.set(this.history);
    h.set(input, this.history.length);
    for (;;) {
      const at = this.next * this.den;
      const whole = Math.floor(at / this.num), part = at % this.num;
      const first = whole - this.half + 1 - this.base;
      if (first + 2 * this.half > h.length) break;
      const f = this.filters[Math.floor((part * this.phases + this.num / 2) / this.num)];
      let sum = 0;
      for (let k = 0; k < f.length; k++) sum += f[k] * h[first + k];
      give(sum);
      this.next++;
    }
    const drop = Math.max(0, Math.min(h.length, Math.floor(this.next * this.den / this.num) - this.half + 1 - this.base));
    this.history = h.slice(drop);
    this.base += drop;
    if (this.next >= this.num * 1e6) { // the places stay exact numbers for ever
      this.next -= this.num * 1e6;
      this.base -= this.den * 1e6;
    }
  }
}

// The time of the sound is its own, counted in samples: the processor may be
// called late, and then many times at once. It follows the clock slowly, so
// that it is right after hours, and at once after a sleep.
const SLEPT = 5000; // ms, later than any call
const FOLLOW = 1 / 1000; // of the difference, with every frame

class Microphone extends AudioWorkletProcessor {
  constructor() {
    super();
    this.resampler = new Resampler(sampleRate);
    this.frame = new Int16Array(FRAME);
    this.fill = 0;
    this.at = 0; // ms, the clock at the first sample of the frame; 0: take it anew
    this.port.onmessage = () => { this.flush(); this.at = 0; };
  }

  process(inputs) {
    const channels = inputs[0];
    const now = Date.now();
    if (this.at === 0 || Math.abs(now - this.at - this.fill / 16) > SLEPT) {
      this.flush();
      this.at = now;
    }
    this.late = now - this.at - this.fill / 16;
    const n = channels.length === 0 ? 128 : channels[0].length;
    const mono = new Float32Array(n);
    for (const c of channels) for (let i = 0; i < n; i++) mono[i] += c[i] / channels.length;
    this.resampler.process(mono, v => {
      const s = Math.round(v * 32768);
      this.frame[this.fill++] = s > 32767 ? 32767 : s < -32768 ? -32768 : s;
      if (this.fill === FRAME) this.flush();
    });
    return true;
  }

  flush() {
    if (this.fill === 0) return;
    const samples = this.frame.slice(0, this.fill);
    this.port.postMessage({at: this.at, samples}, [samples.buffer]);
    this.at += this.fill / 16 + FOLLOW * this.late;
    this.fill = 0;
  }
}

registerProcessor("microphone", Microphone);
