// The engine's worker: it starts the program and hands questions and answers on.
self.lostairKeep = (name, data) => postMessage({ keep: name, data });
self.lostairReady = () => postMessage({ ready: true });
onmessage = async e => {
  const m = e.data;
  if (m.start) {
    try {
      self.lostairFiles = m.files;
      self.lostairDemo = m.demo;
      const go = new Go();
      const w = await WebAssembly.instantiate(m.start, go.importObject);
      go.run(w.instance).then(() => postMessage({ ended: true }), err => postMessage({ ended: String(err) }));
    } catch (err) { postMessage({ ended: String(err) }); }
    return;
  }
  self.lostairAnswer(m.method, m.address, m.type, m.body, (status, location, type, body) => postMessage({ id: m.id, status, location, type, body }));
};
