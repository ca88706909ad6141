// The microphone, and the loudspeaker it must not hear.
const TAIL = 200; // ms after an answer for which the microphone stays deaf: the room's echo

export class Sound {
  constructor(on) {
    this.on = on; // frame, played
    this.until = 0; // ms, deaf until then
    this.playing = new Map();
    this.queued = 0; // s, when the last clip ends
  }

  // start asks for the microphone. It throws an Error whose message is for the technician.
  async start() {
    if (!isSecureContext || !navigator.mediaDevices) throw new Error("This browser gives the microphone only to secure pages: open the address that begins with https.");
    if (!window.AudioWorkletNode) throw new Error("This browser is too old to send sound (it has no AudioWorklet). Typing and the buttons work; for the microphone use a newer browser.");
    // Before the microphone is open, so that nothing said from then on is lost.
    this.context = this.context || new AudioContext({latencyHint: "interactive"});
    await this.context.resume();
    await this.context.audioWorklet.addModule("/static/worklet.js");
    let stream;
    try {
      stream = await navigator.mediaDevices.getUserMedia({audio: {channelCount: 1, echoCancellation: true, noiseSuppression: false, autoGainControl: false}});
    } catch (e) {
      if (e.name === "NotAllowedError") throw new Error("The microphone was refused. Allow it for this page in the browser's settings (the sign beside the address), then press start again.");
      if (e.name === "NotFoundError") throw new Error("This phone gives no microphone. Plug the headset in again, then press start.");
      throw new Error("The microphone cannot be opened (" + e.name + "): another program may be using it. Close that, then press start again.");
    }
    const node = new AudioWorkletNode(this.context, "microphone", {numberOfInputs: 1, numberOfOutputs: 1, outputChannelCount: [1]});
    node.port.onmessage = e => this.on.frame(e.data.at, e.data.samples, this.deaf());
    const mute = new GainNode(this.context, {gain: 0});
    this.context.createMediaStreamSource(stream).connect(node).connect(mute).connect(this.context.destination);
    for (const track of stream.getAudioTracks()) track.onended = () => this.on.lost();
    this.context.onstatechange = () => {
      if (this.context.state === "running") node.port.postMessage("awake");
      else this.context.resume().catch(() => {});
    };
  }

  wake() { if (this.context && this.context.state !== "running") this.context.resume().catch(() => {}); }

  deaf() { return this.playing.size > 0 || Date.now() < this.until; }

  play(clip) {
    if (!this.context || this.context.state !== "running" || clip.samples.length === 0) {
      this.on.played(clip.id); // nobody can hear it; the page shows it
      return;
    }
    const buffer = this.context.createBuffer(1, clip.samples.length, 16000);
    buffer.getChannelData(0).set(Float32Array.from(clip.samples, s => s / 32768));
    const source = new AudioBufferSourceNode(this.context, {buffer});
    source.connect(new GainNode(this.context, {gain: clip.volume})).connect(this.context.destination);
    const at = Math.max(this.context.currentTime, this.queued);
    this.queued = at + buffer.duration;
    this.playing.set(clip.id, source);
    source.onended = () => {
      this.playing.delete(clip.id);
      this.until = Date.now() + TAIL + 1000 * (this.context.outputLatency || 0);
      setTimeout(() => this.on.played(clip.id), this.playing.size ? 0 : TAIL);
    };
    source.start(at);
    this.on.playing(Date.now() + 1000 * (at - this.context.currentTime + (this.context.outputLatency || 0)));
  }

  // hush ends an answer: the technician speaks.
  hush() {
    for (const source of this.playing.values()) source.stop();
    this.queued = 0;
  }
}
