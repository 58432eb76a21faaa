// Times, elements and announcements that every part of the live pages writes in the same way.

// 125 s -> "2:05", 3725 s -> "1:02:05"
export function clock(seconds) {
  const whole = Math.round(Math.abs(seconds));
  const sign = seconds < -0.5 ? "−" : "";
  const two = (value) => String(value).padStart(2, "0");
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor(whole / 60) % 60;
  return hours ? `${sign}${hours}:${two(minutes)}:${two(whole % 60)}` : `${sign}${minutes}:${two(whole % 60)}`;
}

// "2:05", "1:02:05" or "125" -> seconds; null for anything else
export function secondsOf(words) {
  const found = /^\s*(?:(?:(\d+):)?(\d{1,3}):)?(\d+(?:\.\d+)?)\s*$/.exec(words);
  if (!found) return null;
  return (+found[1] || 0) * 3600 + (+found[2] || 0) * 60 + +found[3];
}

// An element with attributes and children; words are text, never markup.
export function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (name in element && typeof value !== "string") element[name] = value;
    else element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children);
  return element;
}

const SVG = "http://www.w3.org/2000/svg";
export function draw(tag, attributes = {}, ...children) {
  const element = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  element.append(...children);
  return element;
}

// A drawing that the server made, put into a place of the page.
export function place(holder, svg) {
  const parsed = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
  holder.replaceChildren(document.importNode(parsed, true));
  return holder.firstElementChild;
}

const told = () => document.getElementById("told");

// Said once by a screen reader, and shown for a while.
export function tell(words) {
  const line = told();
  line.textContent = "";
  requestAnimationFrame(() => {
    line.textContent = words;
  });
}

export const percent = (share) => `${Math.round(share * 100)} %`;
