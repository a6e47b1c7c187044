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
  let frame = first, until = null, looped = null, speed = 1;
  // Without sound the page keeps time itself: the moment and the frame from which it counts.
  let timer = null;

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
    if (figures) figures.show(f);
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

  const playing = () => (sound ? !sound.paused : timer !== null);

  function stop() {
    until = null;
    if (sound) sound.pause();
    else timer = null;
    mark();
  }

  function play(end) {
    if (frame >= last) go(first);
    if (looped) go(looped[0]);
    until = end === undefined ? null : end;
    if (sound) {
      sound.play().catch(() => { now.textContent = "the sound cannot be played here"; });
      return;
    }
    timer = { at: performance.now(), from: startOf(frame) };
    mark();
    requestAnimationFrame(tick);
  }

  function toggle() {
    if (playing()) stop();
    else play();
  }

  // The sound is master: the picture is the frame that its time falls on.
  const timeNow = () => (sound ? sound.currentTime
    : timer.from + (performance.now() - timer.at) / 1000 * speed);

  function tick() {
    if (!playing()) return;
    const f = frameAt(timeNow());
    if (f !== frame) show(f, true);
    if (looped && f > looped[1]) {
      go(looped[0]);
      if (!sound) timer = { at: performance.now(), from: startOf(frame) };
    } else if (until !== null && f > until) { stop(); go(until); } else if (!sound && f >= last) stop();
    requestAnimationFrame(tick);
  }

  function mark() {
    playButton.textContent = playing() ? "Pause" : "Play";
    playButton.setAttribute("aria-pressed", String(playing()));
  }

  function loopHere() {
    if (looped || !figures || !figures.phrases.length) looped = null;
    else {
      const here = figures.phrases.find((p) => p[0] <= frame && frame <= p[1]);
      looped = here || figures.phrases.find((p) => p[0] > frame) || figures.phrases[0];
    }
    byId("loop").setAttribute("aria-pressed", String(looped !== null));
  }

  function nextHit(way) {
    const found = way > 0 ? hits.find((h) => h > frame) : hits.filter((h) => h < frame).pop();
    if (found !== undefined) { stop(); go(found); }
  }

  // What is shown: by person and kind, and only what was ticked once that was asked for.
  const lists = byId("lists");
  function choose() {
    const who = byId("who").value, kind = byId("kind").value;
    const kept = lists.dataset.kept === "yes";
    for (const entry of entries) {
      const tick = entry.querySelector(".tick");
      const other = (who && entry.dataset.who && entry.dataset.who !== who)
        || (kind && entry.dataset.kind && entry.dataset.kind !== kind);
      entry.hidden = Boolean(other) || (kept && tick !== null && !tick.hasAttribute("checked"));
    }
  }
  function keep(on) {
    lists.dataset.kept = on ? "yes" : "no";
    choose();
  }
  function savePage() {
    stop();
    const copy = "<!doctype html>\n" + document.documentElement.outerHTML;
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([copy], { type: "text/html" }));
    link.download = "review_chosen.html";
    link.click();
    URL.revokeObjectURL(link.href);
  }
  lists.addEventListener("change", (event) => {
    // the mark is kept in the page itself, so that a saved page has it
    if (event.target.matches(".tick")) event.target.toggleAttribute("checked", event.target.checked);
  });
  byId("who").addEventListener("change", choose);
  byId("kind").addEventListener("change", choose);
  byId("keep").addEventListener("click", () => keep(true));
  byId("all-back").addEventListener("click", () => keep(false));
  byId("save-page").addEventListener("click", savePage);
  choose();

  if (sound) {
    sound.addEventListener("play", () => { mark(); requestAnimationFrame(tick); });
    sound.addEventListener("pause", mark);
  }
  byId("half").addEventListener("click", (event) => {
    speed = speed === 1 ? 0.5 : 1;
    if (sound) sound.playbackRate = speed;
    else if (timer) timer = { at: performance.now(), from: startOf(frame) };
    event.currentTarget.setAttribute("aria-pressed", String(speed === 0.5));
  });
  byId("loop").addEventListener("click", loopHere);
  byId("ghosts").addEventListener("click", (event) => {
    const on = event.currentTarget.getAttribute("aria-pressed") !== "true";
    event.currentTarget.setAttribute("aria-pressed", String(on));
    if (figures) figures.ghosts(on);
  });
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
    if (event.key === " " && on.closest("button, summary, .tick")) return;
    if (on.closest("select")) return;
    if ((event.key === "ArrowUp" || event.key === "ArrowDown") && !on.closest(".player, .strip")) return;
    event.preventDefault();
    act();
  });
  show(first, false);
})();
