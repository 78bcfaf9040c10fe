// What a page can do beyond showing: light a port's way to the collector, and
// show only the rows with a word in them. Without it the page is whole.
(() => {
  const into = new Map(), trees = [...document.querySelectorAll("svg.tree")], mouths = new Map();
  for (const e of document.querySelectorAll(".pipe[data-d]")) into.set(e.dataset.d, e.dataset.to);
  for (const e of document.querySelectorAll(".mouth[data-port]")) mouths.set(e.dataset.port, e.dataset.d);
  const dark = () => { for (const t of trees) { t.classList.remove("lighting"); for (const e of t.querySelectorAll(".lit")) e.classList.remove("lit"); } };
  const light = e => {
    dark();
    const at = e.target.closest && e.target.closest("[data-d], [data-port]");
    if (!at) return;
    const way = new Set();
    for (let d = at.dataset.d || mouths.get(at.dataset.port); d && !way.has(d); d = into.get(d)) way.add(d);
    for (const t of trees) {
      t.classList.add("lighting");
      for (const p of t.querySelectorAll(".pipe[data-d]")) if (way.has(p.dataset.d)) p.classList.add("lit");
    }
  };
  if (into.size) {
    document.addEventListener("pointerover", light);
    document.addEventListener("focusin", light);
    for (const r of document.querySelectorAll("tr[data-port]")) r.tabIndex = 0;
  }
  const rows = [...document.querySelectorAll(".ports tbody tr, .readings tbody tr, .profile")], before = document.getElementById("filter");
  if (rows.length < 20 || !before) return;
  const box = document.createElement("label"), field = document.createElement("input");
  field.type = "search";
  box.append("Show only what has this in it: ", field);
  before.append(box);
  field.addEventListener("input", () => {
    const word = field.value.trim().toLowerCase();
    for (const r of rows) r.hidden = word !== "" && !r.textContent.toLowerCase().includes(word);
    if (word) for (const d of document.querySelectorAll("details.part")) d.open = true;
  });
})();
