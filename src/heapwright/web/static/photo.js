// Shows the photo that was taken and scales it down before it is sent, so that it goes quickly over a
// poor network and waits small in the phone. The house checks and does the same once more; without
// this script, or with a browser that cannot put a file into a field, it does so alone.

function asBlob(canvas, quality) {
  return new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", quality));
}

async function smaller(file, side, quality) {
  // Upright as its camera held it, as the house would draw it.
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, side / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(picture.width * scale);
  canvas.height = Math.round(picture.height * scale);
  const pen = canvas.getContext("2d");
  pen.fillStyle = "#ffffff";
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await asBlob(canvas, quality);
  return blob && new File([blob], "heap.jpg", { type: "image/jpeg" });
}

function watch(card) {
  const input = card.querySelector("input[type=file]");
  const seen = card.querySelector("[data-photo-seen]");
  const out = card.querySelector("[data-photo-out]");
  const said = card.querySelector("[data-photo-said]");
  const { side, quality, words, small } = card.dataset;
  let latest = 0;

  function show(file) {
    if (seen.src) URL.revokeObjectURL(seen.src);
    seen.hidden = out.hidden = !file;
    if (file) seen.src = URL.createObjectURL(file);
    else seen.removeAttribute("src");
  }

  async function take() {
    const mine = ++latest;
    const [file] = input.files;
    said.textContent = "";
    show(null);
    if (!file) return;
    try {
      const kept = await smaller(file, Number(side), Number(quality));
      if (mine !== latest || !kept) return;
      const files = new DataTransfer();
      files.items.add(kept);
      input.files = files.files;
      show(kept);
      said.textContent = small.replace("{size}", Math.max(1, Math.round(kept.size / 1000)));
    } catch {
      if (mine === latest) said.textContent = words;
    }
  }

  input.addEventListener("change", take);
  out.addEventListener("click", () => {
    latest += 1;
    input.value = "";
    said.textContent = "";
    show(null);
    input.focus();
  });
}

document.querySelectorAll("[data-photo]").forEach(watch);
