// A crop under the hand: two corners, a middle, arrows; the format stays.
let crop = null, asked = 0;

function begin() {
  const cutting = document.getElementById("cutting");
  if (!cutting) { crop = null; return; }
  const d = cutting.dataset;
  crop = { cutting, width: +d.width, height: +d.height, ratio: +d.ratio, left: +d.left, top: +d.top, high: +d.high };
  cutting.addEventListener("pointerdown", grab);
  document.querySelectorAll(".numbers input").forEach((each) => each.addEventListener("change", typed));
}

function clamp(value, low, high) { return Math.min(Math.max(value, low), Math.max(low, high)); }

function settle() {
  const most = Math.min(crop.height, crop.width / crop.ratio);
  crop.high = clamp(crop.high, 0.05 * crop.height, most);
  crop.left = clamp(crop.left, 0, crop.width - crop.high * crop.ratio);
  crop.top = clamp(crop.top, 0, crop.height - crop.high);
}

function draw() {
  settle();
  const { cutting } = crop, wide = crop.high * crop.ratio, k = cutting.viewBox.baseVal.width / crop.width;
  const [l, t, w, h] = [crop.left * k, crop.top * k, wide * k, crop.high * k];
  const all = cutting.viewBox.baseVal;
  cutting.querySelector(".away").setAttribute("d", `M0 0H${all.width}V${all.height}H0Z M${l} ${t}H${l + w}V${t + h}H${l}Z`);
  const set = (element, values) => Object.entries(values).forEach(([name, value]) => element.setAttribute(name, value));
  set(cutting.querySelector(".window"), { x: l, y: t, width: w, height: h });
  set(cutting.querySelector("[data-corner='0']"), { x: l - 8, y: t - 8 });
  set(cutting.querySelector("[data-corner='1']"), { x: l + w - 8, y: t + h - 8 });
  document.getElementById("finished").setAttribute("viewBox", `${crop.left} ${crop.top} ${wide} ${crop.high}`);
  const form = document.getElementById("crop-form"), percent = (part, whole) => (100 * part / whole).toFixed(4);
  form.elements.left.value = percent(crop.left, crop.width);
  form.elements.top.value = percent(crop.top, crop.height);
  form.elements.width.value = percent(wide, crop.width);
  form.elements.height.value = percent(crop.high, crop.height);
  judge();
}

async function judge() {
  const mine = ++asked, form = document.getElementById("crop-form");
  await new Promise((done) => setTimeout(done, 60));
  if (mine !== asked) return;
  const fields = new URLSearchParams();
  for (const name of ["left", "top", "width", "height"]) fields.set(name, form.elements[name].value);
  const answer = await fetch(`${crop.cutting.dataset.judged}?${fields}`);
  if (!answer.ok || mine !== asked) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("judged");
  document.getElementById("judged").replaceWith(document.importNode(fresh, true));
}

function typed() {
  const form = document.getElementById("crop-form");
  crop.left = +form.elements.left.value / 100 * crop.width;
  crop.top = +form.elements.top.value / 100 * crop.height;
  crop.high = +form.elements.height.value / 100 * crop.height;
  draw();
}

function grab(event) {
  const box = crop.cutting.getBoundingClientRect(), k = crop.width / box.width;
  const corner = event.target.dataset.corner, from = { ...crop }, start = [event.clientX, event.clientY];
  crop.cutting.setPointerCapture(event.pointerId);
  event.preventDefault();
  crop.cutting.focus();
  const move = (moved) => {
    const dx = (moved.clientX - start[0]) * k, dy = (moved.clientY - start[1]) * k;
    if (corner === undefined) { crop.left = from.left + dx; crop.top = from.top + dy; }
    else {
      // The other corner stays; the hand's way along the diagonal counts.
      const along = (dx / from.ratio + dy) / 2, sign = corner === "1" ? 1 : -1;
      const room = corner === "1"
        ? Math.min(crop.height - from.top, (crop.width - from.left) / from.ratio)
        : Math.min(from.top + from.high, (from.left + from.high * from.ratio) / from.ratio);
      crop.high = clamp(from.high + sign * along, 0.05 * crop.height, room);
      if (corner === "0") {
        crop.left = from.left + (from.high - crop.high) * from.ratio;
        crop.top = from.top + from.high - crop.high;
      }
    }
    draw();
  };
  const end = () => { crop.cutting.removeEventListener("pointermove", move); };
  crop.cutting.addEventListener("pointermove", move);
  crop.cutting.addEventListener("pointerup", end, { once: true });
  crop.cutting.addEventListener("pointercancel", end, { once: true });
}

document.addEventListener("keydown", (event) => {
  if (!crop || !document.contains(crop.cutting) || event.ctrlKey || event.altKey || event.metaKey) return;
  if (event.target.closest("input")) return;
  const step = (event.shiftKey ? 0.05 : 0.01) * crop.height, middle = [crop.left + crop.high * crop.ratio / 2, crop.top + crop.high / 2];
  const size = (by) => { crop.high += by; settle(); crop.left = middle[0] - crop.high * crop.ratio / 2; crop.top = middle[1] - crop.high / 2; };
  const moves = {
    ArrowLeft: () => { crop.left -= step; }, ArrowRight: () => { crop.left += step; },
    ArrowUp: () => { crop.top -= step; }, ArrowDown: () => { crop.top += step; },
    "+": () => size(step), "-": () => size(-step), "−": () => size(-step),
  };
  const move = moves[event.key];
  if (!move) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  move();
  draw();
}, true);

document.addEventListener("shown", begin);
begin();
