// Keys, the film, and pages that change without reloading. Every address and form works without this script.
"use strict";

const film = document.getElementById("film");
const filmBox = document.getElementById("film-box");
const desk = () => document.getElementById("desk");
const strip = () => document.getElementById("strip");
const setting = (id) => document.getElementById(id)?.checked ?? true;
let busy = false;
let waiting = []; // keys pressed while a page was on its way: they are meant for that page

// ---------------------------------------------------------------- pages

async function show(address, options = {}, push = true) {
  if (busy) return;
  busy = true;
  document.body.setAttribute("aria-busy", "true");
  try {
    const answer = await fetch(address, options);
    if (!(answer.headers.get("content-type") || "").startsWith("text/html")) throw new Error(await answer.text());
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const landed = answer.redirected ? answer.url : address;
    place(page, push && answer.ok ? landed : null, options.method === "POST");
  } catch (error) {
    say(navigator.onLine === false || error instanceof TypeError ? "The page can't reach its program. Is it still running?" : error.message);
  } finally {
    busy = false;
    document.body.removeAttribute("aria-busy");
  }
  while (waiting.length && !busy && !inField(document.activeElement)) command(waiting.shift());
  if (!busy) waiting = [];
}

function place(page, address, decided) {
  const from = strip()?.dataset.id;
  const view = document.body.dataset.view;
  park();
  for (const part of page.querySelectorAll("[data-part]")) {
    const old = document.querySelector(`[data-part="${part.dataset.part}"]`);
    if (part.dataset.part === "keys") keepKeys(old, part);
    old.replaceChildren(...part.childNodes);
  }
  document.title = page.title;
  document.body.dataset.stamp = page.body.dataset.stamp;
  document.body.dataset.view = page.body.dataset.view;
  if (address) history.pushState(null, "", address);
  say(document.getElementById("news").textContent);
  arrive(from, view !== page.body.dataset.view, decided);
}

function keepKeys(old, part) {
  const now = part.querySelector("#all-keys");
  const was = old.querySelector("#all-keys");
  if (now && was) now.replaceWith(was);
}

function arrive(from, otherView, decided) {
  const here = strip();
  if (here) {
    if (here.dataset.id !== from) openFilm(here, true);
    else if (!decided) openFilm(here, false);
    const box = here.getBoundingClientRect();
    const view = desk().getBoundingClientRect();
    // The drawer comes into sight whole if it can, the line of the document above it in any case.
    const above = box.top - view.top - 120;
    const by = box.bottom > view.bottom ? Math.min(box.bottom - view.bottom + 8, above) : above < 0 ? above : 0;
    if (by) desk().scrollBy({ top: by });
    here.focus({ preventScroll: true });
  } else if (named()) {
    named().scrollIntoView();
    (named().querySelector("input:not([type=hidden])") || desk()).focus({ preventScroll: true });
  } else if (from) {
    (document.getElementById(`tag-${from}`) || document.getElementById(from)?.querySelector("a") || desk()).focus({ preventScroll: true });
  } else if (otherView) {
    desk().scrollTo({ top: 0 });
    desk().focus({ preventScroll: true });
  }
  const problem = desk().querySelector(".problem");
  if (problem) desk().scrollTo({ top: 0 });
}

function named() {
  return document.getElementById(new URLSearchParams(location.search).get("open"));
}

function say(words) {
  const news = document.getElementById("news");
  news.textContent = words;
  clearTimeout(say.timer);
  if (words) say.timer = setTimeout(() => { news.textContent = ""; }, 9000);
}

// ---------------------------------------------------------------- the film

function park() {
  if (film) { film.pause(); filmBox.append(film); }
}

function openFilm(within, play) {
  const spot = within.querySelector(".film");
  if (!film || !spot) return;
  spot.prepend(film);
  const start = () => {
    film.currentTime = Number(spot.dataset.play);
    if (play && setting("play-on-open")) film.play().catch(() => {});
  };
  if (film.readyState > 0) start();
  else film.addEventListener("loadedmetadata", start, { once: true });
}

