// Four corners of the strip's window, dragged on the photo from the reader's best guess:
// by finger, mouse or arrow keys, with a magnifying glass. Also a tap on the sample well.
// Extras: another photo can be sent without this.

const STEP = 1; // px of the page for an arrow key; ten times that with Shift
const GLASS = 3; // times the view
const CLOSER = 1.5;

for (const form of document.querySelectorAll("[data-corners]")) setUp(form);
for (const form of document.querySelectorAll("[data-well]")) tapWell(form);

function setUp(form) {
  const view = form.querySelector("[data-view]");
  const image = view.querySelector("img");
  const outline = view.querySelector("polygon");
  const glass = view.querySelector("canvas");
  const handles = [...view.querySelectorAll("[data-corner]")];
  const field = form.querySelector("input[name=corners]");
  const points = field.value
    .split(";")
    .map((pair) => pair.split(",").map(Number)); // shares of width and height
  let shown = null; // what of the photo is in view: left, top, scale (page px a photo px)

  const wide = () => image.naturalWidth;
  const high = () => image.naturalHeight;
  const onPage = ([x, y]) => [
    (x * wide() - shown.left) * shown.scale,
    (y * high() - shown.top) * shown.scale,
  ];
  const onPhoto = (x, y) => [
    (x / shown.scale + shown.left) / wide(),
    (y / shown.scale + shown.top) / high(),
  ];
  const inside = (share) => Math.min(1, Math.max(0, share));

  function look(times) {
    const box = view.getBoundingClientRect();
    const whole = Math.min(box.width / wide(), box.height / high());
    const xs = points.map(([x]) => x * wide());
    const ys = points.map(([, y]) => y * high());
    const span = Math.max(
      Math.max(...xs) - Math.min(...xs),
      Math.max(...ys) - Math.min(...ys),
      20,
    );
    const fit = (0.6 * Math.min(box.width, box.height)) / span;
    const scale = Math.max(whole, times === null ? fit : shown.scale * times);
    const middle = [
      (Math.max(...xs) + Math.min(...xs)) / 2,
      (Math.max(...ys) + Math.min(...ys)) / 2,
    ];
    const start = (centre, size, room) =>
      size * scale <= room
        ? (size - room / scale) / 2
        : Math.min(Math.max(centre - room / scale / 2, 0), size - room / scale);
    shown = {
      scale,
      left: start(middle[0], wide(), box.width),
      top: start(middle[1], high(), box.height),
    };
    image.style.width = `${wide() * scale}px`;
    image.style.height = `${high() * scale}px`;
    image.style.transform = `translate(${-shown.left * scale}px, ${-shown.top * scale}px)`;
    draw();
  }

  function draw() {
    const places = points.map(onPage);
    outline.setAttribute("points", places.map((place) => place.join(",")).join(" "));
    handles.forEach((handle, i) => {
      handle.style.left = `${places[i][0]}px`;
      handle.style.top = `${places[i][1]}px`;
    });
    field.value = points
      .map((point) => point.map((share) => share.toFixed(5)).join(","))
      .join(";");
  }

  function magnify(i) {
    const pen = glass.getContext("2d");
    const size = glass.width;
    const reach = size / (GLASS * shown.scale);
    const [x, y] = [points[i][0] * wide(), points[i][1] * high()];
    pen.imageSmoothingEnabled = false;
    pen.fillStyle = "#777";
    pen.fillRect(0, 0, size, size);
    pen.drawImage(image, x - reach / 2, y - reach / 2, reach, reach, 0, 0, size, size);
    pen.lineWidth = 1;
    for (const [colour, by] of [["#000", 1], ["#ffdd00", 0]]) {
      pen.strokeStyle = colour;
      pen.beginPath();
      pen.moveTo(size / 2 + by + 0.5, 0);
      pen.lineTo(size / 2 + by + 0.5, size);
      pen.moveTo(0, size / 2 + by + 0.5);
      pen.lineTo(size, size / 2 + by + 0.5);
      pen.stroke();
    }
    const [left] = onPage(points[i]);
    glass.classList.toggle("is-right", left < view.clientWidth / 2);
    glass.hidden = false;
  }

  function move(i, x, y) {
    points[i] = onPhoto(x, y).map(inside);
    draw();
    magnify(i);
  }

  handles.forEach((handle, i) => {
    let off = null; // from the finger to the corner, so that nothing jumps
    handle.addEventListener("pointerdown", (event) => {
      handle.setPointerCapture(event.pointerId);
      const [x, y] = onPage(points[i]);
      off = [x - event.clientX, y - event.clientY];
      magnify(i);
    });
    handle.addEventListener("pointermove", (event) => {
      if (off) move(i, event.clientX + off[0], event.clientY + off[1]);
    });
    const done = () => {
      off = null;
      glass.hidden = true;
    };
    handle.addEventListener("pointerup", done);
    handle.addEventListener("pointercancel", done);
    handle.addEventListener("focus", () => shown && magnify(i));
    handle.addEventListener("blur", () => {
      glass.hidden = true;
    });
    handle.addEventListener("keydown", (event) => {
      const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[
        event.key
      ];
      if (!by) return;
      event.preventDefault();
      const far = STEP * (event.shiftKey ? 10 : 1);
      const [x, y] = onPage(points[i]);
      move(i, x + by[0] * far, y + by[1] * far);
    });
  });

  form.querySelector("[data-closer]").addEventListener("click", () => look(CLOSER));
  form.querySelector("[data-farther]").addEventListener("click", () => look(1 / CLOSER));
  const begin = () => {
    form.hidden = false;
    if (view.clientWidth) look(null);
  };
  const fold = form.closest("details");
  if (fold) fold.addEventListener("toggle", () => fold.open && look(null));
  if (image.complete && image.naturalWidth) begin();
  else image.addEventListener("load", begin);
  window.addEventListener("resize", () => shown && look(1));
}

function tapWell(form) {
  const image = form.querySelector("img");
  const field = form.querySelector("input[name=well_at]");
  form.querySelector("[data-tap]").hidden = false;
  image.classList.add("is-tapped");
  image.addEventListener("click", (event) => {
    const box = image.getBoundingClientRect();
    const x = (event.clientX - box.left) / box.width;
    const y = (event.clientY - box.top) / box.height;
    field.value = `${x.toFixed(4)},${y.toFixed(4)}`;
    form.requestSubmit();
  });
}
