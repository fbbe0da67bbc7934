// A range or a weight under the hand: every change is tried at once, nothing is written until it is saved.
let asked = 0, timer = null;
const form = () => document.getElementById("tune-form");

function changed() {
  const fields = new URLSearchParams({ genre: form().elements.genre.value });
  for (const input of form().querySelectorAll("input[data-saved]")) {
    if (input.value.trim() !== input.dataset.saved) fields.set(input.name, input.value);
  }
  return fields;
}

async function attempt() {
  const mine = ++asked;
  const answer = await fetch(`/tune?${changed()}`);
  if (!answer.ok || mine !== asked) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  document.getElementById("judged").replaceWith(document.importNode(fresh.getElementById("judged"), true));
  for (const row of form().querySelectorAll("li[data-criterion]")) {
    const other = fresh.querySelector(`li[data-criterion="${CSS.escape(row.dataset.criterion)}"]`);
    if (!other) continue;
    row.className = other.className;
    const [svg, next] = [row.querySelector(".cv svg"), other.querySelector(".cv svg")];
    if (svg && next && !svg.dataset.held) svg.replaceWith(document.importNode(next, true));
  }
}

function soon() { clearTimeout(timer); timer = setTimeout(attempt, 40); }

document.addEventListener("input", (event) => { if (event.target.matches("#tune-form input[data-saved]")) soon(); });

// The arrow keys move a number by a little, as a handle would.
document.addEventListener("keydown", (event) => {
  const input = event.target;
  if (!input.matches?.("#tune-form input[data-saved]") || !["ArrowUp", "ArrowDown"].includes(event.key)) return;
  event.preventDefault();
  const value = Number(input.value.replace(",", ".")), size = Math.abs(Number(input.dataset.saved)) || 1;
  const step = 10 ** Math.floor(Math.log10(size) - 0.7) * (event.shiftKey ? 10 : 1);
  input.value = String(Number((value + (event.key === "ArrowUp" ? step : -step)).toFixed(6)));
  soon();
});

document.addEventListener("pointerdown", (event) => {
  const handle = event.target;
  if (!handle.matches?.("#tune-form .handle")) return;
  event.preventDefault();
  const svg = handle.ownerSVGElement, row = svg.closest("li"), low = Number(svg.dataset.low), high = Number(svg.dataset.high);
  const input = row.querySelector(`input[name^="${handle.dataset.end}."]`);
  const saved = Number(input.dataset.saved), foot = svg.querySelector(".foot:not(.new)").getAttribute("d").match(/[\d.]+/g).map(Number);
  const at = handle.dataset.end === "low" ? foot[0] : foot[2];
  const base = low + at / 180 * (high - low), factor = Math.abs(base) > 1e-9 && saved ? Math.round(saved / base) || 1 : 1;
  svg.dataset.held = "yes";
  handle.setPointerCapture(event.pointerId);
  const move = (moved) => {
    const box = svg.getBoundingClientRect(), x = Math.min(Math.max((moved.clientX - box.left) / box.width * 180, 0), 180);
    handle.setAttribute("x", x - 4);
    const digits = Math.max(0, 2 - Math.floor(Math.log10(Math.abs((high - low) * factor))));
    input.value = String(Number(((low + x / 180 * (high - low)) * factor).toFixed(digits)));
    soon();
  };
  handle.addEventListener("pointermove", move);
  handle.addEventListener("pointerup", () => {
    handle.removeEventListener("pointermove", move);
    delete svg.dataset.held;
    soon();
  }, { once: true });
});
