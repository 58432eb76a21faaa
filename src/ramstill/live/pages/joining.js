// The door: a class word, a name if one likes, and plain words where it stays shut.

const form = document.getElementById("join");
const wrong = document.getElementById("join-wrong");
const word = document.getElementById("word");
const name = document.getElementById("name");
const button = form.querySelector("button");

const NO_SERVER = "The instructor's computer does not answer. Is this phone on the same network?";

function refuse(reason, field = null) {
  const said = reason.charAt(0).toUpperCase() + reason.slice(1);
  wrong.textContent = /[.?!]$/.test(said) ? said : `${said}.`;
  wrong.hidden = false;
  word.setAttribute("aria-describedby", "join-wrong");
  if (field) field.setAttribute("aria-invalid", "true");
  (field ?? wrong).focus();
}

// Why one is at the door again.
export const sayWhy = (reason) => refuse(reason);

// onSeat(token) once somebody is let in.
export function door(onSeat) {
  const given = decodeURIComponent(location.hash.slice(1)).replaceAll("-", " ").trim().slice(0, 80);
  if (given) {
    word.value = given;
    history.replaceState(null, "", location.pathname);
  }
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    wrong.hidden = true;
    word.removeAttribute("aria-invalid");
    if (!word.value.trim()) {
      refuse("Write the class word first", word);
      return;
    }
    button.disabled = true;
    try {
      const answer = await fetch("/join", {
        method: "POST",
        headers: { "Content-Type": "application/json" },
        body: JSON.stringify({ word: word.value, name: name.value }),
      });
      const said = await answer.json().catch(() => ({}));
      if (answer.ok && said.token) onSeat(said.token);
      else refuse(said.refused ?? "The door stays shut; try again", answer.status === 403 ? word : null);
    } catch {
      refuse(NO_SERVER);
    } finally {
      button.disabled = false;
    }
  });
}

export function atTheDoor() {
  (word.value ? name : word).focus({ preventScroll: true });
}
