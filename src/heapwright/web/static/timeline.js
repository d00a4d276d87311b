// Brings the present into view on the picture of all heaps, and moves it by its buttons.

const place = document.querySelector("[data-weeks]");
if (place) start(place);

function start(place) {
  const buttons = document.querySelector("[data-weeks-moves]");
  toNow(place);
  buttons.hidden = false;
  buttons.addEventListener("click", (event) => {
    const move = event.target.closest("[data-move]")?.dataset.move;
    if (move === "now") toNow(place);
    else if (move) place.scrollBy({ left: (move === "on" ? 0.7 : -0.7) * place.clientWidth });
  });
}

// Two thirds of the width for what has been.
function toNow(place) {
  const now = place.querySelector("[data-now]").getBoundingClientRect().left;
  const from = place.getBoundingClientRect().left;
  place.scrollLeft += now - from - (2 / 3) * place.clientWidth;
}
