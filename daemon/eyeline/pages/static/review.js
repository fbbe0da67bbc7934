// Letters as keys, forms without a reload, and news from the daemon. Everything works without it, but slower.
const root = document.documentElement;
const stored = (name, otherwise) => { try { return localStorage.getItem(name) ?? otherwise; } catch { return otherwise; } };
const store = (name, value) => { try { localStorage.setItem(name, value); } catch { /* private windows */ } };
const content = () => document.getElementById("live-content");

// What is hidden stays hidden from frame to frame.
for (const name of ["no-lines"]) root.classList.toggle(name, stored(name, "") === "yes");

let letters = stored("letters", "on") === "on";
const switchOff = document.getElementById("letters");
function showLetters() {
  switchOff.setAttribute("aria-pressed", String(letters));
  switchOff.textContent = `Letters work as keys: ${letters ? "on" : "off"}`;
}
showLetters();
switchOff.addEventListener("click", () => { letters = !letters; store("letters", letters ? "on" : "off"); showLetters(); });

function say(text) { document.getElementById("heard").textContent = text; }

// A page that is fetched takes the place of the one that is shown; focus stays where it was.
export async function show(response) {
  const text = await response.text();
  if (!(response.headers.get("content-type") || "").startsWith("text/html")) { say(text); return; }
  const fresh = new DOMParser().parseFromString(text, "text/html");
  const old = content(), next = fresh.getElementById("live-content");
  if (!old || !next) { location.reload(); return; }
  const focused = document.activeElement, mark = focused && old.contains(focused) ? signature(focused) : null;
  const opened = [...old.querySelectorAll("details[open]")].map((each) => each.querySelector("h2").textContent);
  const scrolled = old.querySelector(".strip")?.scrollLeft ?? 0;
  old.replaceWith(next);
  document.title = fresh.title;
  document.querySelector(".facts").replaceWith(fresh.querySelector(".facts"));
  const strip = next.querySelector(".strip");
  if (strip) strip.scrollLeft = scrolled;
  for (const each of next.querySelectorAll("details")) each.open = opened.includes(each.querySelector("h2").textContent);
  if (mark) [...next.querySelectorAll("a,button,input,summary")].find((each) => signature(each) === mark)?.focus();
  document.dispatchEvent(new Event("shown"));
  if (response.redirected && response.url !== location.href) history.replaceState(null, "", response.url);
}
function signature(element) {
  return [element.tagName, element.dataset.key, element.name, element.getAttribute("href"), element.getAttribute("aria-label")].join("|");
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (form.method !== "post" || form.dataset.plain !== undefined) return;
  event.preventDefault();
  const fields = new URLSearchParams(new FormData(form, event.submitter));
  try {
    await show(await fetch(form.action, { method: "POST", body: fields }));
  } catch { say("eyeline does not answer. Is it still running?"); }
});

document.addEventListener("click", (event) => {
  const name = event.target.closest?.("[data-toggle]")?.dataset.toggle;
  if (!name) return;
  const on = root.classList.toggle(name);
  if (name === "no-lines") store(name, on ? "yes" : "");
});

document.addEventListener("keydown", (event) => {
  if (event.isComposing || event.altKey || event.metaKey) return;
  const writes = event.target.closest?.("input:not([type=range]),textarea,select");
  if (event.key === "Escape") {
    for (const name of ["only-picture", "only-eyes"]) root.classList.remove(name);
    if (writes) writes.blur();
    document.querySelector("[data-key=Escape]")?.click();
    return;
  }
  const undoes = event.ctrlKey && event.key.toLowerCase() === "z";
  if (writes && !(undoes && writes.value === "")) return; // an empty field has nothing of its own to undo
  let wanted = event.key;
  if (event.ctrlKey) { if (!undoes) return; wanted = "undo"; }
  else if (wanted === "−") wanted = "-";
  else if (wanted.length === 1) { if (!letters) return; wanted = wanted.toLowerCase(); }
  const target = [...document.querySelectorAll("[data-key]")].find((each) => each.dataset.key === wanted && !each.disabled);
  if (!target) { walk(event); return; }
  event.preventDefault();
  if (target.matches("input")) target.focus(); else target.click();
});

// In the brief the arrows go from place to place, and Enter opens.
function walk(event) {
  const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
  const places = [...document.querySelectorAll(".stave .hang, .stave .near, .day .hang")];
  if (!step || !places.length || event.ctrlKey) return;
  const here = places.indexOf(document.activeElement);
  event.preventDefault();
  places[(here < 0 ? (step > 0 ? 0 : places.length - 1) : here + step + places.length) % places.length].focus();
}

// News: whatever is shown is asked for anew, but not under somebody's hands.
const news = new EventSource("/live");
let count = null, waiting = false;
news.addEventListener("changed", (event) => {
  const told = JSON.parse(event.data);
  const note = document.getElementById("note");
  note.hidden = !told.note;
  note.textContent = told.note;
  const known = count;
  count = `${told.count}|${told.frames}|${told.latest}`;
  if (known === null || known === count) return;
  refresh();
});
let again = false;
async function refresh() {
  const view = document.body.dataset.view;
  if (view === "tune" || view === "crop" || content()?.querySelector("input:focus")) return;
  again = true;
  if (waiting) return;
  waiting = true;
  while (again) {
    again = false;
    try { await show(await fetch(location.href)); } catch { /* the next one */ }
  }
  waiting = false;
}
window.addEventListener("pagehide", () => news.close());

// What is set aside is fetched when it is opened, and the rest of it as it comes into view.
async function fill(box, address) {
  const answer = await fetch(address);
  if (!answer.ok) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  box.replaceChildren(...[...fresh.body.childNodes].map((each) => document.importNode(each, true)));
  const more = box.querySelector(".more-frames");
  if (more) inView.observe(more);
}
const inView = new IntersectionObserver((entries) => {
  for (const entry of entries) if (entry.isIntersecting) {
    inView.unobserve(entry.target);
    const box = document.createElement("div");
    entry.target.parentElement.replaceWith(box);
    fill(box, entry.target.href);
  }
}, { rootMargin: "400px" });
document.addEventListener("toggle", (event) => {
  const details = event.target;
  if (details.open && details.dataset?.src && !details.dataset.filled) {
    details.dataset.filled = "yes";
    fill(details.querySelector(".opened"), details.dataset.src);
  }
}, true);
