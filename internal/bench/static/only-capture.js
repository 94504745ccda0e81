// Sound from the microphone as it is, a quarter of a second at a time, in 16 bits.
class Capture extends AudioWorkletProcessor {
  size = Math.round(sampleRate / 4);
  part = new Int16Array(this.size);
  n = 0;
  process([input]) {
    for (const v of input[0] || []) {
      this.part[this.n++] = Math.max(-32768, Math.min(32767, Math.round(v * 32768)));
      if (this.n < this.size) continue;
      this.port.postMessage(this.part.buffer, [this.part.buffer]);
      this.part = new Int16Array(this.size);
      this.n = 0;
    }
    return true;
  }
}
registerProcessor("capture", Capture);
