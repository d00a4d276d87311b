// Shows entries of the phone's store as a list with what can be done to each.
// Knows the templates of phone_items.html; knows nothing of sending.

import { moment, wordsIn } from "./phone_words.js";
import * as queue from "./queue.js";

const words = wordsIn("phone-list-words");
const gone = new Map(); // what was taken back on this page, to be brought back

// Fills `list` with items that wait; `done` is told in words what was taken back, and gets a button
// to bring it back.
export function showWaiting(list, items, done) {
  const rows = items.map((item) => waitingRow(item, done));
  list.replaceChildren(...rows);
}

function waitingRow(item, done) {
  const row = document.getElementById("phone-item").content.firstElementChild.cloneNode(true);
  row.querySelector("[data-about]").textContent = item.about;
  row.querySelector("[data-when]").textContent = words("written", { moment: moment(item.written) });
  row.querySelector("[data-words]").textContent = item.words;
  const send = row.querySelector("[data-send]");
  send.hidden = item.state !== "question";
  send.addEventListener("click", () => queue.alter(item.id, { state: "waiting" }));
  const change = row.querySelector("[data-change]");
  change.href = `${item.path}?mend=${item.id}`;
  row.querySelector("[data-discard]").addEventListener("click", () => takeBack(item, done));
  return row;
}

async function takeBack(item, done) {
  gone.set(item.id, item);
  await queue.discard(item.id);
  const button = document.createElement("button");
  button.type = "button";
  button.className = "button button-plain button-small";
  button.textContent = words("bring-back");
  button.addEventListener("click", async () => {
    await queue.keep(gone.get(item.id));
    done.replaceChildren();
  });
  done.replaceChildren(words(item.tries ? "taken-back-tried" : "taken-back", { words: item.about }), " ", button);
  button.focus();
}

export function showArrived(list, items) {
  list.replaceChildren(...items.map((item) => {
    const row = document.createElement("li");
    row.className = "phone-item";
    row.append(
      line("phone-about", item.words || item.about),
      line("label", words("reached-at", { moment: moment(item.at) })),
      ...(item.doubt ? [line("phone-words", item.doubt)] : []),
      ...(item.page ? [link(item.page)] : []),
    );
    return row;
  }));
}

function line(kind, text) {
  const made = document.createElement("p");
  made.className = kind;
  made.textContent = text;
  return made;
}

function link(address) {
  const made = document.createElement("a");
  made.className = "phone-see";
  made.href = address;
  made.textContent = words("see");
  return made;
}
