// The photo of a strip: tells the desk when the camera took it, and lets a person tap
// the corners of the window. Both are extras: a photo can be sent without this.

const CORNERS = 4;

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

const corners = document.querySelector("[data-corners]");
if (corners) {
  const image = corners.querySelector("img");
  const marks = corners.querySelector("[data-marks]");
  const count = corners.querySelector("[data-count]");
  const field = corners.querySelector("input[name=corners]");
  const points = [];
  corners.hidden = false;
  image.addEventListener("click", (event) => {
    const box = image.getBoundingClientRect();
    const x = (event.clientX - box.left) / box.width;
    const y = (event.clientY - box.top) / box.height;
    points.push([x.toFixed(4), y.toFixed(4)]);
    const ring = document.createElementNS("http://www.w3.org/2000/svg", "circle");
    ring.setAttribute("cx", String(x * box.width));
    ring.setAttribute("cy", String(y * box.height));
    ring.setAttribute("r", "10");
    marks.append(ring);
    count.textContent = `${points.length} / ${CORNERS}`;
    if (points.length < CORNERS) return;
    field.value = points.map((point) => point.join(",")).join(";");
    corners.requestSubmit();
  });
}
