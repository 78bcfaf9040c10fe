// The page that is one file: the engine stands in the page itself, files stay in
// the browser, and nothing is fetched or sent.
(() => {
"use strict";
const text = id => document.getElementById(id).textContent.trim();
const bytes = b64 => Uint8Array.fromBase64 ? Uint8Array.fromBase64(b64) : Uint8Array.from(atob(b64), c => c.charCodeAt(0));
// The engine is written with seven bits a letter, an eighth shorter than base64;
// letters from À on stand for those that mean something in a page.
function packed(t) {
  const unfit = [0, 13, 26, 60], out = new Uint8Array(Math.floor(t.length * 7 / 8));
  let k = 0, held = 0, n = 0;
  for (let i = 0; i < t.length; i++) {
    const x = t.charCodeAt(i);
    held = held << 7 & 0x3fff | (x < 128 ? x : unfit[x - 192]);
    n += 7;
    if (n >= 8) { n -= 8; out[k++] = held >>> n; }
  }
  return out;
}
const waiting = new Map();
let count = 0, worker, store = null, held = 0;

// What the browser keeps between visits: a table of files, if it lets us.
const request = r => new Promise((yes, no) => { r.onsuccess = () => yes(r.result); r.onerror = () => no(r.error); });
async function openStore() {
  try {
    const r = indexedDB.open("lostair", 1);
    r.onupgradeneeded = () => r.result.createObjectStore("files");
    store = await request(r);
    if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});
    const s = store.transaction("files").objectStore("files");
    const [names, data] = await Promise.all([request(s.getAllKeys()), request(s.getAll())]);
    held = names.length;
    return names.map((name, i) => ({ name, data: data[i] }));
  } catch { store = null; return []; }
}
let keeping = Promise.resolve();
function keep(name, data) {
  if (!store) return;
  keeping = keeping.then(() => new Promise((yes, no) => {
    const t = store.transaction("files", "readwrite", { durability: "strict" });
    t.objectStore("files").put(data, name);
    t.oncomplete = yes;
    t.onerror = t.onabort = () => no(t.error);
  })).catch(() => { store = null; });
}

const engine = window.lostairEngine = {
  // ask puts a request to the engine and follows where it leads.
  async ask(method, address, body) {
    for (let hops = 0; hops < 5; hops++) {
      const a = await this.once(method, address, body);
      if (a.status !== 303) return { address, status: a.status, text: new TextDecoder().decode(a.body), raw: a.body };
      method = "GET"; address = a.location; body = undefined;
    }
    throw new Error("it goes round in a circle");
  },
  async once(method, address, body) {
    let type = "", data = null;
    if (body) {
      const r = new Response(body);
      type = r.headers.get("Content-Type");
      data = new Uint8Array(await r.arrayBuffer());
    }
    const id = ++count;
    const a = await new Promise((yes, no) => { waiting.set(id, [yes, no]); worker.postMessage({ id, method, address, type, body: data }); });
    await keeping; // saved means kept, as far as this browser keeps anything
    return a;
  },
  // save hands a file to the browser's downloads.
  async save(address) {
    const a = await this.ask("GET", address);
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([a.raw]));
    link.download = decodeURIComponent(address.split("/").pop());
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  },
  // whole shows a page that is made for paper over this one.
  async whole(address, title) {
    const a = await this.ask("GET", address);
    if (a.status >= 400) { window.lostairShow(a, false); return; }
    const box = document.createElement("dialog"), frame = document.createElement("iframe"), row = document.createElement("div");
    box.className = "over"; box.dataset.shell = "yes"; row.className = "row"; frame.className = "whole"; frame.title = title;
    const doc = new DOMParser().parseFromString(a.text, "text/html");
    doc.querySelectorAll("script, meta[http-equiv]").forEach(e => e.remove()); // such a page is whole without
    frame.srcdoc = "<!DOCTYPE html>" + doc.documentElement.outerHTML;
    const button = (t, f) => { const b = document.createElement("button"); b.textContent = t; b.onclick = f; row.append(b); };
    button("Close", () => box.close());
    button("Print", () => frame.contentWindow.print());
    box.onclose = () => box.remove();
    box.append(row, frame);
    document.body.append(box);
    box.showModal();
  },
  keeping: () => store ? `This page is one file, and nothing leaves this device. What you enter is kept in this browser${held ? ` (${held} files)` : ""}; if its data are cleared, it is gone, so save the files now and then.`
    : "This page is one file, and nothing leaves this device. This browser keeps nothing between visits: save the files before you close it.",
};

async function start() {
  const files = await openStore();
  const glue = URL.createObjectURL(new Blob([text("glue")], { type: "text/javascript" }));
  worker = new Worker(glue);
  const ready = new Promise((yes, no) => {
    worker.onmessage = e => {
      const m = e.data;
      if (m.ready) yes();
      else if (m.keep) { held++; keep(m.keep, m.data); }
      else if (m.id) { const w = waiting.get(m.id); waiting.delete(m.id); w[0](m); }
      else if (m.ended) { const why = new Error("the engine stopped: " + m.ended); no(why); for (const [, w] of waiting) w[1](why); }
    };
    worker.onerror = e => no(new Error(e.message));
  });
  const demo = JSON.parse(text("demo")).map(f => ({ name: f.name, data: bytes(f.data) }));
  const wasm = await new Response(new Blob([packed(document.getElementById("engine").textContent)]).stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
  document.getElementById("engine").remove();
  worker.postMessage({ start: wasm, files, demo }, [wasm]);
  await ready;
  engine.started();
}
addEventListener("DOMContentLoaded", () => start().catch(e => {
  const p = document.createElement("p");
  p.className = "problem";
  p.textContent = "This browser can't run the page: " + e.message + ". A newer one can.";
  document.querySelector("main").append(p);
}));
})();
