"use strict";
// Points over frames. State is `pins` (frame -> name -> {x, y} in the movie's pixels); all else is drawn from it.
(() => {
  const data = JSON.parse(document.getElementById("data").textContent);
  const at = (id) => document.getElementById(id);
  const canvas = at("picture"), pen = canvas.getContext("2d");
  const COLOURS = ["#ffd23f", "#39c6ff", "#ff7ab8", "#8df06a", "#ff9440", "#c9a6ff", "#ffffff", "#5ef0d0"];
  const NAME = /^[^\s,;=#.]+(?: [^\s,;=#.]+)*$/;
  const GRAB = 9, MOVED = 4; // screen pixels: how near a mark is grabbed, what is a drag
  const names = [], pins = new Map();
  let now = 0, current = null, zoom = 1, left = 0, top = 0, held = null;

  const pictures = data.frames.map((entry) => {
    const image = new Image();
    image.addEventListener("load", draw);
    image.src = entry.picture;
    return image;
  });
  const frame = () => data.frames[now].frame;
  const here = () => pins.get(frame()) || new Map();
  const colour = (name) => COLOURS[names.indexOf(name) % COLOURS.length];

  function put(name, on, x, y) {
    if (!pins.has(on)) pins.set(on, new Map());
    const keep = (v, most) => Math.min(Math.max(v, 0), most - 1);
    pins.get(on).set(name, { x: keep(x, data.width), y: keep(y, data.height) });
  }
  function takeOff(name, on) {
    if (pins.has(on)) pins.get(on).delete(name);
    tell();
  }
  function addName(name) {
    at("wrong").textContent = "";
    if (!NAME.test(name)) {
      at("wrong").textContent = "letters, digits and _ make a name";
      return false;
    }
    if (!names.includes(name)) names.push(name);
    current = name;
    tell();
    return true;
  }

  // Screen to movie: pixel centres are whole numbers, so the edge of the first pixel is -0.5.
  const scale = () => (canvas.width / data.width) * zoom;
  const toMovie = (sx, sy) => [left + sx / scale() - 0.5, top + sy / scale() - 0.5];
  const toScreen = (x, y) => [(x + 0.5 - left) * scale(), (y + 0.5 - top) * scale()];
  const screenPoint = (event) => {
    const box = canvas.getBoundingClientRect();
    return [(event.clientX - box.left) * (canvas.width / box.width), (event.clientY - box.top) * (canvas.height / box.height)];
  };
  function zoomTo(value, sx, sy) {
    const [x, y] = toMovie(sx, sy);
    zoom = Math.min(Math.max(value, 1), 24);
    left = x + 0.5 - sx / scale();
    top = y + 0.5 - sy / scale();
    keepInside();
  }
  function keepInside() {
    const wide = data.width / zoom, high = data.height / zoom;
    left = Math.min(Math.max(left, 0), data.width - wide);
    top = Math.min(Math.max(top, 0), data.height - high);
    draw();
  }

  function draw() {
    const image = pictures[now];
    pen.setTransform(1, 0, 0, 1, 0, 0);
    pen.clearRect(0, 0, canvas.width, canvas.height);
    if (!image.complete || !image.naturalWidth) return;
    const k = image.naturalWidth / data.width;
    pen.imageSmoothingEnabled = zoom < 4;
    pen.drawImage(image, left * k, top * k, (data.width / zoom) * k, (data.height / zoom) * k, 0, 0, canvas.width, canvas.height);
    for (const [on, all] of pins) {
      if (on === frame()) continue;
      for (const [name, p] of all) if (name === current) mark(p, name, true);
    }
    for (const [name, p] of here()) mark(p, name, false);
  }
  function mark(p, name, faint) {
    const [x, y] = toScreen(p.x, p.y);
    pen.globalAlpha = faint ? 0.45 : 1;
    for (const [ink, width] of [["#000000", 4], [colour(name), 2]]) {
      pen.strokeStyle = ink;
      pen.lineWidth = width;
      pen.beginPath();
      pen.arc(x, y, faint ? 4 : 9, 0, 2 * Math.PI);
      if (!faint) for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
        pen.moveTo(x + 3 * dx, y + 3 * dy);
        pen.lineTo(x + 14 * dx, y + 14 * dy);
      }
      pen.stroke();
    }
    if (!faint) {
      pen.font = "600 14px Arial, Liberation Sans, sans-serif";
      pen.lineWidth = 4;
      pen.strokeStyle = "#000000";
      pen.strokeText(name, x + 16, y - 10);
      pen.fillStyle = colour(name);
      pen.fillText(name, x + 16, y - 10);
    }
    pen.globalAlpha = 1;
  }

  function table() {
    const rows = [];
    for (const on of [...pins.keys()].sort((a, b) => a - b))
      for (const [name, p] of pins.get(on)) rows.push(`${on},${name},${p.x.toFixed(2)},${p.y.toFixed(2)}`);
    return ["frame,name,x,y", ...rows].join("\n") + "\n";
  }
  function tell() {
    at("frame").textContent = frame();
    const list = at("points");
    list.replaceChildren(...names.map((name) => {
      const on = [...pins.keys()].filter((f) => pins.get(f).has(name)).sort((a, b) => a - b);
      const item = document.createElement("li"), dot = document.createElement("span");
      const pick = document.createElement("button"), many = document.createElement("span"), off = document.createElement("button");
      item.className = name === current ? "now" : "";
      dot.className = "dot";
      dot.style.background = colour(name);
      pick.type = off.type = "button";
      pick.className = "pick";
      pick.textContent = name;
      pick.addEventListener("click", () => { current = name; tell(); });
      many.className = "many";
      many.textContent = on.length ? (on.length > 3 ? `${on.length} frames` : on.join(", ")) : "not set";
      off.className = "off";
      off.textContent = "off";
      off.setAttribute("aria-label", `take ${name} off this frame`);
      off.disabled = !here().has(name);
      off.addEventListener("click", () => takeOff(name, frame()));
      item.append(dot, pick, many, off);
      return item;
    }));
    [...at("strip").children].forEach((button, k) => {
      const count = (pins.get(data.frames[k].frame) || new Map()).size;
      button.setAttribute("aria-selected", String(k === now));
      button.querySelector(".pins").textContent = count ? ` +${count}` : "";
    });
    at("table").value = table();
    draw();
  }
  function go(to) {
    now = Math.min(Math.max(to, 0), data.frames.length - 1);
    at("strip").children[now].scrollIntoView({ block: "nearest", inline: "nearest" });
    tell();
  }

  function near(sx, sy) {
    let best = null;
    for (const [name, p] of here()) {
      const [x, y] = toScreen(p.x, p.y), away = Math.hypot(x - sx, y - sy);
      if (away <= GRAB && (!best || away < best.away)) best = { name, away };
    }
    return best && best.name;
  }
  canvas.addEventListener("pointerdown", (event) => {
    const [sx, sy] = screenPoint(event), name = near(sx, sy);
    canvas.focus();
    canvas.setPointerCapture(event.pointerId);
    held = { sx, sy, name, left, top, moved: false, from: name ? here().get(name) : null };
    if (name) { current = name; tell(); }
  });
  canvas.addEventListener("pointermove", (event) => {
    const [sx, sy] = screenPoint(event), [x, y] = toMovie(sx, sy);
    at("place").textContent = `${x.toFixed(1)}, ${y.toFixed(1)}`;
    if (!held) return;
    held.moved = held.moved || Math.hypot(sx - held.sx, sy - held.sy) > MOVED;
    if (!held.moved) return;
    if (held.name) {
      put(held.name, frame(), held.from.x + (sx - held.sx) / scale(), held.from.y + (sy - held.sy) / scale());
      tell();
    } else {
      left = held.left - (sx - held.sx) / scale();
      top = held.top - (sy - held.sy) / scale();
      keepInside();
    }
  });
  canvas.addEventListener("pointerup", () => {
    if (held && !held.moved && !held.name) {
      if (!current) addName(`point_${names.length + 1}`);
      put(current, frame(), ...toMovie(held.sx, held.sy));
      tell();
    }
    held = null;
  });
  canvas.addEventListener("wheel", (event) => {
    event.preventDefault();
    zoomTo(zoom * Math.exp(-event.deltaY / 400), ...screenPoint(event));
  }, { passive: false });

  function nudge(dx, dy) {
    const p = current && here().get(current);
    if (!p) return;
    put(current, frame(), p.x + dx / 10, p.y + dy / 10);
    tell();
  }
  document.addEventListener("keydown", (event) => {
    if (event.target.tagName === "INPUT" || event.target.tagName === "TEXTAREA") return;
    const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const middle = [canvas.width / 2, canvas.height / 2];
    if (event.shiftKey && ways[event.key]) nudge(...ways[event.key]);
    else if (event.key === "ArrowLeft") go(now - 1);
    else if (event.key === "ArrowRight") go(now + 1);
    else if (event.key === "+" || event.key === "=") zoomTo(zoom * 1.5, ...middle);
    else if (event.key === "-") zoomTo(zoom / 1.5, ...middle);
    else if (event.key === "0") zoomTo(1, ...middle);
    else if (event.key === "Delete" && current) takeOff(current, frame());
    else return;
    event.preventDefault();
  });
  at("back").addEventListener("click", () => go(now - 1));
  at("on").addEventListener("click", () => go(now + 1));
  at("closer").addEventListener("click", () => {
    const p = current && here().get(current);
    zoomTo(zoom * 2, ...(p ? toScreen(p.x, p.y) : [canvas.width / 2, canvas.height / 2]));
  });
  at("whole").addEventListener("click", () => zoomTo(1, 0, 0));
  at("new").addEventListener("submit", (event) => {
    event.preventDefault();
    if (addName(at("name").value.trim())) { at("name").value = ""; canvas.focus(); }
  });
  at("save").addEventListener("click", () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([table()], { type: "text/csv" }));
    link.download = data.saveAs;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  });

  function fit() {
    canvas.width = Math.round(canvas.clientWidth * (window.devicePixelRatio || 1));
    canvas.height = Math.round((canvas.width * data.height) / data.width);
    keepInside();
  }
  data.frames.forEach((entry, k) => {
    const button = document.createElement("button"), image = new Image(), label = document.createElement("span"), pinned = document.createElement("span");
    button.type = "button";
    button.setAttribute("role", "option");
    image.src = entry.picture;
    image.alt = "";
    label.textContent = entry.frame;
    pinned.className = "pins";
    button.append(image, label, pinned);
    button.addEventListener("click", () => go(k));
    at("strip").append(button);
  });
  for (const pin of data.pins) {
    if (!names.includes(pin.name)) names.push(pin.name);
    put(pin.name, pin.frame, pin.x, pin.y);
  }
  current = names[0] || null;
  window.addEventListener("resize", fit);
  fit();
  tell();
})();
