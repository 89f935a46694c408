// The photo of a strip: tells the desk when the camera took it. An extra: a photo can be
// sent without this.

const form = document.querySelector("[data-photo]");
if (form) {
  const file = form.querySelector("input[type=file]");
  const taken = form.querySelector("input[name=taken]");
  const ahead = Date.now() - Number(form.dataset.now) * 1000; // of the desk's clock
  file.addEventListener("change", () => {
    const chosen = file.files[0];
    taken.value = chosen ? String(chosen.lastModified - ahead) : "";
  });
}
