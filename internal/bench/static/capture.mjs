// Sound from the microphone as it is, a quarter of a second at a time, in 16 bits.
class Capture extends AudioWorkletProcessor {
  part = new Int16Array(Math.round(sampleRate / 4));
  n = 0;
  process([input]) {
    for (const v of input[0] || []) {
      this.part[this.n++] = Math.max(-32768, Math.min(32767, Math.round(v * 32768)));
      if (this.n < this.part.length) continue;
      this.port.postMessage(this.part.buffer, [this.part.buffer]);
      this.part = new Int16Array(this.part.length);
      this.n = 0;
    }
    return true;
  }
}
registerProcessor("capture", Capture);
