// The bench page works without this file. It saves reloads, keeps what is typed
// when the connection drops, and shows what others change.
(() => {
"use strict";
const root = document.documentElement;
const engine = window.lostairEngine; // of the page that is one file: answers in place of a server
const $ = (s, in_ = document) => in_.querySelector(s);
const all = (s, in_ = document) => [...in_.querySelectorAll(s)];
const say = text => { const n = $("#net"); if (n && n.textContent !== text) n.textContent = text; };
const kept = { // what a browser may refuse to keep
  get: k => { try { return localStorage.getItem(k); } catch { return null; } },
  set: (k, v) => { try { localStorage.setItem(k, v); return true; } catch { return false; } },
  drop: k => { try { localStorage.removeItem(k); } catch { /* then it was not kept */ } },
};
let here = engine ? (decodeURI(location.hash.slice(1)) || "/") : location.pathname + location.search;
let turn = 0; // of the page shown: an answer that comes late is not shown

// ask sends a request and follows where it leads.
async function ask(method, address, body) {
  if (engine) return engine.ask(method, address, body);
  const r = await fetch(address, { method, body, credentials: "same-origin", headers: { "X-Bench": "1" } });
  const u = new URL(r.url);
  return { address: u.pathname + u.search, status: r.status, text: await r.text() };
}

// show puts an answer in the place of the page.
function show(a, push, still) {
  const doc = new DOMParser().parseFromString(a.text, "text/html");
  if (!$("main", doc)) { say(a.text.trim().slice(0, 200)); return; }
  const x = scrollX, y = scrollY, open = all("details").map(d => d.open);
  for (const k of ["stamp", "base"]) root.dataset[k] = doc.documentElement.dataset[k] || "";
  document.title = doc.title;
  const fresh = [...doc.body.children].filter(e => e.localName !== "script").map(e => document.adoptNode(e));
  for (const e of [...document.body.children]) if (!e.dataset.shell) e.remove();
  document.body.prepend(...fresh);
  here = a.address;
  if (push) {
    if (engine) history.pushState(null, "", "#" + encodeURI(here)); else history.pushState(null, "", here);
  }
  dress();
  root.dataset.shown = 1 + +(root.dataset.shown || 0);
  if (still) {
    all("details").forEach((d, i) => { if (open[i] !== undefined) d.open = open[i]; });
    scrollTo(x, y);
    return;
  }
  const at = a.hash && document.getElementById(a.hash);
  if (at) at.scrollIntoView({ block: "start" }); else scrollTo(0, 0);
  const bad = $("#problems .problem, [aria-live] .problem"), field = bad && $("form [name=value], form [name=name]");
  (field || $("main")).focus({ preventScroll: true });
}

async function go(method, address, body, push = true) {
  const mine = ++turn;
  const [path, hash] = address.split("#");
  const main = $("main");
  const slow = setTimeout(() => { if (main) main.setAttribute("aria-busy", "true"); say("Working…"); }, 350);
  try {
    const a = await ask(method, path, body);
    if (mine !== turn) return true;
    a.hash = hash || (/[?&]run=/.test(a.address) ? "run" : "");
    say("");
    show(a, push);
    return true;
  } catch (e) {
    if (mine === turn) say(engine ? "That did not work: " + e : "No connection. What you typed is still here.");
    return false;
  } finally {
    clearTimeout(slow);
    if (main) main.removeAttribute("aria-busy");
  }
}

// bodyOf is what a form sends.
function bodyOf(form, submitter) {
  const data = new FormData(form);
  if (submitter && submitter.name) data.append(submitter.name, submitter.value);
  return form.enctype === "multipart/form-data" ? data : new URLSearchParams(data);
}

document.addEventListener("click", e => {
  const a = e.target.closest("a[href]");
  if (!a || e.defaultPrevented || e.button || e.metaKey || e.ctrlKey || e.shiftKey || e.altKey) return;
  const to = a.getAttribute("href") || a.getAttribute("xlink:href");
  if (!to || !to.startsWith("/")) return;
  if (engine && a.hasAttribute("download")) { e.preventDefault(); engine.save(to); return; }
  if (a.hasAttribute("download")) return;
  if ("whole" in a.dataset) { if (engine) { e.preventDefault(); engine.whole(to, a.textContent); } return; }
  e.preventDefault();
  go("GET", to);
});

document.addEventListener("submit", async e => {
  const form = e.target, by = e.submitter;
  if (e.defaultPrevented) return;
  e.preventDefault();
  const method = (form.getAttribute("method") || "get").toUpperCase(), to = form.getAttribute("action");
  const body = bodyOf(form, by);
  if (method === "GET" && "whole" in form.dataset) { if (engine) engine.whole(to + "?" + body, "Comparison"); else location.assign(to + "?" + body); return; }
  if (method === "GET") { go("GET", to + "?" + body); return; }
  if (form.dataset.busy) return; // a second tap
  form.dataset.busy = "yes";
  const went = await go("POST", to, body);
  delete form.dataset.busy;
  if (went) { if ("queue" in form.dataset) kept.drop("draft " + body.get("step")); return; }
  if ("queue" in form.dataset) wait(to, body);
});

addEventListener("popstate", () => go("GET", engine ? (decodeURI(location.hash.slice(1)) || "/") : location.pathname + location.search, undefined, false));

// Readings that could not be sent wait in the browser, and arrive once, in order.
const waiting = () => JSON.parse(kept.get("waiting") || "[]");
function wait(to, body) {
  const list = waiting();
  const text = body.toString();
  if (!list.some(x => x.body === text)) list.push({ to, body: text });
  const ok = kept.set("waiting", JSON.stringify(list));
  kept.drop("draft " + body.get("step"));
  const next = $("template[data-ahead]"), at = $("#step"); // go on with what the page brought along
  if (ok && next && at) {
    at.replaceChildren(document.importNode(next.content, true));
    next.remove();
    dress();
    $("main").focus({ preventScroll: true });
    scrollTo(0, 0);
  }
  say(ok ? `No connection. ${list.length === 1 ? "One reading is" : list.length + " readings are"} kept in this browser, and sent when it is back.` : "No connection, and this browser keeps nothing: leave this page open.");
}
let sending = false;
async function send() {
  if (sending || engine) return;
  sending = true;
  try {
    for (let list = waiting(); list.length; list = waiting()) {
      const a = await ask("POST", list[0].to, new URLSearchParams(list[0].body));
      if (a.status === 422) { show(a, false); say("A reading that waited needs another look."); kept.set("waiting", JSON.stringify(list.slice(1))); return; }
      if (a.status >= 400) { say("A reading that waited could not be written down: " + new URLSearchParams(list[0].body).get("value") + ". It is kept."); return; }
      kept.set("waiting", JSON.stringify(waiting().slice(1)));
      if (!waiting().length) { say("All readings are written down."); await go("GET", here, undefined, false); }
    }
  } catch { /* still no connection */ } finally { sending = false; }
}

// typing says whether somebody is in the middle of something here.
const typing = () => all("main input:not([type=hidden]), main textarea, main select").some(f =>
  f.type === "radio" || f.type === "checkbox" ? f.checked !== f.defaultChecked : f.localName === "select" ? false : f.value !== f.defaultValue) ;

let lost = false;
async function watch() {
  try {
    const mine = turn;
    const a = await ask("GET", (root.dataset.base || "") + "/changes");
    if (lost) { lost = false; say(""); }
    await send();
    if (a.status === 200 && a.text !== root.dataset.stamp && mine === turn && a.text.length < 40) {
      if (typing()) { say("Changed elsewhere. It is shown when you are done here."); return; }
      const b = await ask("GET", here);
      if (mine === turn && b.status < 400) { show(b, false, true); say(""); }
    }
  } catch {
    lost = true;
    const n = waiting().length;
    say("No connection." + (n ? ` ${n} waiting here.` : " What you type is kept here."));
  }
}
if (!engine) setInterval(() => { if (!document.hidden) watch(); }, 800);
addEventListener("online", send);

// A mistake is told as it is typed.
let soon;
document.addEventListener("input", e => {
  const form = e.target.closest("form");
  if (!form) return;
  if ("queue" in form.dataset && e.target.name === "value") kept.set("draft " + form.elements.step.value, e.target.value);
  if (!form.dataset.try) return;
  clearTimeout(soon);
  soon = setTimeout(async () => {
    const mine = turn;
    try {
      const a = await ask("POST", form.dataset.try, bodyOf(form));
      const at = $("#problems");
      if (mine === turn && at && a.status === 200) {
        const doc = new DOMParser().parseFromString(a.text, "text/html");
        at.replaceChildren(...[...doc.body.childNodes].map(n => document.adoptNode(n)));
      }
    } catch { /* it is told when it is sent */ }
  }, 300);
});

// What is dragged or chosen in a form that is live is answered at once.
document.addEventListener("input", e => {
  const f = e.target;
  if (f.type !== "range" || !f.dataset.into) return;
  const text = f.dataset.values.split("|")[+f.value];
  f.form.elements[f.dataset.into].value = text;
  f.setAttribute("aria-valuetext", text);
  const out = f.parentElement.querySelector("output");
  if (out) out.textContent = text;
});
document.addEventListener("change", async e => {
  const f = e.target, form = f.closest("form[data-live]");
  if (!form) return;
  if (f.dataset.anew) form.elements[f.dataset.anew].value = "";
  const mine = ++turn, body = bodyOf(form);
  if (f.dataset.anew || f.name === "value") body.delete("slide");
  if (f.name === "open") body.delete("gate");
  try {
    const a = await ask("GET", form.getAttribute("action") + "?" + body);
    if (mine !== turn) return;
    show(a, false, true);
    const again = all("form[data-live] [name=" + f.name + "]").find(x => x.type !== "checkbox" || x.value === f.value);
    if (again) again.focus({ preventScroll: true });
  } catch (err) { if (mine === turn) say(engine ? "That did not work: " + err : "No connection. What you typed is still here."); }
});

// dress adds what needs script to a page.
function dress() {
  for (const box of all("[data-fill]")) {
    const field = box.closest("form").elements[box.dataset.fill];
    for (const b of all("button", box)) {
      b.hidden = false;
      b.onclick = () => { field.value = b.value; field.focus(); };
    }
  }
  for (const field of all("input[data-pad]")) pad(field);
  if (engine && $("#kept")) $("#kept").textContent = engine.keeping();
}

// pad is a keypad for a thumb in a glove.
function pad(field) {
  const form = field.closest("form"), draft = kept.get("draft " + form.elements.step.value);
  if (draft && !field.value) field.value = draft;
  const keys = document.createElement("div");
  keys.className = "pad";
  keys.setAttribute("role", "group");
  keys.setAttribute("aria-label", "Keypad");
  const names = { "⌫": "delete the last", "−": "minus", "C": "clear", ".": "point" };
  for (const k of "789⌫456−123.0C") {
    const b = document.createElement("button");
    b.type = "button";
    b.textContent = k;
    if (names[k]) b.setAttribute("aria-label", names[k]);
    if (k === "0") b.style.gridColumn = "span 3"; // set by script, so no style in the page
    b.onclick = () => {
      if (k === "⌫") field.value = field.value.slice(0, -1);
      else if (k === "C") field.value = "";
      else if (k === "−") field.value = field.value.startsWith("-") ? field.value.slice(1) : "-" + field.value;
      else field.value += k;
      field.dispatchEvent(new Event("input", { bubbles: true }));
    };
    keys.append(b);
  }
  field.closest("label").after(keys);
  if (matchMedia("(pointer: coarse)").matches) field.inputMode = "none";
}

window.lostairShow = show;
if (engine) engine.started = () => go("GET", here, undefined, false); else { dress(); send(); }
})();
