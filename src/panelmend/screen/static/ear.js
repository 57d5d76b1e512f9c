// Runs beside the page: hands on the samples of the microphone as they come.
class Ear extends AudioWorkletProcessor {
  process([input]) {
    if (input[0]?.length) this.port.postMessage(input[0].slice());
    return true;
  }
}
registerProcessor("ear", Ear);
