"use strict";
// Draws the figures of a frame: the points come with the page, the lines through them are drawn here.
// Gives the page's own script `figures.show(frame)`, `figures.ghosts(on)` and the phrases.
const figures = (() => {
  const block = document.getElementById("figures");
  if (!block) return null;
  const given = JSON.parse(block.textContent);
  const canvas = document.getElementById("stage"), pen = canvas.getContext("2d");
  const first = Number(document.getElementById("review").dataset.first);
  let now = first, withGhosts = false, ready = false;

  async function unpack(one) {
    const bytes = Uint8Array.from(atob(one.data), (c) => c.charCodeAt(0));
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
    const plane = new Uint8Array(await new Response(stream).arrayBuffer());
    const count = plane.length / 2, values = new Int16Array(count);
    for (let i = 0; i < count; i += 1) values[i] = plane[i] | (plane[count + i] << 8);
    for (let row = 0; row < count; row += one.frames) {
      for (let i = 1; i < one.frames; i += 1) values[row + i] += values[row + i - 1];
    }
    one.values = values;
    delete one.data;
  }

  function draw(one, frame, ghost) {
    const index = Math.min(Math.max(frame - first, 0), one.frames - 1);
    const head = canvas.height / (given.bottom - given.top + 0.3);
    const x0 = one.at * canvas.width, y0 = -(given.top - 0.15) * head;
    const px = (k) => x0 + one.values[2 * k * one.frames + index] * given.unit * head;
    const py = (k) => y0 + one.values[(2 * k + 1) * one.frames + index] * given.unit * head;
    pen.lineCap = "round";
    pen.lineJoin = "round";
    for (const [start, count, closed, smooth, width, ink, fill] of one.shapes) {
      if (ghost && !fill && ink !== "#1c2129") continue;
      const at = (i) => {
        const k = closed ? (i + count) % count : Math.min(Math.max(i, 0), count - 1);
        return [px(start + k), py(start + k)];
      };
      pen.beginPath();
      pen.moveTo(...at(0));
      const last = closed ? count : count - 1;
      for (let i = 0; i < last; i += 1) {
        const one_ = at(i), two = at(i + 1);
        if (smooth) {
          const before = at(i - 1), after = at(i + 2);
          pen.bezierCurveTo(
            one_[0] + (two[0] - before[0]) / 6, one_[1] + (two[1] - before[1]) / 6,
            two[0] - (after[0] - one_[0]) / 6, two[1] - (after[1] - one_[1]) / 6, ...two);
        } else pen.lineTo(...two);
      }
      if (closed) pen.closePath();
      if (fill && !ghost) { pen.fillStyle = fill; pen.fill(); }
      pen.lineWidth = (ghost ? 0.5 : 1) * Math.max(width * head, 0.6);
      pen.strokeStyle = ghost ? "#aeb6c1" : ink;
      if (!ghost || width < 0.1) pen.stroke();
    }
  }

  function show(frame) {
    now = frame;
    if (!ready) return;
    const ratio = window.devicePixelRatio || 1;
    const wide = Math.round(canvas.clientWidth * ratio), high = Math.round(canvas.clientHeight * ratio);
    if (canvas.width !== wide || canvas.height !== high) { canvas.width = wide; canvas.height = high; }
    pen.clearRect(0, 0, wide, high);
    for (const one of given.cast) {
      if (withGhosts) {
        const before = one.keys.filter((k) => k < frame).pop(), after = one.keys.find((k) => k > frame);
        if (before !== undefined) draw(one, before, true);
        if (after !== undefined) draw(one, after, true);
      }
      draw(one, frame, false);
    }
    canvas.dataset.frame = frame;
  }

  Promise.all(given.cast.map(unpack)).then(() => { ready = true; show(now); });
  window.addEventListener("resize", () => show(now));
  return { show, ghosts: (on) => { withGhosts = on; show(now); }, phrases: given.phrases };
})();