document.addEventListener("click", (event) => {
  const button = event.target.closest(".film .play, .film .back");
  if (!button || !film) return;
  const spot = button.closest(".film");
  if (!spot.contains(film)) { spot.prepend(film); film.currentTime = Number(spot.dataset.play); film.play().catch(() => {}); return; }
  if (button.matches(".back")) film.currentTime = Math.max(0, film.currentTime - 2);
  else if (film.paused) film.play().catch(() => {});
  else film.pause();
});

// ---------------------------------------------------------------- links and forms

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[href]");
  if (!link || event.defaultPrevented || event.button || event.metaKey || event.ctrlKey || event.shiftKey) return;
  const address = new URL(link.href);
  if (address.origin !== location.origin || link.getAttribute("href").startsWith("#")) return;
  event.preventDefault();
  show(address.pathname + address.search);
});

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.getAttribute("action") === "/name") return;
  event.preventDefault();
  const data = new URLSearchParams(new FormData(form));
  if (form.method === "post") show(form.getAttribute("action"), { method: "POST", body: data });
  else show(`${form.getAttribute("action")}?${data}`);
});

addEventListener("popstate", () => show(location.pathname + location.search, {}, false));

// ---------------------------------------------------------------- keys

const inField = (element) => element.matches("input:not([type=checkbox]), textarea, select");

function press(target) {
  if (inField(target)) {
    target.focus();
    if (target.dataset.to) target.setSelectionRange(Number(target.dataset.from), Number(target.dataset.to));
    else if (target.select) target.select();
  } else target.click();
}

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
  const field = inField(event.target);
  if (field && event.key === "Escape") { event.preventDefault(); (strip() || desk()).focus({ preventScroll: true }); return; }
  if (field && event.key === "Enter" && !event.shiftKey && event.target.dataset.enter !== undefined) {
    event.preventDefault();
    event.target.form.requestSubmit();
    return;
  }
  if (field || (!setting("single-keys") && event.key !== "Escape")) return;
  if (event.key === " " && event.target.closest("button, summary, a, video, audio")) return;
  if (busy) {
    if (event.key.length === 1 && waiting.length < 4) { event.preventDefault(); waiting.push(event.key); }
    return;
  }
  if (command(event.key)) event.preventDefault();
});

function command(key) {
  const wanted = `[data-key="${CSS.escape(key)}"]`;
  const target = strip()?.querySelector(wanted) || document.querySelector(wanted);
  if (target) press(target);
  return Boolean(target);
}

for (const id of ["single-keys", "play-on-open"]) {
  const box = document.getElementById(id);
  if (!box) continue;
  box.checked = localStorage.getItem(id) !== "off";
  box.addEventListener("change", () => localStorage.setItem(id, box.checked ? "on" : "off"));
}

// ---------------------------------------------------------------- other reviewers

setInterval(async () => {
  if (busy || document.hidden) return;
  try {
    const state = await (await fetch("/state")).json();
    if (busy || state.stamp === document.body.dataset.stamp) return;
    refresh();
  } catch { /* said when the reviewer next acts */ }
}, 2000);

// Take over what others decided, but leave what is being written here as it is, with the version it was begun on.
async function refresh() {
  const page = new DOMParser().parseFromString(await (await fetch(location.pathname + location.search)).text(), "text/html");
  const mine = strip();
  const field = mine?.contains(document.activeElement) ? document.activeElement : null;
  const writing = mine && [...mine.querySelectorAll("textarea, input:not([type=hidden])")].some((entry) => entry.value !== entry.defaultValue);
  const theirs = page.getElementById("strip");
  const scrolled = desk().scrollTop;
  for (const part of page.querySelectorAll("[data-part]")) {
    const old = document.querySelector(`[data-part="${part.dataset.part}"]`);
    if (part.dataset.part === "keys") keepKeys(old, part);
    if (part.dataset.part === "desk" && mine && theirs && (writing || field || film?.paused === false)) theirs.replaceWith(mine);
    old.replaceChildren(...part.childNodes);
  }
  document.body.dataset.stamp = page.body.dataset.stamp;
  desk().scrollTo({ top: scrolled, behavior: "instant" });
  if (field) field.focus({ preventScroll: true });
  say("Something was decided elsewhere; it is in the page now.");
}

arrive(null, false, false);
if (!strip() && !named()) desk().focus({ preventScroll: true });
