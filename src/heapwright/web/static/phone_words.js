// The words scripts say: they stand in a <template> of the page, so that they are translated with the
// rest. Knows how moments are written.

const language = document.documentElement.lang || "en";

// Gives what says the words of one template by their key, with {names} filled in; "-one" or "-many"
// is chosen by `count`.
export function wordsIn(id) {
  const find = (name) => document.getElementById(id).content.querySelector(`[data-say="${name}"]`);
  return (key, values = {}) => {
    const found = find(key) ?? find(`${key}-${new Intl.PluralRules(language).select(values.count) === "one" ? "one" : "many"}`);
    return found.textContent.replace(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole);
  };
}

// What stands in the frame of every page.
export const say = wordsIn("phone-words");

// A moment as the phone's owner reads it: "14:05", or with its day when that is not today.
export function moment(ms) {
  const at = new Date(ms);
  const time = { hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
  const day = { weekday: "short", day: "numeric", month: "short" };
  const today = at.toDateString() === new Date().toDateString();
  return new Intl.DateTimeFormat(language, today ? time : { ...day, ...time }).format(at);
}
