"use strict";
// The page is complete without this; the script plays, steps and keeps the cursor in view.
(() => {
  const page = document.getElementById("review").dataset;
  const first = Number(page.first), last = Number(page.last), step = Number(page.step);
  const rate = Number(page.rateNumber) / Number(page.rateOver);
  const byId = (id) => document.getElementById(id);
  const sound = byId("sound"), slider = byId("frame"), shown = byId("shown"), now = byId("now");
  const cursor = byId("cursor"), tone = byId("tone"), playButton = byId("play");
  const words = JSON.parse(byId("words").textContent);
  const entries = [...document.querySelectorAll("li[data-first]")];
  const hits = [...new Set(words.filter((w) => w.stressed).map((w) => w.hit))].sort((a, b) => a - b);
  let frame = first, until = null;

  const clamp = (f) => Math.min(last, Math.max(first, f));
  // The picture on screen at a time, as everywhere in linebeat: floor(t * rate + 0.0001).
  const frameAt = (t) => clamp(first + Math.floor(t * rate + 1e-4));
  const startOf = (f) => (f - first) / rate;

  function show(f, follow) {
    frame = f;
    slider.value = f;
    shown.textContent = f;
    const said = words.filter((w) => w.first <= f && f <= w.last).map((w) => w.text).join(" ");
    now.textContent = said;
    slider.setAttribute("aria-valuetext", "frame " + f + (said ? ", " + said : ""));
    const x = (f - first + 0.5) * step;
    cursor.setAttribute("x1", x);
    cursor.setAttribute("x2", x);
    if (follow) keepInView(x);
    for (const entry of entries) {
      const here = entry.dataset.first <= f && f <= entry.dataset.last;
      entry.classList.toggle("here", here);
      if (here) entry.setAttribute("aria-current", "true");
      else entry.removeAttribute("aria-current");
    }
  }

  function keepInView(x) {
    const room = tone.clientWidth;
    if (x < tone.scrollLeft + 40 || x > tone.scrollLeft + room - 80) {
      tone.scrollLeft = Math.max(0, x - room / 4);
    }
  }

  function go(f) {
    f = clamp(f);
    if (sound) sound.currentTime = startOf(f) + 0.0005;
    show(f, true);
  }

  function stop() {
    until = null;
    if (sound) sound.pause();
  }

  function play(end) {
    if (!sound) return;
    if (frame >= last) go(first);
    until = end === undefined ? null : end;
    sound.play().catch(() => { now.textContent = "the sound cannot be played here"; });
  }

  function toggle() {
    if (sound && !sound.paused) stop();
    else play();
  }

  function tick() {
    if (!sound.paused) {
      const f = frameAt(sound.currentTime);
      if (f !== frame) show(f, true);
      if (until !== null && f > until) { stop(); go(until); }
      requestAnimationFrame(tick);
    }
  }

  function nextHit(way) {
    const found = way > 0 ? hits.find((h) => h > frame) : hits.filter((h) => h < frame).pop();
    if (found !== undefined) { stop(); go(found); }
  }

  if (sound) {
    sound.addEventListener("play", () => {
      playButton.textContent = "Pause";
      playButton.setAttribute("aria-pressed", "true");
      requestAnimationFrame(tick);
    });
    sound.addEventListener("pause", () => {
      playButton.textContent = "Play";
      playButton.setAttribute("aria-pressed", "false");
    });
    byId("half").addEventListener("click", (event) => {
      const half = sound.playbackRate === 1;
      sound.playbackRate = half ? 0.5 : 1;
      event.currentTarget.setAttribute("aria-pressed", String(half));
    });
  }
  playButton.addEventListener("click", toggle);
  byId("back").addEventListener("click", () => { stop(); go(frame - 1); });
  byId("on").addEventListener("click", () => { stop(); go(frame + 1); });
  slider.addEventListener("input", () => { stop(); go(Number(slider.value)); });
  tone.addEventListener("click", (event) => {
    const left = tone.getBoundingClientRect().left;
    stop();
    go(first + Math.floor((event.clientX - left + tone.scrollLeft) / step));
  });
  document.addEventListener("click", (event) => {
    const button = event.target.closest("button.go");
    if (!button) return;
    stop();
    go(Number(button.dataset.frame));
  });

  const keys = {
    " ": toggle,
    ArrowLeft: () => { stop(); go(frame - 1); },
    ArrowRight: () => { stop(); go(frame + 1); },
    ArrowUp: () => nextHit(-1),
    ArrowDown: () => nextHit(1),
    Home: () => { stop(); go(first); },
    End: () => { stop(); go(last); },
  };
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const act = keys[event.key];
    if (!act) return;
    const on = event.target;
    if (event.key === " " && on.closest("button, summary")) return;
    if ((event.key === "ArrowUp" || event.key === "ArrowDown") && !on.closest(".player, .strip")) return;
    event.preventDefault();
    act();
  });
  show(first, false);
})();
