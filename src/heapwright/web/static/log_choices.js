// Keeps the choices of the Log form in step with one another: what one tap makes likely, and what it
// makes meaningless. Nothing here is needed to send the form.

for (const form of document.querySelectorAll(".log-form")) {
  const every = (name) => form.querySelectorAll(`[name=${name}]`);

  // A heap is most often moved to the next bin, as long as nobody said otherwise.
  let said = [...every("to_bin")].some((chip) => chip.checked && chip.value !== nextOf());
  function nextOf() {
    return form.querySelector("[name=bin]:checked")?.dataset.next ?? "";
  }
  for (const chip of every("to_bin")) {
    chip.addEventListener("change", () => { said = true; });
  }
  for (const bin of every("bin")) {
    bin.addEventListener("change", () => {
      for (const chip of every("to_bin")) if (!said) chip.checked = chip.value === nextOf();
    });
  }

  // Water is tapped or written, not both.
  const water = form.elements.water;
  for (const tap of every("water_tap")) {
    tap.addEventListener("change", () => { water.value = ""; });
  }
  water.addEventListener("input", () => {
    for (const tap of every("water_tap")) tap.checked = tap.value === "" && !water.value;
  });
}
