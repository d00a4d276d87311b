// Keeps what was written on this phone until the house has it: own code over IndexedDB.
// Knows the phone's store; knows nothing of the network or of what a form means.
//
// An item of `waiting`:
//   id        32 hex digits made on this phone; the form's own entry_id
//   revision  changes whenever the item does, so that an answer to an older form of it is known
//   fields    [[name, text or File], ...] as the form gave them
//   path      where it is sent; garden: the mark of the garden it was filled in for
//   written   the moment it was written (ms, this phone's clock); order: the order of writing
//   about     one line that tells a person what it is
//   state     "waiting", or "refused" or "question" when the house wants a person to look
//   words     what the house said last; tries: how often it was sent
// An item of `arrived`: id, about, words, doubt, page, at (ms).

const NAME = "heapwright-phone";
const FORM = 1;
const MOST_ARRIVED = 20;

const channel = new BroadcastChannel(NAME);
const listeners = new Set();
let opened = null;
let lastOrder = 0;

channel.onmessage = () => tell();

function tell() {
  for (const listener of listeners) listener();
}

function changed() {
  channel.postMessage("changed");
  tell();
}

// Calls `listener` whenever something here changes, in whichever tab.
export function onChange(listener) {
  listeners.add(listener);
}

export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function open() {
  opened ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, FORM);
    asked.onupgradeneeded = () => {
      for (const store of ["waiting", "arrived"]) asked.result.createObjectStore(store, { keyPath: "id" });
      asked.result.createObjectStore("lease");
    };
    asked.onerror = () => { opened = null; reject(asked.error); };
    asked.onsuccess = () => {
      const database = asked.result;
      database.onclose = () => { opened = null; };
      database.onversionchange = () => { database.close(); opened = null; };
      resolve(database);
    };
  });
  return opened;
}

// Runs `work` in one transaction and gives what it put into `result.value`, once it is on the disk.
async function within(stores, mode, work) {
  const database = await open();
  return new Promise((resolve, reject) => {
    const result = { value: undefined };
    // "strict": kept means kept, also when the battery falls out the next moment.
    const transaction = database.transaction(stores, mode, { durability: "strict" });
    transaction.oncomplete = () => resolve(result.value);
    transaction.onabort = () => reject(transaction.error ?? new DOMException("Not kept", "AbortError"));
    work(transaction, result);
  });
}

function all(store) {
  return within([store], "readonly", (transaction, result) => {
    transaction.objectStore(store).getAll().onsuccess = (event) => { result.value = event.target.result; };
  });
}

export async function waiting() {
  return (await all("waiting")).sort((one, other) => one.order - other.order);
}

export async function arrived() {
  return (await all("arrived")).sort((one, other) => other.at - one.at);
}

export function find(id) {
  return within(["waiting"], "readonly", (transaction, result) => {
    transaction.objectStore("waiting").get(id).onsuccess = (event) => { result.value = event.target.result; };
  });
}

// Puts a form into the phone's store. Once this is fulfilled, it outlives tab and browser.
export async function keep({ id, fields, path, garden = "", about = "", written = Date.now() }) {
  lastOrder = Math.max(lastOrder + 1, Date.now());
  const item = {
    id, fields, path, garden, about, written,
    order: lastOrder, revision: newId(), state: "waiting", words: "", tries: 0,
  };
  await within(["waiting"], "readwrite", (transaction) => transaction.objectStore("waiting").put(item));
  changed();
  return item;
}

// Alters an item if it is still there; `revision`, when given, must be the one it has.
export async function alter(id, changes, revision = null) {
  const done = await within(["waiting"], "readwrite", (transaction, result) => {
    const store = transaction.objectStore("waiting");
    store.get(id).onsuccess = (event) => {
      const item = event.target.result;
      if (!item || (revision && item.revision !== revision)) return;
      store.put({ ...item, ...changes });
      result.value = true;
    };
  });
  if (done) changed();
  return Boolean(done);
}

export async function discard(id) {
  await within(["waiting"], "readwrite", (transaction) => transaction.objectStore("waiting").delete(id));
  changed();
}

// Lets go of an item that the house has, and remembers that it arrived. What was changed since it
// was sent stays: the house has not seen that yet.
export async function letGo(item, said) {
  await within(["waiting", "arrived"], "readwrite", (transaction) => {
    const waitingStore = transaction.objectStore("waiting");
    const arrivedStore = transaction.objectStore("arrived");
    waitingStore.get(item.id).onsuccess = (event) => {
      if (event.target.result?.revision === item.revision) waitingStore.delete(item.id);
    };
    const { id, about } = item;
    arrivedStore.put({ id, about, at: Date.now(), words: said.words ?? "", doubt: said.doubt ?? "", page: said.page ?? "" });
    arrivedStore.getAll().onsuccess = (event) => {
      const newestFirst = event.target.result.sort((one, other) => other.at - one.at);
      for (const old of newestFirst.slice(MOST_ARRIVED)) arrivedStore.delete(old.id);
    };
  });
  changed();
}

// ---- one sender at a time, where the browser has no locks (plain http) ----

// Takes or renews the right to send for `ms`; false while another tab has it.
export async function takeLease(owner, ms) {
  const taken = await within(["lease"], "readwrite", (transaction, result) => {
    const store = transaction.objectStore("lease");
    store.get("send").onsuccess = (event) => {
      const held = event.target.result;
      // A lease that ends later than any could was taken by a clock that has been put back.
      const stands = held && held.owner !== owner && held.until > Date.now() && held.until <= Date.now() + held.ms;
      if (stands) return;
      store.put({ owner, ms, until: Date.now() + ms }, "send");
      result.value = true;
    };
  });
  return Boolean(taken);
}

export function endLease(owner) {
  return within(["lease"], "readwrite", (transaction) => {
    const store = transaction.objectStore("lease");
    store.get("send").onsuccess = (event) => {
      if (event.target.result?.owner === owner) store.delete("send");
    };
  });
}
