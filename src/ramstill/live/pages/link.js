// The way to the server: messages as JSON, frames as bytes. Of frames only the newest counts.

const HEAD = 16;
const RUNNING = 1;
const ENDED = 2;
const HELD = 4;
const NEVER_AGAIN = new Set([4403, 4409, 4410]); // not let in, open elsewhere, the class is over

// A frame: where it stands, and the figures in the order of the stage's fields (NaN: nothing is shown).
export function readFrame(buffer) {
  const view = new DataView(buffer);
  const flags = view.getUint32(4, true);
  return {
    tick: view.getUint32(0, true),
    running: (flags & RUNNING) !== 0,
    ended: (flags & ENDED) !== 0,
    held: (flags & HELD) !== 0,
    time: view.getFloat64(8, true),
    figures: new Float32Array(buffer, HEAD),
  };
}

// path: of the socket; hello: the first message, that lets one in. onSay(message), onFrame(frame) once before
// each repaint at most, onState("joining" | "open" | "lost" | "shut", code). It joins again by itself until
// it is told not to come back.
export function open(path, hello, { onSay, onFrame, onState }) {
  const address = `${location.protocol === "https:" ? "wss" : "ws"}://${location.host}${path}`;
  const waiting = new Map();
  let socket = null;
  let number = 0;
  let tries = 0;
  let newest = null;
  let asked = false;
  let shut = false;

  const repaint = () => {
    asked = false;
    const frame = newest;
    newest = null;
    if (frame) onFrame(readFrame(frame));
  };

  const answered = (message) => {
    const done = waiting.get(message.id);
    if (!done) return;
    waiting.delete(message.id);
    if (message.say === "refused") done.reject(new Error(message.reason));
    else done.resolve(message);
  };

  function join() {
    onState("joining");
    socket = new WebSocket(address);
    socket.binaryType = "arraybuffer";
    socket.addEventListener("open", () => {
      socket.send(JSON.stringify({ do: "enter", ...hello }));
    });
    socket.addEventListener("message", ({ data }) => {
      if (typeof data !== "string") {
        newest = data;
        if (!asked) {
          asked = true;
          requestAnimationFrame(repaint);
        }
        return;
      }
      const message = JSON.parse(data);
      if (tries >= 0) {
        tries = -1;
        onState("open");
      }
      if (message.id !== undefined && message.id !== null) answered(message);
      onSay(message);
    });
    socket.addEventListener("close", ({ code }) => {
      for (const { reject } of waiting.values()) reject(new Error("the connection was lost"));
      waiting.clear();
      shut ||= NEVER_AGAIN.has(code);
      onState(shut ? "shut" : "lost", code);
      if (shut) return;
      tries = Math.max(tries, 0) + 1;
      setTimeout(join, Math.min(250 * 2 ** tries, 5000));
    });
  }

  join();
  return {
    // Ask for something; the promise holds once it is done, and fails with the reason where it is refused.
    send(what, more = {}) {
      if (!socket || socket.readyState !== WebSocket.OPEN) return Promise.reject(new Error("there is no connection"));
      number += 1;
      const id = number;
      socket.send(JSON.stringify({ do: what, id, ...more }));
      return new Promise((resolve, reject) => {
        waiting.set(id, { resolve, reject });
      });
    },
    close() {
      shut = true;
      socket?.close();
    },
  };
}
