// The token of a seat, kept where a page finds it again after a reload, or after the phone closed it.
// Where nothing may be kept it lasts as long as the page.

const KEY = "seat-token";
let here = null;

const shelves = () => {
  const found = [];
  for (const name of ["sessionStorage", "localStorage"]) {
    try {
      found.push(window[name]);
    } catch {
      // not allowed: the next one, or the page's own memory
    }
  }
  return found;
};

export function kept() {
  for (const shelf of shelves()) {
    const token = shelf.getItem(KEY);
    if (token) return token;
  }
  return here;
}

export function keep(token) {
  here = token;
  for (const shelf of shelves()) {
    try {
      shelf.setItem(KEY, token);
    } catch {
      // full: the page's own memory has it
    }
  }
}

export function forget() {
  here = null;
  for (const shelf of shelves()) shelf.removeItem(KEY);
}
